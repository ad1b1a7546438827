"""What a library became that holds two good pieces and an odd one: whether it stands, and whether it is safe.

The pages are taken apart here by themselves, without anything of the program.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from pathlib import Path

from tests.building.studio import musicxml, write_content
from tests.elements import elements_of

GOOD = ("march", "waltz")
FRONT = "---\ntitle: Odd\nscore: score.musicxml\nlicence: CC0-1.0\n{}\n---\n\n{}\n"

_FORBIDDEN = frozenset({
    "iframe", "frame", "frameset", "object", "embed", "applet", "base", "math", "style", "link", "template", "audio",
    "video", "textarea", "foreignobject",
})  # fmt: skip
_SCHEMES = frozenset({"http", "https", "mailto", "bars", "bar", "piece"})
#: What tells of a defect, not of a fault in the content.
OURS = re.compile(
    r"Traceback|please report|itself is at fault|could not be made \(|the program that reads(?!.*took more than)",
    re.IGNORECASE,
)


def write_library(root: Path) -> Path:
    """A content folder with the good pieces, beside which an odd one may be laid."""
    return write_content(root, **{name: musicxml() for name in GOOD})


def write_odd(root: Path, front: str = "", commentary: str = "Words.", text: bytes | None = None) -> Path:
    """The odd piece: its further front matter, its commentary, or all of its ``text``."""
    folder = root / "odd"
    folder.mkdir()
    (folder / "score.musicxml").write_text(musicxml(), encoding="utf-8")
    whole = FRONT.format(front, commentary).encode("utf-8", "surrogatepass") if text is None else text
    (folder / "piece.md").write_bytes(whole)
    return folder


def unsafe_in(html: str) -> Iterator[str]:
    """What of a page could run, style, load or lead where nothing of the program does."""
    for tag, attributes in elements_of(html):
        of_page = tag == "link" and attributes.get("rel") in {
            "stylesheet",
            "preload",
            "icon",
            "apple-touch-icon",
            "manifest",
        }
        own = _is_of_site(attributes.get("href", "")) and _is_of_site(attributes.get("src", ""))
        if tag == "textarea" and attributes.get("id") == "plan-note":
            continue
        if tag == "script" and not (
            (own and "/assets/" in f"/{attributes.get('src', '')}")
            or attributes.get("type") in {"application/json", "application/ld+json"}
        ):
            yield f"<script> {attributes}"
        elif tag in _FORBIDDEN and not (of_page and own):
            yield f"<{tag}> {attributes}"
        elif (
            tag == "meta" and "http-equiv" in attributes and not attributes.get("content", "").startswith("default-src")
        ):
            yield f"<meta> {attributes}"
        elif tag == "form" and attributes != {"method": "dialog"}:
            yield f"<form> {attributes}"
        for name, value in attributes.items():
            scheme = re.match(r"\s*([a-z][a-z0-9+.\-\s]*):", value, re.IGNORECASE)
            if name.startswith("on") or name in {"style", "srcdoc", "formaction", "action", "background", "srcset"}:
                yield f"{name}= of <{tag}>"
            elif name in {"href", "src"} and scheme and re.sub(r"\s", "", scheme[1]).lower() not in _SCHEMES:
                yield f"{name}={value[:40]}"
            elif name == "src" and not _is_of_site(value):
                yield f"{name}={value[:40]} is loaded from elsewhere"


def _is_of_site(address: str) -> bool:
    return not re.match(r"\s*([a-z][a-z0-9+.-]*:|//|\\)", address, re.IGNORECASE)


def judge(site: Path, code: int, told: str) -> list[str]:
    """What is wrong with a build that ended with ``code`` and ``told`` this: nothing, where all is as it must be."""
    wrong = []
    if defect := OURS.search(told):
        line = next(line for line in told.splitlines() if defect[0] in line)
        wrong.append(f"traceback: {line[:160]}")
    lacking = [name for name in GOOD if not (site / "pieces" / name / "index.html").is_file()]
    if lacking:
        wrong.append(f"stops the library: {', '.join(lacking)} not published")
    errors = [line for line in told.splitlines() if "/odd" in line.lower() and ": warning:" not in line]
    published = (site / "pieces" / "odd" / "index.html").is_file()
    if not published and not errors and "odd" in told and ": warning:" not in told:
        wrong.append("no line says why it is not published")
    if (code == 0) != (not errors) and code != 1:
        wrong.append(f"ends with {code}")
    if site.is_dir():
        for page in sorted(site.rglob("*.html")):
            wrong += [f"unsafe: {page.relative_to(site)}: {found}" for found in unsafe_in(page.read_text("utf-8"))]
        for data in sorted(site.rglob("*.json")):
            json.loads(data.read_text("utf-8"))
    return wrong
