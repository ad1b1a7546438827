"""From how much on a remark is made: the bars in which there is just enough of it, and those in which there is less."""

from __future__ import annotations

from dataclasses import replace

import pytest

from sitegen.analysis.nouns import Counterpoint, Entry
from sitegen.reduction import Stage
from sitegen.reduction.material.indexed import gather
from sitegen.reduction.notes.striking import as_is
from sitegen.reduction.remarks import additions, bass, chords, counterpoint, leaning, lines, returns
from sitegen.reduction.remarks.groups import Remark
from sitegen.reduction.remarks.listen_texts import text_of
from sitegen.reduction.remarks.shown import shown
from sitegen.reduction.remarks.wording import name
from sitegen.score import Pitch, Score
from tests.notation import score_of
from tests.reduction.reading import read
from tests.reduction.saying import said, seen, stage_of


def of_bars(remark: Remark, right: str, left: str) -> list[str]:
    """What is said of bars of 4/4 over one chord, as they are written."""
    score = score_of(right=right, left=left)
    return said(remark, score, read(score, f"CEG:{4 * len(score.bars)}"))


def after(remark: Remark, left: str, before: str) -> list[str]:
    """What is said of a left hand over one chord after another left hand."""
    score, earlier = (score_of(right="E5w " * 2, left=text) for text in (left, before))
    analysis = read(score, "CEG:8")
    had = stage_of(earlier, read(earlier, "CEG:8"), "as written")
    return [text_of(s) for s in remark(shown(gather(score, analysis), stage_of(score, analysis, "as written"), had))]


@pytest.mark.parametrize(
    ("left", "sentence"),
    [
        ("C3q E3 G3h | C3w", "In bar 1 the left hand breaks the chord that it held before: keep its shape."),
        ("C3q E3+G3 E3+G3h | C3w", "In bar 1 the left hand parts bass and chord: bass first, then the chord."),
        ("C3h E3+G3 | C3w", None),
    ],
)
def test_a_chord_is_broken_in_three_strokes(left, sentence):
    assert after(additions.broken_again, left, "C3+E3+G3w | C3w") == [sentence] * bool(sentence)


@pytest.mark.parametrize(
    ("remark", "left", "sentence"),
    [
        (
            bass.semitones,
            "C4h B3 | Bb3 A3",
            "From bar 1 to bar 2 the bass sinks by semitones from C to A.",
        ),
        (bass.semitones, "C4h B3 | Bb3w", None),
        (bass.pedal, "C3w C3w C3w G3w", "The bass stays on C from bar 1 to bar 3: know where it moves on."),
        (bass.pedal, "C3w C3w G3w G3w", None),
        (bass.quickening, "C3w | C3h D3q E3", "In bar 2 the bass has 3 notes, more than in any other bar."),
        (bass.quickening, "C3w | C3h D3", None),
        (bass.leap, "C3h D3 | A3 G3", "The bass makes its widest leap to the A in bar 2, a fifth up: find it first."),
        (bass.leap, "E3h F3 | B3 C4", None),
    ],
)
def test_how_much_the_bass_must_do(remark, left, sentence):
    assert of_bars(remark, "E5w " * 4, left) == [sentence] * bool(sentence)


@pytest.mark.parametrize(
    ("remark", "left", "sentence"),
    [
        (
            chords.quickening,
            "C3+E3+G3w | C3+E3+G3q C3+F3+A3 B2+D3+G3h",
            "Bar 2 has 3 different chords, more than any bar before it.",
        ),
        (chords.quickening, "C3+E3+G3w | C3+E3+G3h C3+F3+A3", None),
        (chords.quickening, "C3+E3q F3+A3 B2+D3h | C3+E3+G3q C3+F3+A3 B2+D3+G3h", None),
        (
            chords.kept,
            "C3+E3+G3h C3+F3+A3 | C3+E3+A3 C3+D3+F3 | D3+F3+B3w",
            "From bar 1 to bar 2 every chord has the same C: that finger stays.",
        ),
        (chords.kept, "C3+E3+G3h C3+F3+A3 | C3+E3+G3 C3+E3+A3 | D3+F3+B3w", None),
        # a bar that begins or ends without the note is not among those of which it is said
        (chords.kept, "B2+D3+G3h C3+E3+G3 | C3+F3+A3 C3+D3+F3 | C3+E3+A3 B2+D3+F3", None),
        # where two notes are struck without it, or a bar rests, the finger has left
        (chords.kept, "C3+E3+G3h C3+F3+A3 | D3+F3 C3+E3+A3 | C3+D3+F3w", None),
        (chords.kept, "C3+E3+G3h C3+F3+A3 | rw | C3+E3+A3h C3+D3+F3", None),
        (
            chords.stretch,
            "E3+G3+C4h D3+F3",
            "The left hand stretches widest in bar 1, a sixth up from E: find it first.",
        ),
        (chords.stretch, "C3+E3+G3h D3+F3", None),
        (
            chords.travels,
            "C3+E3+G3h D3+F3+A3 | A3+C4+E4w",
            "The left hand travels furthest to its chord on A in bar 2: be there early.",
        ),
        (chords.travels, "C3+E3+G3h D3+F3+A3 | Ab3+C4+Eb4w", None),
    ],
)
def test_how_much_the_chords_must_do(remark, left, sentence):
    assert of_bars(remark, "C6w " * 3, left) == [sentence] * bool(sentence)


