"""Two builds at a time into one output, and what they leave.

    python -m tests.benchmarks.pairs [HOW MANY PAIRS, 100]

Two versions of a small library are built again and again into one output, both at once, by processes that begin within
a few milliseconds of each other, each with a store of its own or with the same. Afterwards the output must hold one of
the two sites, complete by its manifest, and nothing else; both must have ended well, and nothing may be left beside it.
Prints how many pairs were broken, and what was wrong.
"""

from __future__ import annotations

import os
import random
import shutil
import sys
import tempfile
import time
from pathlib import Path

from sitegen.building.site import build_site
from sitegen.building.store import Store
from tests.benchmarks.kills import without_sounds
from tests.building.killing import faults_of, lies_in
from tests.building.studio import musicxml, write_content, write_piece

SEED = 14
LATEST = 0.05  # seconds by which the second of a pair may be late


def main() -> None:
    """Print a line for each fault, and how many pairs had one."""
    pairs = int(sys.argv[1]) if len(sys.argv) > 1 else 100
    chance = random.Random(SEED)
    without_sounds()
    with tempfile.TemporaryDirectory() as made:
        root = Path(made)
        contents = [write_content(root / "one", march=musicxml()), write_content(root / "two", march=musicxml())]
        write_piece(contents[1], "march", musicxml(), "Listen to the tenor.")
        write_piece(contents[1], "waltz", musicxml("E5h.", "C3h.", "3/4"))
        stores = [Store(root / "store 0"), Store(root / "store 1")]
        sites = []
        for content in contents:
            for store in stores:
                build_site(content, root / "whole", store, 0, lambda *_: None, allow_removal=True)
            sites.append({path: data for path, data in lies_in(root / "whole").items() if path != "manifest.json"})
        broken = 0
        for number in range(pairs):
            place = root / "place"
            if number % 3 == 0:
                shutil.rmtree(place, ignore_errors=True)
            late = chance.random() * LATEST
            ours = [_begin(contents[which], place, stores[which * (number % 2)], late * which) for which in (0, 1)]
            faults = [f"build {which + 1} failed" for which, child in enumerate(ours) if os.waitpid(child, 0)[1]]
            faults += faults_of(place / "site", list(sites), {})
            faults += [f"left behind: {name}" for name in sorted(set(os.listdir(place)) - {"site"})]
            broken += bool(faults)
            for fault in faults:
                print(f"  pair {number + 1}: {fault}", flush=True)
    print(f"broken: {broken} of {pairs} pairs")
    sys.exit(1 if broken else 0)


def _begin(content: Path, place: Path, store: Store, late: float) -> int:
    """A child that builds; its number."""
    child = os.fork()
    if child == 0:
        time.sleep(late)
        try:
            build_site(content, place / "site", store, 0, lambda *_: None, allow_removal=True)
            os._exit(0)
        except BaseException as error:
            print(f"  {type(error).__name__}: {error}", flush=True)
            os._exit(1)
    return child


if __name__ == "__main__":
    main()
