"""Every name of a chord that the analysis prints can be written into an adjustment."""

from __future__ import annotations

from pathlib import Path

import pytest

from sitegen.analysis import analyse, describe
from sitegen.analysis.chords.spelled import spell
from sitegen.places.printing import place_of_tick
from sitegen.reduction import Wish, parse_wishes, readings_of, unmatched
from sitegen.score import read_score

DEMO = sorted((Path(__file__).parents[2] / "content").glob("*/score.*"))
SHARED = Path(__file__).resolve().parents[3] / "shared/scores"


def chord(name, key="C major"):
    spelled = spell(name, key)
    return sorted(spelled.pitch_classes), spelled.bass, spelled.root


@pytest.mark.parametrize(
    ("name", "key", "found"),
    [
        ("V64-53", "C major", ([0, 4, 7], 7, 0)),
        ("V64-53", "C minor", ([0, 3, 7], 7, 0)),
        ("V65/V", "C major", ([0, 2, 6, 9], 6, 2)),
        ("viiø7", "C major", ([2, 5, 9, 11], 11, 11)),
        ("Ger65", "C major", ([0, 3, 6, 8], 8, 6)),
        ("bII6", "C minor", ([1, 5, 8], 5, 1)),
        ("V7[no5]", "C major", ([5, 7, 11], 7, 7)),
        ("Fmaj7/A", "C major", ([0, 4, 5, 9], 9, 5)),
        ("G7sus4", "C major", ([0, 2, 5, 7], 7, 7)),
        ("Bb7/D", "F major", ([2, 5, 8, 10], 2, 10)),
    ],
)
def test_a_name_of_the_analysis_is_its_chord(name, key, found):
    assert chord(name, key) == found


def test_a_cadential_six_four_is_written_as_textbooks_do_and_its_former_name_means_the_same():
    assert spell("Cad64", "C major") == spell("V64-53", "C major")
    assert spell("Cad64", "C major").numeral == "V64-53"
    assert chord("V64", "C major") == ([2, 7, 11], 2, 7)
    score = read_score(DEMO[0])
    said = readings_of(score, parse_wishes([Wish({"at": "bar 2", "chord": "Cad64"}, 1)], "piece.md"))
    assert said.chords[0].name == "V64-53"


def test_what_else_a_musician_writes_is_understood_too():
    assert chord("N6") == ([1, 5, 8], 5, 1)
    assert chord("C6") == ([0, 4, 7, 9], 0, 0)
    assert spell("H9x") is None


def names_come_back(path):
    score = read_score(path)
    analysis = analyse(score)
    entries = []
    for harmony in analysis.harmonies:
        place = place_of_tick(score, harmony.onset)
        assert harmony.symbol is None or harmony.symbol in describe(score, analysis)
        for name in filter(None, (harmony.numeral, harmony.symbol)):
            spelled = spell(name, harmony.key)
            assert (spelled.pitch_classes, spelled.bass) == (harmony.pitch_classes, harmony.bass), name
            entries.append(Wish({"at": place, "chord": name}, len(entries) + 1))
    said = parse_wishes(entries, "piece.md")
    assert unmatched(score, said) == []
    some = parse_wishes(entries[:20], "piece.md")
    after = analyse(score, readings_of(score, some))
    # what comes after the last of them may be heard otherwise, by the habits of what is known
    told = {entry.data["at"] for entry in entries[:20] if isinstance(entry.data, dict)}
    first, again = (
        {place_of_tick(score, h.onset): h.pitch_classes for h in one.harmonies} for one in (analysis, after)
    )
    assert {at: again.get(at) for at in told} == {at: first[at] for at in told}


@pytest.mark.parametrize("path", DEMO, ids=lambda path: path.parent.name)
def test_every_address_and_name_that_is_printed_is_taken_back(path):
    names_come_back(path)


def test_every_address_and_name_of_a_real_score_is_taken_back():
    path = SHARED / "grieg-op43-4.mei"
    if not path.is_file():
        pytest.skip(f"{SHARED} is not there")
    names_come_back(path)
