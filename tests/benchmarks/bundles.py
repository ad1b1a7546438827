"""What becomes of hostile bundles: a table of what each tries, and the line by which it is refused.

    python -m tests.benchmarks.bundles [--only WORDS]

Each is given to ``sitegen unpack`` beside a studio without pieces. It prints a row for each, then how many were
refused in one line with nothing written, and ends with 1 where one was not.
"""

from __future__ import annotations

import argparse
import sys
import tempfile
import warnings
from pathlib import Path

from click.testing import CliRunner

from sitegen.cli import main as command
from tests.building.studio import tree_of, write_content
from tests.sharing.hostile import HOSTILE, write


def refusal_of(name: str) -> tuple[str, bool]:
    """What is told of a bundle, and whether that is one line with nothing written."""
    with tempfile.TemporaryDirectory(prefix="bundles-") as made:
        content = write_content(Path(made) / "content")
        file = write(name, Path(made))
        before = tree_of(Path(made))
        result = CliRunner().invoke(command, ["unpack", str(file), "--content", str(content)])
        lines = result.stderr.splitlines()
        held = result.exit_code == 1 and len(lines) == 1 and tree_of(Path(made)) == before
        return result.stderr.replace(f"{made}/", "").strip(), held


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--only", default="", help="only those whose name holds these words")
    only = parser.parse_args().only
    warnings.simplefilter("ignore")
    names = [name for name in HOSTILE if only in name]
    held = 0
    for name in names:
        told, is_held = refusal_of(name)
        held += is_held
        print(f"{'refused' if is_held else 'NOT HELD':9} {name:38} {told}")
    print(f"{held} of {len(names)} kinds of hostile bundles are refused in one line, and nothing is written")
    sys.exit(0 if held == len(names) else 1)


if __name__ == "__main__":
    main()
