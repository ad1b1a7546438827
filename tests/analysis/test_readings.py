"""What the teacher says holds as it stands, and what follows from it is worked out with it."""

from __future__ import annotations

from itertools import pairwise
from pathlib import Path

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from sitegen.analysis import (
    TEACHERS_READING,
    ChordReading,
    KeyReading,
    PhraseReading,
    Readings,
    Texture,
    analyse,
)
from sitegen.analysis.functions import FUNCTIONS
from sitegen.analysis.holding import hold
from sitegen.analysis.texture.table import KINDS
from sitegen.score import read_score
from tests.fugue import fugue
from tests.generated_scores import scores
from tests.notation import score_of

UP, DOWN = "C4q C#4 F4 E4 | A4 Bb4 D4 Eb4 | F#4 B4 G4 G#4", "G#5q G5 B5 F#5 | Eb5 D5 Bb5 A5 | E5 F5 C#5 C5"
ROW = score_of(right=f"{DOWN} | {UP}", left=f"{UP} | {DOWN}")
CADENCE = score_of(right="E5q F5 D5h | C5w", left="C4+G4q D4+A4 G3+B3h | C4+E4w")
NUMERALS = ("I", "V65/V", "bII6", "V64-53", "viiø7", "Ger65", "i6", "V7[no5]", "III+", "#ivo7", "v43")
SYMBOLS = ("C", "F/A", "Bb7/D", "Gsus4", "F#dim7", "Ab7b5", "Dm7b5/C", "C/F", "Ebmaj9")
KEYS = ("C major", "F# minor", "Gb major", "E minor", "B major", "D# minor")
CADENCES = (None, "", "half cadence", "perfect authentic cadence")


def quarters(score, *numbers):
    return [int(number * score.ticks_per_quarter) for number in numbers]


def with_chord(score, onset, end, name, **more):
    first, last = quarters(score, onset, end)
    return analyse(score, Readings(chords=(ChordReading(first, last, name),), **more))


def named(analysis):
    return [(h.numeral, h.symbol) for h in analysis.harmonies]


# chords


def test_a_numeral_that_is_given_has_its_symbol():
    score = score_of(right="Ab5q F5 Db5 F5 | B4h. D5q | C5w", left="F3h. Ab3q | G3w | C3w", key=-3)
    said = next(h for h in with_chord(score, 0, 4, "bII6").harmonies if h.onset == 0)
    assert (said.numeral, said.symbol, said.root, said.bass, said.reasons) == ("bII6", "Db/F", 1, 5, TEACHERS_READING)
    assert said.key is not None


def test_a_symbol_that_is_given_has_its_numeral_in_the_key_there():
    analysis = with_chord(CADENCE, 1, 2, "F/A")
    said = analysis.harmony_at(CADENCE.ticks_per_quarter)
    assert (said.key, said.numeral, said.symbol) == ("C major", "IV6", "F/A")


def test_a_name_of_her_own_stays_beside_the_one_that_follows():
    score = score_of(right="Ab5q F5 Db5 F5 | B4h. D5q | C5w", left="F3h. Ab3q | G3w | C3w", key=-3)
    assert named(with_chord(score, 0, 4, "N6"))[0] == ("N6", "Db/F")


def test_a_chord_without_end_lasts_as_long_as_what_is_heard_there():
    heard = analyse(CADENCE).harmonies
    place = next(k for k, h in enumerate(heard) if h.symbol == "G")
    analysis = analyse(CADENCE, Readings(chords=(ChordReading(heard[place].onset, None, "G7"),)))
    assert [(h.onset, h.end) for h in analysis.harmonies] == [(h.onset, h.end) for h in heard]
    assert analysis.harmonies[place].symbol == "G7"


def test_a_chord_that_is_heard_anyway_changes_nothing():
    heard = analyse(CADENCE)
    for harmony in heard.harmonies:
        for name in (harmony.numeral, harmony.symbol):
            said = analyse(CADENCE, Readings(chords=(ChordReading(harmony.onset, harmony.end, name),)))
            assert [(h.onset, h.numeral, h.symbol) for h in said.harmonies] == [
                (h.onset, h.numeral, h.symbol) for h in heard.harmonies
            ]


def test_what_lies_around_a_chord_is_heard_in_its_light():
    """Over a bare tonic all is C major; where the teacher hears its applied dominant, E minor's key takes the rest."""
    score = score_of(right="G5w | B5h A5 | G5w | B5w", left="E4w | D#4w | E4w | E4w")
    plain = analyse(score)
    said = with_chord(score, 4, 8, "B7/D#")
    assert said.harmony_at(4 * score.ticks_per_quarter).numeral == "V65"
    assert {h.key for h in said.harmonies} == {"E minor"}
    assert said.harmony_at(0).numeral == "i"
    assert len(said.tension) == len(said.harmonies)
    assert plain.notes.keys() == said.notes.keys()