@pytest.mark.parametrize(("bars", "sentences"), [(3, []), (4, ["From bar 3 the music is in G major."])])
def test_a_new_key_lasts_for_four_bars(bars, sentences):
    score = score_of(right="D5w " * 8, left="G3w " * 8)
    analysis = read(score, "GBD:4 " * 8)
    keys = ["C major"] * 2 + ["G major"] * bars + ["C major"] * (6 - bars)
    turned = tuple(replace(harmony, key=key) for harmony, key in zip(analysis.harmonies, keys, strict=True))
    assert said(chords.new_key, score, replace(analysis, harmonies=turned)) == sentences


@pytest.mark.parametrize(
    ("remark", "right", "left", "sentence"),
    [
        (lines.melody_steps, "C5q D5 E5 F5", "C3w", "In bar 1 the melody goes up by step from C to F."),
        (lines.melody_steps, "C5q D5 E5 C5", "C3w", None),
        (
            lines.melody_steps,
            "C5q D5 E5 F5 | G5 A5h.",
            "C3w C3w",
            "The melody goes up by step from C in bar 1 to A in bar 2.",
        ),
        (lines.melody_steps, "C5q D5 E5 F5 | G5 A5 B5h", "C3w C3w", None),
        (
            lines.melody_steps,
            "C5q D5 E5 F5 | G5 A5 B5 C6",
            "C3w C3w",
            "From bar 1 to bar 2 the melody steps up a whole octave from C.",
        ),
        (lines.melody_steps, "C5e D5 E5 F5 G5 A5 B5 C6 | D6w", "C3w C3w", None),
        (
            lines.leap,
            "C5q G5 F5 E5",
            "C3w",
            "The melody makes its widest leap to the G in bar 1, a fifth up.",
        ),
        (lines.leap, "F5q B5 A5 G5", "C3w", None),
        (lines.outer_contrary, "C5q D5 E5 F5", "C4q B3 A3 G3", "In bar 1 the melody goes up while the bass goes down."),
        (lines.outer_contrary, "C5q D5 E5 F5", "C4q B3 A3 C4", None),
        (
            lines.outer_parallels,
            "E4q F4 G4 A4",
            "C4q D4 E4 F4",
            "In bar 1 melody and bass go side by side, in thirds.",
        ),
        (lines.outer_parallels, "E4q F4 G4 B4", "C4q D4 E4 F4", None),
        (
            lines.outer_parallels,
            "A4q B4 C5 D5",
            "C4q D4 E4 F4",
            "In bar 1 melody and bass go side by side, in sixths.",
        ),
        (
            lines.outer_parallels,
            "E5q F5 G5 A5",
            "C4q D4 E4 F4",
            "In bar 1 melody and bass go side by side, in tenths.",
        ),
        (lines.outer_parallels, "C5q D5 E5 F5", "C4q D4 E4 F4", None),
    ],
)
def test_how_far_lines_must_go(remark, right, left, sentence):
    assert of_bars(remark, right, left) == [sentence] * bool(sentence)


@pytest.mark.parametrize(
    ("remark", "right", "left", "sentence"),
    [
        (
            returns.beginning,
            "E5w | D5w | G5w | E5w | D5w",
            "C3w | rw | C3w | C3w | rw",
            "From bar 4 to bar 5 the beginning comes back, note for note.",
        ),
        (returns.beginning, "E5w | D5w | G5w | E5w | D5w", "rw | rw | C3w | rw | rw", None),
        (returns.beginning, "E5w | D5w | G5w | E5w | F5w", "C3+G3w | rw | C3w | C3+G3w | rw", None),
        (returns.twins, "E5h D5 | D5w | E5h D5", "C3w C3w C3w", "Bars 1 and 3 are the same, note for note."),
        (returns.twins, "E5w | D5w | E5w", "C3w C3w C3w", None),
    ],
)
def test_how_much_must_come_back(remark, right, left, sentence):
    assert of_bars(remark, right, left) == [sentence] * bool(sentence)


