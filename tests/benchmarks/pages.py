"""Prints what Lighthouse (12.2.3, phone profile) says of pages of a built site.

    python -m tests.benchmarks.pages output index.html pieces/<slug>/index.html

Needs Node 20 or newer with npx, and Chromium.
"""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

from tests.browser.serving import serving

_CATEGORIES = ("performance", "accessibility", "best-practices", "seo")
_FIGURES = ("first-contentful-paint", "largest-contentful-paint", "total-blocking-time", "cumulative-layout-shift")
_CHROMIUM = "--headless=new --no-sandbox --disable-gpu --disable-background-networking --no-first-run"


def main(root: Path, paths: list[str]) -> None:
    print("page | " + " | ".join(_CATEGORIES + _FIGURES + ("bytes",)))
    with serving(root) as address, tempfile.TemporaryDirectory() as folder:
        for path in paths:
            report = Path(folder) / "report.json"
            command = ["npx", "--yes", "lighthouse@12.2.3", address + path, "--quiet", "--output=json"]
            command += [f"--output-path={report}", f"--chrome-flags={_CHROMIUM}"]
            chromium = shutil.which("chromium") or shutil.which("google-chrome") or ""
            subprocess.run(command, check=True, env={**os.environ, "CHROME_PATH": chromium})
            found = json.loads(report.read_text())
            scores = [f"{100 * found['categories'][name]['score']:.0f}" for name in _CATEGORIES]
            figures = [found["audits"][name]["displayValue"] for name in _FIGURES]
            size = found["audits"]["total-byte-weight"]["displayValue"]
            print(f"{path} | " + " | ".join([*scores, *figures, size]))
            for name in _CATEGORIES:
                for each in found["categories"][name]["auditRefs"]:
                    audit = found["audits"][each["id"]]
                    if each["weight"] and audit["score"] is not None and audit["score"] < 0.9:
                        print(f"  {name}: {audit['id']}: {audit['title']} {audit.get('displayValue', '')}")


if __name__ == "__main__":
    main(Path(sys.argv[1]), sys.argv[2:])