def test_the_functions_of_notes_follow_the_chord():
    q = CADENCE.ticks_per_quarter
    before, after = analyse(CADENCE), with_chord(CADENCE, 2, 4, "G7")
    assert before.harmony_at(2 * q).symbol == "G"
    assert after.notes["D5"].function == "chord tone"
    wrong = with_chord(CADENCE, 2, 4, "C/G")
    assert wrong.notes["D5"].function != "chord tone"
    assert wrong.tension != before.tension


def test_a_chord_of_tones_that_the_search_does_not_know_is_taken_too():
    analysis = with_chord(CADENCE, 1, 2, "Dsus4")
    said = analysis.harmony_at(CADENCE.ticks_per_quarter)
    assert (said.symbol, said.pitch_classes, said.root, said.bass) == ("Dsus4", frozenset({2, 7, 9}), 2, 2)


def test_a_name_that_is_no_chord_is_refused():
    with pytest.raises(ValueError, match="'H9x' is no chord"):
        with_chord(CADENCE, 0, 1, "H9x")


WALTZ = score_of(
    right="C5h. | C5 | B4 | C5", left="C3q E3+G3 E3+G3 | C3 E3+G3 E3+G3 | G2 D3+F3 D3+F3 | C3h.", metre="3/4"
)


def test_a_bass_that_is_given_stays_where_an_after_beat_is_none():
    first, end = quarters(WALTZ, 1, 3)
    analysis = analyse(WALTZ, Readings(chords=(ChordReading(first, end, "C/E"),)))
    assert analyse(WALTZ).harmony_at(first).symbol == "C"
    assert (analysis.harmony_at(first).symbol, analysis.harmony_at(first - 1).symbol) == ("C/E", "C")


def test_a_six_four_is_cadential_where_it_is_called_so():
    score = score_of(right="E4+G4+C5h F4+A4+C5h | E4+G4+C5h D4+G4+B4h | E4+G4+C5w", left="C3h F3h | G3h G2h | C3w")
    for name in ("V64-53", "I64"):
        said = with_chord(score, 4, 6, name).harmony_at(quarters(score, 4)[0])
        assert (said.numeral, said.symbol) == (name, "C/G")


def test_a_chord_where_none_is_heard_lasts_for_its_bar():
    first, end = quarters(ROW, 4, 8)
    assert not analyse(ROW).harmony_at(first).pitch_classes
    said = analyse(ROW, Readings(chords=(ChordReading(first, None, "Dm"),))).harmony_at(first)
    assert (said.symbol, said.onset, said.end) == ("Dm", first, end)


def test_a_note_that_is_called_a_chord_tone_does_not_press_on():
    """The F leans on the E over C, and is felt as tension; as a tone of the chord it rests."""
    score = score_of(right="F5h E5 | E5w", left="C3+E3+G3w | C3+E3+G3")
    tension = analyse(score, Readings(functions={"F5": "chord tone"})).tension[0]
    assert dict(tension.parts)["foreign notes"] < dict(analyse(score).tension[0].parts)["foreign notes"]


# keys


def test_a_key_is_given_to_notes_that_fit_none():
    assert {h.key for h in analyse(ROW).harmonies} == {None}
    assert {h.key for h in analyse(ROW, Readings(keys=(KeyReading(0, ROW.end, "E minor"),))).harmonies} == {"E minor"}


def test_a_key_holds_over_its_bars_and_names_the_chords_in_it():
    score = score_of(right="C5q E5 G5 E5 | C5 E5 A5 E5 | D5 F#5 A5 F#5 | G5w", left="C3w | A2 | D3 | G2", key=0)
    first, last = quarters(score, 0, 16)
    analysis = analyse(score, Readings(keys=(KeyReading(first, last, "G major"),)))
    assert {h.key for h in analysis.harmonies} == {"G major"}
    assert [h.numeral for h in analysis.harmonies] == ["IV", "ii", "V", "I"]


def test_a_key_is_called_as_the_teacher_calls_it():
    score = score_of(right="F#5q A#5 C#6 A#5 | F#5w", left="F#3w | F#3w", key=6)
    first, last = quarters(score, 0, 8)
    analysis = analyse(score, Readings(keys=(KeyReading(first, last, "Gb major"),)))
    assert {(h.key, h.symbol) for h in analysis.harmonies} == {("Gb major", "Gb")}


@pytest.mark.filterwarnings("error::RuntimeWarning")
def test_a_key_follows_a_chord_that_it_has_not():
    """C major is no chord of F# minor, so nothing leads from one to the other but the teacher's word."""
    first, end = quarters(CADENCE, 4, 8)
    said = with_chord(CADENCE, 0, 4, "C", keys=(KeyReading(first, end, "F# minor"),))
    assert [(h.symbol, h.key) for h in said.harmonies][-1][1] == "F# minor"
    assert said.harmony_at(0).symbol == "C"


