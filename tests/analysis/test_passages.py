"""Passages: which bars are of which texture, a phrase or more each, and what they are called."""

from __future__ import annotations

from dataclasses import replace

from sitegen.analysis import analyse
from sitegen.analysis.describing import describe
from sitegen.analysis.nouns import Analysis, Counterpoint, NoteReading, Passage, Phrase, Texture
from sitegen.analysis.texture.passage_words import ACCOMPANIES, DOES, in_words
from sitegen.analysis.texture.passages import find_passages
from sitegen.analysis.texture.table import KINDS
from sitegen.score import Pitch, Score
from tests.fugue import fugue, sonata_with_fugato
from tests.notation import score_of


def passages(
    right: str, left: str = "", sung: str = "right", phrases: str = "", music: Score | None = None
) -> list[str]:
    """The passages of a score whose hands have textures, each with its number of bars: ``"4 melody, 4 silent"``. In
    each bar ``sung`` is the hand of the melody; ``phrases`` are the bars in which one begins."""
    rows = [
        [(int(n), kind) for n, kind in (part.split(" ", 1) for part in text.split(", "))]
        for text in (right, left or right)
    ]
    bars = sum(n for n, _ in rows[0])
    score = music or score_of(right=" ".join(["C5h D5"] * bars), left=" ".join(["C3h E3q F3"] * bars) if left else "")
    length = score.bars[0].length
    textures = []
    for staff, row in enumerate(rows[: len(score.staves)], 1):
        onset = 0
        for count, kind in row:
            textures.append(Texture(staff, onset, count * length, kind))
            onset += count * length
    melody = {"right": 1, "left": 2}[sung]
    notes = {n.id: NoteReading("chord tone", line="melody" if n.staff == melody else None) for n in score.notes}
    begins = tuple(Phrase((int(bar) - 1) * length, length) for bar in phrases.split())
    analysis = Analysis((), notes, tuple(textures), phrases=begins)
    found = find_passages(score, analysis)
    return [f"{p.duration // length} {in_words(p)}" for p in found]


def test_a_texture_that_holds_for_a_phrase_is_a_passage():
    assert passages("12 melody", "4 Alberti bass, 4 chordal, 4 Alberti bass", phrases="1 5 9") == [
        "4 melody over an Alberti bass", "4 melody over chords", "4 melody over an Alberti bass",
    ]  # fmt: skip


def test_what_comes_and_goes_within_a_phrase_is_none():
    assert passages("12 melody", "4 Alberti bass, 3 chordal, 5 Alberti bass") == ["12 melody over an Alberti bass"]
    assert passages("6 melody, 2 chordal", "8 Alberti bass") == ["8 melody over an Alberti bass"]


def test_three_bars_are_no_phrase_even_where_both_hands_change():
    assert passages("4 melody, 3 chordal, 5 melody", "4 Alberti bass, 3 chordal, 5 Alberti bass", phrases="1") == [
        "12 melody over an Alberti bass"
    ]


def test_what_begins_within_a_phrase_must_hold_for_longer():
    assert passages("12 melody", "4 Alberti bass, 4 chordal, 4 Alberti bass", phrases="1") == [
        "12 melody over an Alberti bass"
    ]
    assert passages("14 melody", "4 Alberti bass, 6 chordal, 4 Alberti bass", phrases="1")[1] == "6 melody over chords"


def test_figures_of_one_kind_are_one_texture_called_by_what_most_bars_have():
    assert passages("8 melody", "3 Alberti bass, 5 broken chord") == ["8 melody over broken chords"]


def test_a_passage_begins_with_a_phrase_if_it_can():
    """One hand changes in bar 5, the other in bar 6: the phrase decides."""
    assert passages("4 melody, 5 chordal", "5 Alberti bass, 4 chordal", phrases="1 6")[0].startswith("5 ")
    assert passages("4 melody, 5 chordal", "5 Alberti bass, 4 chordal", phrases="1 5")[0].startswith("4 ")


def test_a_hand_that_rests_for_some_bars_does_not_change_the_texture():
    four = passages("4 melody, 4 silent, 4 melody", "12 broken chord", phrases="1 5 9")
    assert four == ["12 melody over broken chords"]
    eight = passages("4 melody, 8 silent, 4 melody", "16 broken chord", phrases="1 5 13")
    assert eight[1] == "8 broken chords, the left hand alone"
    assert passages("6 melody", "6 silent") == ["6 melody, the right hand alone"]
    assert passages("6 silent", "6 arpeggio") == ["6 arpeggios, the left hand alone"]


def test_a_bar_in_which_nothing_sounds_goes_on_as_before():
    assert passages("4 melody, 2 silent, 2 melody", "4 chordal, 2 silent, 2 chordal") == ["8 melody over chords"]


