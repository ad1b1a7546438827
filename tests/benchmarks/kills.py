"""Builds killed at random moments and at every change of a file, and what they leave.

    python -m tests.benchmarks.kills [HOW MANY AT RANDOM, 200]

Two versions of a small library are built whole, then each in turn over the other, with files of somebody else's in the
site, and as first sites; each build is killed after a random time, half of the times once it has begun to publish.
Then what was made is published again and again, killed at every change of a file. (The sounds are left out: they are
many and alike.) After each kill the output must hold the old site or the new one, complete by its manifest, and all
that is somebody else's; the next build must succeed and leave nothing behind.
"""

from __future__ import annotations

import os
import random
import shutil
import signal
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Mapping
from pathlib import Path

from sitegen import publishing
from sitegen.building.publication import hold_output
from sitegen.building.site import build_site
from sitegen.building.store import Store
from sitegen.publishing import find_theme, site_assets
from tests.building.killing import faults_of, kill_at, lies_in
from tests.building.studio import musicxml, write_content, write_piece

FOREIGN = {"CNAME": b"piano.example", ".git/HEAD": b"ref", ".git/objects/ab/cd": b"blob", "pieces/mine.html": b"mine",
           "pieces/march/words.txt": b"own words", "own/page.html": b"mine"}  # fmt: skip
SEED = 13


def main() -> None:
    at_random = int(sys.argv[1]) if len(sys.argv) > 1 else 200
    chance = random.Random(SEED)
    without_sounds()
    with tempfile.TemporaryDirectory() as made:
        trial = Trial(Path(made))
        print("kills                       of      old     new    none  faults")
        for name, over in (("at random, first site", False), ("at random, over a site", True)):
            found: Counter[str] = Counter()
            for number in range(at_random // 2):
                trial.begin(over)
                trial.kill_after(chance.random() * trial.seconds, only_publishing=number % 2 == 1)
                found[trial.look(over)] += 1
            trial.tell(name, found)
        trial.build = trial.publish  # type: ignore[method-assign] - what is made is the same each time
        for name, over in (("at every change, first site", False), ("at every change, over a site", True)):
            found, number, killed = Counter(), 0, True
            while killed:
                trial.begin(over)
                killed = kill_at(number, lambda: trial.publish(1))
                found[trial.look(over)] += 1
                number += 1
            trial.tell(name, found)
        sys.exit(1 if trial.faults else 0)


def without_sounds() -> None:
    """Have sites built without the sampled piano."""
    assets = {path: data for path, data in site_assets(find_theme("studio")).items() if not path.startswith("sounds/")}
    publishing.site_assets = lambda theme: assets


class Trial:
    """Two libraries, their sites as they must be, and the place where builds are killed. ``seconds`` is what a build
    takes in which nothing is analysed or engraved anew."""

    def __init__(self, folder: Path) -> None:
        self.store = Store(folder / "store")
        self.root = folder / "root"
        self.faults: list[str] = []
        self.sites: list[Mapping[str, bytes]] = []
        self.contents = (folder / "one", folder / "two")
        write_content(self.contents[0], march=musicxml(), waltz=musicxml("E5h.", "C3h.", "3/4"))
        write_content(self.contents[1], march=musicxml(), lied=musicxml("E5h.", "C3h.", "3/4"))
        write_piece(self.contents[1], "march", musicxml(), "Listen to the tenor.")
        for number in (0, 1):
            self.root = folder / f"whole {number}"
            self.build(number)
            shutil.rmtree(self.root)
            began = time.monotonic()
            self.build(number)
            self.seconds = time.monotonic() - began
            self.sites.append(lies_in(self.root / "site"))
        self.sites = [{path: data for path, data in site.items() if path != "manifest.json"} for site in self.sites]
        self.root = folder / "root"

    def build(self, number: int) -> None:
        """Build the first or the second library."""
        build_site(self.contents[number], self.root / "site", self.store, 0, lambda *_: None, allow_removal=True)

    def publish(self, number: int) -> None:
        """Publish what the first or the second library was made into."""
        with hold_output(self.root / "site", self.contents[number]) as output:
            output.publish(self.sites[number])

    def begin(self, over: bool) -> None:
        """A place for the second library's site: empty, or with the first one's and files of somebody else's."""
        if not over:
            shutil.rmtree(self.root, ignore_errors=True)
            return
        self.build(0)
        for path, data in FOREIGN.items():
            place = self.root / "site" / path
            if not place.exists():
                place.parent.mkdir(parents=True, exist_ok=True)
                place.write_bytes(data)

    def kill_after(self, seconds: float, only_publishing: bool) -> None:
        """Build the second library in a child that is killed after a while, counted from its start, or from its first
        step of publishing."""
        child = os.fork()
        if child == 0:
            self.build(1)
            os._exit(0)
        staged = self.root / ".site.next" / "site"
        while only_publishing and not staged.exists() and os.waitpid(child, os.WNOHANG) == (0, 0):
            time.sleep(0.0005)
        try:
            time.sleep(seconds / 4 if only_publishing else seconds)
            os.kill(child, signal.SIGKILL)
            os.waitpid(child, 0)
        except (ProcessLookupError, ChildProcessError):
            pass

    def look(self, over: bool) -> str:
        """Which site is there, after it was judged and the next build with it."""
        site, foreign = self.root / "site", FOREIGN if over else {}
        before = [self.sites[0], self.sites[1]] if over else [{}, self.sites[1]]
        faults = faults_of(site, before, foreign)
        found = lies_in(site) if site.exists() else {}
        which = "none" if not found else "new" if "pieces/lied/index.html" in found else "old"
        self.build(1)
        faults += [f"after the next build: {fault}" for fault in faults_of(site, [self.sites[1]], foreign)]
        if left := sorted(set(os.listdir(self.root)) - {"site"}):
            faults.append(f"left behind: {left}")
        self.faults += faults
        for fault in faults:
            print(f"  {fault}")
        return which

    def tell(self, name: str, found: Counter[str]) -> None:
        """One line of the table."""
        print(
            f"{name:28}{found.total():3}  " + "".join(f"{found[which]:7} " for which in ("old", "new", "none")), end=""
        )
        print(f"{len(self.faults):7}", flush=True)


if __name__ == "__main__":
    main()
