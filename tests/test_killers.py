"""Scores that once ended the program, or nearly: each as a piece of one library, which is published whole but for those
that are refused with a line."""

from __future__ import annotations

from pathlib import Path

import pytest
from click.testing import CliRunner

from sitegen.cli import main
from tests.building.studio import FRONT, musicxml, write_content
from tests.hostile.judging import OURS
from tests.score.files import musicxml as one_part
from tests.score.files import note

HUGE = "9" * 20
C = note("C5", 12, "quarter")


def _signed(sign: str) -> str:
    """A bar of four notes, the first with a sign."""
    return one_part(note("C5", 12, "quarter", f"<notations>{sign}</notations>") + C * 3)


GROUPED = one_part(C * 4).replace("</part-list>", "<part-group type='stop' number='1'/></part-list>")
HIGH = "<display-step>B</display-step><display-octave>high</display-octave>"
REST = f"<note><rest>{HIGH}</rest><duration>12</duration></note>"
DEGREES = (
    "<harmony><root><root-step>C</root-step><root-alter>much</root-alter></root><kind>major</kind><inversion>first"
    "</inversion><degree><degree-value>seven</degree-value><degree-alter>up</degree-alter><degree-type>add"
    "</degree-type></degree></harmony>"
)
REPEATED = "<barline location='right'><repeat direction='backward' times='1000000'/></barline>"

#: File name, text, and whether it can be read.
KILLERS: dict[str, tuple[str, str, bool]] = {
    "a clef for a staff that is not there": (
        "score.musicxml",
        one_part("<attributes><clef number='7'><sign>F</sign><line>4</line></clef></attributes>" + C * 4, C * 4),
        True,
    ),
    "beats without beat-type": ("score.musicxml", one_part(C * 4).replace("<beat-type>4</beat-type>", ""), True),
    "a group of parts that ends only": ("score.musicxml", GROUPED, True),
    "words for the octave of a rest": ("score.musicxml", one_part(C * 3 + REST), True),
    "words for the numbers of a chord symbol": ("score.musicxml", one_part(DEGREES + C * 4), True),
    "huge numbers in technical": (
        "score.musicxml",
        _signed(f"<technical><string>{HUGE}</string><fret>{HUGE}</fret></technical>"),
        True,
    ),
    "a million times": ("score.musicxml", one_part(C * 4 + REPEATED), True),
    "a tremolo of twenty digits": (
        "score.musicxml",
        _signed(f"<ornaments><tremolo type='single'>{HUGE}</tremolo></ornaments>"),
        True,
    ),
    "numbers of five thousand digits": ("score.abc", f"X:1\nM:4/4\nL:1/4\nK:C\nC{'9' * 5000} D|E F G A|]\n", False),
    "ninety-nine thousand notes": ("score.musicxml", one_part(*[C * 4] * 24_750), False),
    "far too much ABC": ("score.abc", "X:1\nM:4/4\nL:1/4\nK:C\n" + "(3CDE F G A|" * 60_000 + "\n", False),
    "endings without end": (
        "score.abc",
        "X:1\nM:4/4\nL:1/4\nK:C\n" + "|:C D E F|1 G A B c:|2 c B A G:|" * 30 + "\n",
        True,
    ),
}


@pytest.mark.parametrize("command", ["build", "check"])
def test_each_has_its_page_or_its_line_and_harms_no_other(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, command: str
) -> None:
    monkeypatch.setenv("SITEGEN_CACHE", str(tmp_path / "store"))
    content = write_content(tmp_path / "content", march=musicxml())
    for place, (name, text, _) in enumerate(KILLERS.values()):
        folder = content / f"killer-{place}"
        folder.mkdir()
        (folder / name).write_text(text, encoding="utf-8")
        front = FRONT.format(title=f"Killer {place}", commentary="Listen.").replace("score.musicxml", name)
        (folder / "piece.md").write_text(front, encoding="utf-8")
    asked = ["build", str(content), "-o", str(tmp_path / "site")] if command == "build" else ["check", str(content)]
    result = CliRunner().invoke(main, asked)
    assert isinstance(result.exception, SystemExit)
    assert result.exit_code == 1
    said = result.stderr.splitlines()
    assert not [line for line in said if OURS.search(line)]
    refused = {
        what
        for place, what in enumerate(KILLERS)
        if any(f"/killer-{place}/" in line and "warning: " not in line for line in said)
    }
    assert refused == {what for what, (_, _, readable) in KILLERS.items() if not readable}
    if command == "build":
        published = {folder.name for folder in (tmp_path / "site" / "pieces").iterdir()}
        readable = {f"killer-{place}" for place, (_, _, can) in enumerate(KILLERS.values()) if can}
        assert published == {"march"} | readable