@pytest.mark.parametrize(("notes", "how_many"), [("C4+E4", 0), ("C4+E4+G4", 1)])
def test_a_chord_has_three_notes(notes, how_many):
    score = score_of(right="C6w", left=f"{notes}w")
    assert len(seen(score, read(score, "CEG:4")).chords) == how_many


@pytest.mark.parametrize(
    ("bars", "listed"),
    [(5, "New here are the ornaments in bars 1, 2, 3, 4 and 5."), (6, "New here is the trill on the E in bar 1.")],
)
def test_five_bars_are_listed_and_not_six(bars, listed):
    score = score_of(right="E5w!trill " * bars, left="C3w " * bars)
    assert said(additions.ornaments, score, read(score, f"CEG:{4 * bars}"), before="bass line")[0] == listed


@pytest.mark.parametrize(
    ("pitch", "words"),
    [(-2, "B double flat"), (-1, "B flat"), (0, "B"), (1, "B sharp"), (2, "B double sharp")],
)
def test_every_sign_of_a_note_has_its_words(pitch, words):
    assert name(Pitch("B", pitch, 4)) == words


@pytest.mark.parametrize(("goal", "leans"), [("C5", True), ("B4", False), ("D5", False)])
def test_a_note_leans_on_its_neighbour_on_the_staff(goal, leans):
    score = score_of(right=f"D5h {goal} | E5w", left="C3w C3w")
    chord = {"C5": "CEG", "B4": "EGB", "D5": "DFA"}[goal]
    found = said(leaning.leaning, score, read(score, f"{chord}:8", functions={"D5": f"appoggiatura > {goal}"}))
    assert bool(found) is leans


def in_voices(entries: int = 4) -> tuple[Score, Counterpoint]:
    """Four voices, the highest first, that enter a bar after each other, and so on from the top again."""
    bars = max(entries, 4)
    score = score_of(right=f"{'C6w ' * bars}; {'G5w ' * bars}", left=f"{'C4w ' * bars}; {'C3w ' * bars}")
    voices = [[n for n in score.notes if n.voice == voice] for voice in (1, 2, 5, 6)]
    found = [
        Entry(score.bars[k].onset, score.bars[k].end, k % 4, (voices[k % 4][k].id,), 0, "real") for k in range(entries)
    ]
    return score, Counterpoint(tuple(tuple(note.id for note in voice) for voice in voices), tuple(found))


def of_voices(remark: Remark, technique: str, entries: int = 4) -> list[str]:
    score, found = in_voices(entries)
    analysis = replace(read(score, f"CEG:{4 * len(score.bars)}"), counterpoint=found)
    stage = Stage(technique, technique, (technique,), tuple(as_is(note) for note in score.notes))
    return [text_of(sentence) for sentence in remark(shown(gather(score, analysis), stage, None))]


@pytest.mark.parametrize(
    ("technique", "bar"),
    [
        ("highest voice alone", 1),
        ("second voice alone", 2),
        ("third voice alone", 3),
        ("fourth voice alone", 4),
        ("lowest voice alone", 4),
    ],
)
def test_which_voice_a_stage_of_one_voice_speaks_of(technique, bar):
    assert of_voices(counterpoint.opening, technique)[-1] == f"This voice has the subject in bar {bar}."


@pytest.mark.parametrize(
    ("technique", "right", "left"),
    [
        ("two highest voices", 1, 2),
        ("two middle voices", 2, 3),
        ("two lowest voices", 3, 4),
        ("highest and lowest voice", 1, 4),
    ],
)
def test_which_voices_a_stage_of_two_speaks_of(technique, right, left):
    assert of_voices(counterpoint.exchange, technique) == [
        f"The right hand has the subject in bar {right}, the left hand in bar {left}."
    ]


@pytest.mark.parametrize(
    ("entries", "sentence"),
    [
        (12, "The subject enters 12 times: in bars 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12."),
        (13, "The subject enters 13 times, first in bar 1, for the last time in bar 13."),
    ],
)
def test_twelve_entries_are_listed_and_not_thirteen(entries, sentence):
    assert of_voices(counterpoint.wherever, "subject wherever it enters", entries) == [sentence]
