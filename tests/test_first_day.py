"""From an empty folder and a score to a published piece with a chord of the teacher's, a moved note and a plan."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

from tests.building.studio import musicxml

RIGHT = "G5q A5 B5 G5 | C6h. B5q | A5q G5 F#5 E5 | G5w"
LEFT = "G3e D4 B3 D4 G3 D4 B3 D4 | A3 E4 C4 E4 A3 E4 C4 E4 | D3 C4 A3 C4 D3 C4 A3 C4 | G2w"


def sitegen(folder: Path, *arguments: str) -> subprocess.CompletedProcess[str]:
    """One command, as it is typed in ``folder``."""
    environment = os.environ | {
        "SITEGEN_CACHE": str(folder / ".kept"),
        "PYTHONPATH": str(Path(__file__).parents[1]),
    }
    command = [sys.executable, "-m", "sitegen", *arguments]
    return subprocess.run(command, cwd=folder, env=environment, text=True, capture_output=True, check=False)


def test_from_an_empty_folder_to_a_published_piece_in_six_commands(tmp_path: Path) -> None:
    score = musicxml(RIGHT, LEFT).replace(">All<", ">Evening song<")
    (tmp_path / "evening.musicxml").write_text(score, encoding="utf-8")
    given = ("--licence", "CC0-1.0", "--source", "Written for this test")
    assert sitegen(tmp_path, "start", "evening.musicxml", *given).returncode == 0
    first = sitegen(tmp_path, "analyse", "content/evening-song")
    assert first.returncode == 0
    assert "The ladder, fewest notes first" in first.stdout
    piece = tmp_path / "content" / "evening-song" / "piece.md"
    draft = piece.read_text(encoding="utf-8")
    wishes = (
        "adjustments:\n"
        "  - {at: 'bar 2, beat 1', chord: C/A, until: 'bar 3, beat 1'}\n"
        "  - {at: 'bar 4, LH, G2', do: move, octaves: 1, stage: bass line}\n"
    )
    piece.write_text(draft.replace("practise:\n", wishes + "practise:\n"), encoding="utf-8")
    checked = sitegen(tmp_path, "check")
    assert (checked.returncode, "0 faults" in checked.stdout) == (0, True), checked.stderr
    built = sitegen(tmp_path, "build", "-j", "1")
    assert built.returncode == 0, built.stderr
    assert built.stdout == f"1 piece built into {Path('output')}, 0 faults\n"
    site = json.loads((tmp_path / "output" / "site.json").read_text(encoding="utf-8"))
    (published,) = site["pieces"]
    analysis = json.loads((tmp_path / "output" / published["analysis"]).read_text(encoding="utf-8"))
    assert [h["symbol"] for h in analysis["harmonies"] if h["bar"] == 1] == ["C/A"]
    bass = next(stage for stage in analysis["stages"] if stage["slug"] == "bass-line")
    assert [n["pitch"] for n in bass["notes"] if n["bar"] == 3] == ["G3"]
    page = (tmp_path / "output" / published["url"]).read_text(encoding="utf-8")
    assert 'id="plan"' in page