def test_a_numeral_counts_in_the_key_that_is_given_with_it():
    first, last = quarters(CADENCE, 0, 4)
    said = with_chord(CADENCE, 2, 4, "I", keys=(KeyReading(first, last, "G major"),))
    harmony = said.harmony_at(2 * CADENCE.ticks_per_quarter)
    assert (harmony.key, harmony.numeral, harmony.symbol) == ("G major", "I", "G")


# phrases

EIGHT = score_of(
    right="C5q E5 G5 E5 | D5 F5 A5 F5 | E5 G5 C6 G5 | D5w | C5q E5 G5 E5 | D5 F5 A5 F5 | B4 D5 G5 D5 | C5w",
    left="C3w | F3 | C3 | G2 | C3 | F3 | G2 | C3",
)


def phrases(*said):
    found = analyse(EIGHT, Readings(phrases=tuple(PhraseReading(*one) for one in said))).phrases
    return [(p.onset // quarters(EIGHT, 4)[0] + 1, p.duration // quarters(EIGHT, 4)[0]) for p in found]


def test_a_phrase_begins_where_the_teacher_says():
    assert phrases() == [(1, 4), (5, 4)]
    bar = quarters(EIGHT, 4)[0]
    assert (4, 5) in phrases((3 * bar,))
    assert phrases((2 * bar,), (6 * bar,))[1:] == [(3, 4), (7, 2)]


def test_a_stretch_is_one_phrase_and_the_rest_is_divided_around_it():
    bar = quarters(EIGHT, 4)[0]
    assert phrases((0, 8 * bar)) == [(1, 8)]
    assert phrases((2 * bar, 6 * bar)) == [(1, 2), (3, 4), (7, 2)]


def test_a_phrase_ends_with_the_cadence_that_the_teacher_hears():
    bar = quarters(EIGHT, 4)[0]
    for cadence in ("half cadence", ""):
        said = Readings(phrases=(PhraseReading(4 * bar, 8 * bar, cadence),))
        assert analyse(EIGHT, said).phrases[-1].cadence == cadence


# textures


def test_a_texture_holds_for_its_hand_and_stretch_only():
    score = score_of(right="C5w | C5 | C5", left="C3e G3 E3 G3 C3 G3 E3 G3 | C3 G3 E3 G3 C3 G3 E3 G3 | C3w")
    first, middle = quarters(score, 2, 4)
    found = analyse(score, Readings(textures=(Texture(2, first, middle - first, "tremolo"),))).textures
    left = [(t.onset, t.end, t.kind) for t in found if t.staff == 2]
    assert left[:2] == [(0, first, "Alberti bass"), (first, middle, "tremolo")]
    assert [t for t in found if t.staff == 1] == [t for t in analyse(score).textures if t.staff == 1]


# functions

SIGH = score_of(right="C5q F5 E5 D5 | C5w", left="C4+E4+G4w | C4+E4+G4")


def test_a_function_that_is_given_goes_to_the_note_after():
    note = analyse(SIGH, Readings(functions={"E5": "appoggiatura"})).notes["E5"]
    assert (note.function, note.resolves_to, note.reasons) == ("appoggiatura", "D5", TEACHERS_READING)


def test_what_leads_to_a_note_follows_its_function():
    """The F5 leans on a chord tone; on a note that is foreign itself it cannot."""
    assert analyse(SIGH).notes["F5"].resolves_to == "E5"
    assert analyse(SIGH, Readings(functions={"E5": "passing note"})).notes["F5"].resolves_to != "E5"


# lines

DUET = score_of(right="E5q F5 G5 E5 | C5w ; C5q D5 E5 C5 | E4w", left="C3h G3 | C3w")


def line(analysis, name):
    return [id for found, chain in analysis.lines if found == name for id in chain]


def test_a_note_is_of_the_line_that_the_teacher_gives_it_to():
    plain = analyse(DUET)
    assert line(plain, "melody")[:2] == ["E5", "F5"]
    sung = analyse(DUET, Readings(lines={"D5": "melody", "F5": "inner"}))
    assert line(sung, "melody")[:2] == ["E5", "D5"]
    assert sung.notes["F5"].line == "inner"
    none = analyse(DUET, Readings(lines={"C3": None, "G3": "inner"}))
    assert (none.notes["C3"].line, none.notes["G3"].line) == (None, "inner")


def test_depth_and_phrases_follow_the_line():
    moved = analyse(DUET, Readings(lines={"D5": "melody"}))
    assert moved.notes["D5"].depth > analyse(DUET).notes["D5"].depth or line(analyse(DUET), "inner")
    assert moved.notes["F5"].line != "melody"


def test_a_voice_that_the_teacher_sings_is_the_melody_throughout():
    lower = {"C5": "melody", "D5": "melody", "E5.2": "melody", "C5.2": "melody", "E4": "melody"}
    assert line(analyse(DUET, Readings(lines=lower)), "melody") == list(lower)


# counterpoint


def test_a_texture_over_most_of_a_fugue_makes_it_none():
    score = fugue()
    assert analyse(score).counterpoint is not None

    def said(end, kind):
        return Readings(textures=tuple(Texture(staff, 0, end, kind) for staff in (1, 2)))

    assert analyse(score, said(score.end, "chordal")).counterpoint is None
    assert analyse(score, said(score.end, "contrapuntal")).counterpoint is not None
    assert analyse(score, said(score.end // 4, "chordal")).counterpoint is not None


# anything that is said


@st.composite
def said_of(draw, score):
    """Readings of every kind, no two of one kind of the same place."""
    end = score.end

    def stretches(most=2):
        ticks = sorted(draw(st.sets(st.integers(0, end), max_size=2 * most)))
        return list(zip(ticks[::2], ticks[1::2], strict=False))

    names = st.sampled_from(NUMERALS + SYMBOLS)
    chords = [
        ChordReading(a, draw(st.sampled_from([b, b, None])) if k == 0 else b, draw(names))
        for k, (a, b) in enumerate(stretches())
    ]
    keys = [KeyReading(a, b, draw(st.sampled_from(KEYS))) for a, b in stretches(1)]
    if keys:
        chords = [c for c in chords if not c.name.startswith(NUMERALS) or c.end is None or c.end <= keys[0].onset]
    phrases = [
        PhraseReading(a, draw(st.sampled_from([b, None])), draw(st.sampled_from(CADENCES))) for a, b in stretches()
    ]
    textures = [Texture(draw(st.sampled_from([1, 2])), a, b - a, draw(st.sampled_from(KINDS))) for a, b in stretches()]
    ids = draw(st.lists(st.sampled_from([n.id for n in score.notes]), max_size=4, unique=True))
    functions = {id: draw(st.sampled_from(FUNCTIONS)) for id in ids}
    lines, taken = {}, set()
    for note in draw(st.lists(st.sampled_from(score.notes), max_size=6, unique_by=lambda n: n.id)):
        name = draw(st.sampled_from(["melody", "bass", "inner", None]))
        place = name, note.onset, note.staff if name == "inner" else 0
        if name is None or (not note.grace and place not in taken):
            lines[note.id] = name
            taken.add(place)
    return Readings(tuple(chords), tuple(keys), tuple(phrases), tuple(textures), functions, lines)


@pytest.mark.filterwarnings("error::RuntimeWarning")
@given(st.data())
@settings(max_examples=60, deadline=None)
def test_whatever_is_said_holds(data):
    score = data.draw(scores(3))
    assume(any(True for _ in score.sounding()))
    readings = data.draw(said_of(score))
    analysis = analyse(score, readings)
    assert hold(analysis, readings)
    assert [h.end for h in analysis.harmonies[:-1]] == [h.onset for h in analysis.harmonies[1:]]
    assert (analysis.harmonies[0].onset, analysis.harmonies[-1].end) == (0, score.end)
    assert [t.onset for t in analysis.tension] == [h.onset for h in analysis.harmonies]
    assert sum(p.duration for p in analysis.phrases) == score.end
    for staff in score.staves:
        own = [t for t in analysis.textures if t.staff == staff.number]
        assert all(a.end == b.onset for a, b in pairwise(own))
        assert (own[0].onset, own[-1].end) == (0, score.end)
    by_id = {note.id: note for note in score.notes}
    for _, chain in analysis.lines:
        assert all(by_id[a].onset < by_id[b].onset for a, b in pairwise(chain))
    assert analyse(score, readings) == analysis


def test_readings_of_a_real_score_hold_together():
    path = Path(__file__).resolve().parents[3] / "shared/scores/grieg-op43-4.mei"
    if not path.is_file():
        pytest.skip(f"{path} is not there")
    score = read_score(path)
    bars = [bar for bar in score.bars if bar.length]
    readings = Readings(
        chords=(
            ChordReading(bars[2].onset, bars[2].end, "bII6"),
            ChordReading(bars[5].onset, None, "F/A"),
            ChordReading(bars[9].onset, bars[10].end, "Gsus4"),
        ),
        keys=(KeyReading(bars[9].onset, bars[13].end, "Gb major"),),
        phrases=(PhraseReading(bars[3].onset), PhraseReading(bars[8].onset, bars[15].end, "half cadence")),
        textures=(Texture(2, bars[4].onset, bars[6].length, "tremolo"),),
        functions={note.id: "pedal note" for note in score.notes[20:40:7]},
        lines={note.id: None for note in score.notes[50:70:5]},
    )
    assert hold(analyse(score, readings), readings)