def test_hands_that_do_alike_are_told_together():
    assert passages("4 broken chord", "4 arpeggio") == ["4 broken chords in both hands"]
    assert passages("4 chordal", "4 octave doubling") == ["4 chords in both hands"]
    assert passages("4 contrapuntal", "4 contrapuntal") == ["4 several voices in both hands"]
    assert passages("4 melody", "4 melody") == ["4 melody over a bass line"]


def test_octaves_lead_where_the_other_hand_repeats_its_chord():
    assert passages("4 octave doubling", "4 repeated chords") == ["4 melody in octaves over repeated chords"]
    assert passages("4 repeated chords", "4 octave doubling") == ["4 repeated chords over octaves"]
    assert passages("4 repeated chords", "4 octave doubling", sung="left") == [
        "4 melody in the left hand under repeated chords"
    ]


def test_a_melody_below_figures_is_in_the_left_hand():
    assert passages("4 broken chord", "4 melody", sung="left") == ["4 melody in the left hand under broken chords"]
    assert passages("4 broken chord", "4 melody") == ["4 broken chords over a bass line"]


def test_both_hands_in_octaves_play_one_line():
    """Of four notes three are the same in both hands; of four, two are not enough."""
    same = score_of(right=" ".join(["C5q D5 E5 F5"] * 4), left=" ".join(["C4q D4 E4 A3"] * 4))
    other = score_of(right=" ".join(["C5q D5 E5 F5"] * 4), left=" ".join(["C4q D4 C4 A3"] * 4))
    slow = score_of(right=" ".join(["C5h D5"] * 4), left=" ".join(["C4h D4"] * 4))
    three = score_of(right=" ".join(["C5h D5q E5"] * 4), left=" ".join(["C4h D4q E4"] * 4))
    assert passages("4 melody", "4 melody", music=three) == ["4 both hands play one line"]
    assert passages("4 melody", "4 melody", music=same) == ["4 both hands play one line"]
    assert passages("4 melody", "4 melody", music=other) == ["4 melody over a bass line"]
    assert passages("4 melody", "4 melody", music=slow) == ["4 melody over a bass line"]


def test_a_piece_of_one_staff_and_one_of_two_bars_have_a_passage_too():
    assert passages("8 melody") == ["8 melody, the right hand alone"]
    assert passages("2 melody", "2 chordal") == ["2 melody over chords"]
    assert find_passages(replace(score_of(right="rw"), bars=()), Analysis((), {})) == ()


def test_a_fugue_is_one_passage():
    analysis = analyse(fugue())
    assert [in_words(p) for p in analysis.passages] == ["counterpoint in three voices"]


def test_a_fugato_is_found_within_a_sonata():
    score = sonata_with_fugato()
    analysis = analyse(score)
    assert analysis.counterpoint is None
    page = describe(score, analysis).splitlines()
    first = page.index("Texture: bars 1-8: melody over an Alberti bass")
    assert page[first + 1 : first + 4] == [
        "Texture: bars 9-16: counterpoint in three voices",
        "Counterpoint: 3 voices, 6 entries of the subject",
        "  bar 9, beat 1, voice 2 from the top: real, from C5",
    ]
    assert "Texture: bars 17-24: melody over an Alberti bass" in page


def test_voices_that_do_not_begin_alone_are_no_fugato():
    """The same with a low note under the last eighth of the first bar; with a pedal; with two held notes below."""
    score = fugue()
    below = next(n for n in score.notes if n.staff == 2)
    low = replace(below, id="low", bar=0, onset=score.bars[0].end - 2)
    held = [
        replace(below, id=f"{name}{bar.index}", bar=bar.index, onset=bar.onset, duration=bar.length, voice=voice,
                pitch=Pitch(name, 0, 2))
        for bar in score.bars[2:]
        for voice, name in ((7, "C"), (8, "E"))
    ]  # fmt: skip
    for extra, found in (((), True), ((low,), False), (held[::2], True), (held, False)):
        other = replace(score, notes=tuple(sorted((*score.notes, *extra), key=lambda n: n.onset)))
        analysis = Analysis((), {n.id: NoteReading("chord tone") for n in other.notes}, (
            Texture(1, 0, score.end, "contrapuntal"), Texture(2, 0, score.end, "melody"),
        ))  # fmt: skip
        (passage,) = find_passages(other, analysis)
        assert (passage.counterpoint is not None) == found


def test_every_texture_has_its_words():
    assert {*KINDS, ""} == set(DOES) == set(ACCOMPANIES)
    assert all((*DOES.values(), *ACCOMPANIES.values()))


def test_the_voices_of_counterpoint_are_told_by_number():
    told = [in_words(Passage(0, 4, "counterpoint", counterpoint=Counterpoint((("a",),) * n, ()))) for n in range(2, 7)]
    assert told == [f"counterpoint in {number} voices" for number in ("two", "three", "four", "five", "6")]
