"""The file itself: elements in the order of the schema, figures no longer than needed, read alike by other programs."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from tempfile import TemporaryDirectory
from xml.etree import ElementTree

import pytest
from hypothesis import given, settings

from sitegen.notation import write_stage
from sitegen.score import Clef, Score, Tempo, read_score
from tests.generated_scores import scores
from tests.notation import score_of
from tests.score.oracle import Row, differences, rows_from_music21, rows_of
from tests.writing.reading_back import stage_of

DEMO = sorted(Path(__file__).parents[2].glob("content/*/*.musicxml"))
# the sequences of MusicXML 4.0 (W3C Music Notation Community Group), of what is ever written
SEQUENCES = {
    "score-partwise": "work movement-title identification part-list part",
    "attributes": "divisions key time staves clef",
    "note": "grace chord pitch rest duration tie voice type dot accidental time-modification staff beam notations",
    "pitch": "step alter octave",
    "clef": "sign line clef-octave-change",
    "direction": "direction-type offset staff sound",
    "metronome": "beat-unit beat-unit-dot per-minute",
    "time-modification": "actual-notes normal-notes",
    "barline": "bar-style ending repeat",
    "forward": "duration staff",
}


def _text(score: Score) -> str:
    return write_stage(score, stage_of(score))


def _out_of_order(text: str) -> list[str]:
    found = []
    for element in ElementTree.fromstring(text).iter():
        if element.tag in SEQUENCES:
            places = [SEQUENCES[element.tag].split().index(child.tag) for child in element]
            found += [element.tag] if places != sorted(places) else []
    return found


def _rich() -> Score:
    """Two bars with most of what can stand at notes and between them."""
    score = score_of(
        right="*p D5g E5g F#5e3(!trill!accent!2 G5e3 A5e3) *< Bb5q^ *. *8va rq D6q!small *loco | C5+E5w!arp"
        " ; G4h. A4q | rw",
        left="*ped C3q. C4e *up C5h | C3w",
    )
    first, last = (replace(b, repeat_start=b.index == 0, endings=(1,)) for b in score.bars)
    tempi = (Tempo(0, 90.0, "Andante"), Tempo(24, 60.0))
    clefs = (Clef(1, 0, "G", 2), Clef(2, 0, "F", 4), Clef(2, 24, "G", 2, 1))
    return replace(score, bars=(first, last), tempi=tempi, clefs=clefs, title="A dance", composer="A. B.")


def test_elements_stand_in_the_order_of_the_schema() -> None:
    assert _out_of_order(_text(_rich())) == []
    assert _out_of_order("<note><voice>1</voice><duration>1</duration></note>") == ["note"]


@settings(max_examples=10, deadline=None)
@given(scores())
def test_elements_of_a_generated_score_stand_in_the_order_of_the_schema(score: Score) -> None:
    assert _out_of_order(_text(score)) == []


def _divisions(score: Score) -> str | None:
    return ElementTree.fromstring(_text(score)).findtext(".//divisions")


@pytest.mark.parametrize(
    ("right", "divisions"),
    [("C5w", "1"), ("C5q. D5e E5h", "2"), ("C5e3 D5e3 E5e3 F5q G5h", "3"), ("C5e3 D5e3 E5e3 F5e G5e A5h", "6")],
)
def test_a_quarter_is_divided_as_often_as_its_shortest_part_needs(right: str, divisions: str) -> None:
    assert _divisions(score_of(right=right)) == divisions


def test_a_sign_between_notes_divides_the_quarter_too() -> None:
    assert _divisions(replace(score_of(right="C5w"), tempi=(Tempo(0, 90.0, "Slow"), Tempo(6, 60.0, "Slower")))) == "2"


def test_a_tempo_keeps_its_place_behind_one_of_figures_alone() -> None:
    tempi = (Tempo(0, 90.0), Tempo(8, 90.0, "Andante", 0.0))
    root = ElementTree.fromstring(_text(replace(score_of(right="C5h D5h"), tempi=tempi)))
    order = [e.tag if e.tag == "note" else e[0][0].tag for e in root.iter() if e.tag in ("note", "direction")]
    assert order[:4] == ["metronome", "note", "words", "note"]


def test_a_tempo_that_says_and_changes_nothing_is_not_written() -> None:
    assert (
        ElementTree.fromstring(_text(replace(score_of(right="C5w"), tempi=(Tempo(0, 0.0),)))).find(".//sound") is None
    )
    assert "<direction" not in _text(replace(score_of(right="C5w"), tempi=(Tempo(0, 0.0),)))


def test_a_repeat_begins_before_the_notes_of_every_staff() -> None:
    score = score_of(right="C5w D5w", left="C3w D3w")
    bars = tuple(replace(b, repeat_start=True) for b in score.bars)
    measures = ElementTree.fromstring(_text(replace(score, bars=bars))).iter("measure")
    assert [next(e.tag for e in m if e.tag != "attributes") for m in measures] == ["barline", "barline"]


def test_a_title_may_hold_any_letter() -> None:
    score = replace(score_of(right='*p<>&" C5w'), title="Rise & <fall>", composer="A & B")
    root = ElementTree.fromstring(_text(score))
    assert [root.findtext(name) for name in ("work/work-title", ".//creator", ".//words")] == [
        "Rise & <fall>", "A & B", 'p<>&"'
    ]  # fmt: skip


def _as_music21_reads(score: Score) -> tuple[list[Row], list[Row]]:
    """What it does not find and what it finds beyond. Graces have no place in time: they are all there."""
    with TemporaryDirectory() as folder:
        path = Path(folder) / "stage.musicxml"
        path.write_text(_text(score), encoding="utf-8")
        ours, theirs = rows_of(score), rows_from_music21(path)
    assert sorted(midi for *_, length, midi in ours if not length) == sorted(m for *_, t, m in theirs if not t)
    return differences([row for row in ours if row[2]], [row for row in theirs if row[2]])


@pytest.mark.parametrize("path", DEMO, ids=lambda path: path.parent.name)
def test_music21_finds_the_notes_of_a_piece_of_the_studio(path: Path) -> None:
    assert _as_music21_reads(read_score(path)) == ([], [])


@settings(max_examples=10, deadline=None)
@given(scores())
def test_music21_finds_the_notes_of_a_generated_score(score: Score) -> None:
    assert _as_music21_reads(score) == ([], [])
