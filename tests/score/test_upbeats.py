"""The upbeat is bar 0, whatever number an editor gave it."""

from pathlib import Path

import pytest

from sitegen.score import read_score

BAR = (
    "<measure number='{n}'>{attributes}<note><pitch><step>C</step><octave>5</octave></pitch>"
    "<duration>{d}</duration><type>{t}</type></note></measure>"
)
TIME = "<attributes><divisions>1</divisions><time><beats>4</beats><beat-type>4</beat-type></time></attributes>"


def numbers(tmp_path: Path, first_number: str, first: tuple[int, str], second: str = "2") -> list[str]:
    """The bar numbers of a score of three bars, of which the first is ``first`` (quarters, type) long."""
    bars = [(first_number, TIME, *first), (second, "", 4, "whole"), ("3", "", 4, "whole")]
    text = "".join(BAR.format(n=n, attributes=a, d=d, t=t) for n, a, d, t in bars)
    head = "<part-list><score-part id='P1'><part-name/></score-part></part-list>"
    file = tmp_path / "score.musicxml"
    file.write_text(f"<score-partwise>{head}<part id='P1'>{text}</part></score-partwise>")
    return [bar.number for bar in read_score(file).bars]


def test_an_upbeat_numbered_one_is_bar_nought(tmp_path: Path) -> None:
    assert numbers(tmp_path, "1", (1, "quarter")) == ["0", "1", "2"]


def test_a_full_first_bar_keeps_its_number(tmp_path: Path) -> None:
    assert numbers(tmp_path, "1", (4, "whole")) == ["1", "2", "3"]


def test_an_upbeat_numbered_nought_changes_nothing(tmp_path: Path) -> None:
    assert numbers(tmp_path, "0", (1, "quarter")) == ["0", "2", "3"]


@pytest.mark.parametrize("odd", ["\u00b2", "9" * 5000, "x"])
def test_after_an_upbeat_a_number_that_counts_nothing_is_kept(tmp_path: Path, odd: str) -> None:
    assert numbers(tmp_path, "1", (1, "quarter"), odd)[::2] == ["0", "2"]
