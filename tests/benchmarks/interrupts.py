"""Commands stopped at random moments, and what they leave.

    python -m tests.benchmarks.interrupts [HOW MANY OF EACH, 24]

Each command is run once to its end (the preview until it has made its pages), then stopped after a random part of that
time, by Ctrl-C (SIGINT to its group) and by SIGTERM in turn, with an empty store each time. Printed are for each: how
often a traceback was told, other words than the one line or another exit code came, a process was left running,
something was left in the folder of temporary files or beside the output; and the seconds until it was gone. A command
that had come to its end by itself does not count.
"""

from __future__ import annotations

import random
import signal
import subprocess
import sys
import tempfile
import time
from collections import Counter
from pathlib import Path

from tests.building.studio import musicxml, write_content
from tests.interrupting import Desk

SEED = 14
BARS = 24


def main() -> None:
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 24
    chance = random.Random(SEED)
    with tempfile.TemporaryDirectory() as made:
        desk = Desk(Path(made))
        tune, bass = " | ".join(["C5q D5 E5 G5"] * BARS), " | ".join(["C3e G3 E3 G3 C3 G3 E3 G3"] * BARS)
        write_content(desk.content, march=musicxml(tune, bass), waltz=musicxml("E5h.", "C3h.", "3/4"))
        score = desk.content / "march" / "score.musicxml"
        commands = {
            "build": ["build", desk.content, "-o", desk.site],
            "build over a site": ["build", desk.content, "-o", desk.site],
            "check": ["check", desk.content],
            "analyse": ["analyse", score],
            "preview": ["preview", desk.content, "--port", "0"],
        }
        print("command             stopped  traceback  words or code  orphans  left  seconds: median, most")
        for name, command in commands.items():
            over = name == "build over a site"
            desk.clear(store=True)
            whole = _duration(desk, command)
            found: Counter[str] = Counter()
            seconds = []
            for turn in range(count):
                if not over:
                    desk.clear(store=True)
                moment = chance.random() * (whole if not over else whole / 2)
                number = (signal.SIGINT, signal.SIGTERM)[turn % 2]
                if over:
                    _change(desk, turn)
                began = time.monotonic()
                stopped = desk.stop(command, number, lambda _: time.monotonic() - began > moment)  # noqa: B023
                if stopped.ended:
                    continue
                seconds.append(stopped.seconds)
                found["stopped"] += 1
                for fault in stopped.faults(number):
                    found[fault.split()[0]] += 1
                    print(f"  {name}, after {moment:.2f} s: {fault}")
            middle = sorted(seconds)[len(seconds) // 2] if seconds else 0
            words = found["exit"] + found["last"]
            print(f"{name:20}{found['stopped']:7} {found['traceback']:10} {words:14} {found['orphan']:8} "
                  f"{found['left']:5} {middle:9.2f} {max(seconds, default=0):11.2f}", flush=True)  # fmt: skip


def _duration(desk: Desk, command: list[str | Path]) -> float:
    """Seconds that a command takes to its end, or a preview until it has made what it shows."""
    began = time.monotonic()
    process = subprocess.Popen(
        [sys.executable, "-m", "sitegen", *map(str, command)],
        env=desk.environment("whole"),
        cwd=desk.root,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.PIPE,
        text=True,
    )
    assert process.stderr is not None
    pages = 0
    for line in process.stderr:
        pages += line.startswith("Made: ")
        if pages == 2:
            process.terminate()
    process.wait()
    return time.monotonic() - began


def _change(desk: Desk, turn: int) -> None:
    """Have the next build something to make: little, so that it soon publishes."""
    words = desk.content / "march" / "piece.md"
    words.write_text(f"{words.read_text(encoding='utf-8').rstrip()} {turn}\n", encoding="utf-8")


if __name__ == "__main__":
    main()
