"""Names of chords: numerals in their key, and lead-sheet symbols, checked against music21's own chords."""

import pytest

from sitegen.analysis.chords.named import NamedChord, chord_named
from sitegen.analysis.chords.naming import name_harmonies, tone_names
from sitegen.analysis.chords.qualities import BY_TONES, QUALITIES
from sitegen.analysis.nouns import Harmony
from sitegen.analysis.reasons import because, chord_words
from sitegen.fifths import fifths_of, spelled
from tests.notation import score_of

SCORE = score_of(right="C5w")
PC = {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}


def pc(name):
    return (PC[name[0]] + name.count("#") - name[1:].count("b")) % 12


def chord(tones, key, root=None, degree="", onset=0):
    """``"B D F G"`` from the bass up, rooted on its first tone if nothing else is said."""
    pcs = [pc(tone) for tone in tones.split()]
    at = pc(root) if root else None
    return Harmony(onset, 1, frozenset(pcs), pcs[0], at, key, degree=degree)


def names(tones, key, root=None, degree=""):
    named = name_harmonies(SCORE, [chord(tones, key, root, degree)])[0]
    return f"{named.numeral} {named.symbol}"


@pytest.mark.parametrize(
    ("tones", "key", "root", "expected"),
    [
        ("C E G", "C major", "C", "I C"),
        ("F A D", "C major", "D", "ii6 Dm/F"),
        ("B D F G", "C major", "G", "V65 G7/B"),
        ("F G B D", "C major", "G", "V42 G7/F"),
        ("B D F Ab", "C minor", "B", "viio7 Bdim7"),
        ("B D F A", "C major", "B", "viiø7 Bm7b5"),
        ("F# A C D", "C major", "D", "V65/V D7/F#"),
        ("C# E G Bb", "C major", "C#", "viio7/ii C#dim7"),
        ("G# B D", "C major", "G#", "viio/vi G#dim"),
        ("C E G Bb", "C major", "C", "V7/IV C7"),
        ("F Ab Db", "C minor", "Db", "bII6 Db/F"),
        ("Bb D G", "D minor", "G", "iv6 Gm/Bb"),
        ("Ab C Eb F#", "C minor", "F#", "Ger65 Ab7"),
        ("Ab C F#", "C minor", "F#", "It6 Ab7(no5)"),
        ("Ab C D F#", "C minor", "D", "Fr43 Ab7b5"),
        ("G B D F Ab", "C minor", "G", "V9 G7b9"),
        ("G B D F A", "C major", "G", "V9 G9"),
        ("B D F G A", "C major", "G", "V65[add9] G9/B"),
        ("D F Ab C", "C minor", "D", "iiø7 Dm7b5"),
        ("Ab C Eb", "C major", "Ab", "bVI Ab"),
        ("F# A C# E", "F# minor", "F#", "i7 F#m7"),
        ("C E G", "C minor", "C", "I C"),
        ("E# G# B D", "F# minor", "E#", "viio7 E#dim7"),
        ("Cb Eb Gb", "Ab minor", "Cb", "III Cb"),
        ("G C D", "C major", "G", "V[no3][add4] Gsus4"),
        ("G C D F", "C major", "G", "V7[no3][add4] G7sus4"),
        # sevenths and ninths that no near key has, as they are called in the key of a degree
        ("C# E# G# B", "C major", "C#", "V7/#IV C#7"),
        ("C# E# G# B D#", "C major", "C#", "V9/#IV C#9"),
        ("C# E# G# B D", "C major", "C#", "V7[addb9]/#IV C#7b9"),
        ("C# E# G## B", "C major", "C#", "V+7/#IV C#7#5"),
        ("F# A# C# E#", "C major", "F#", "I7/#IV F#maj7"),
        ("F# A# C# E# G#", "C major", "F#", "I9/#IV F#maj9"),
        ("C# E G# B", "C major", "C#", "ii7/VII C#m7"),
        ("C# E G# B D#", "C major", "C#", "ii9/VII C#m9"),
        ("F# A C# E", "C major", "F#", "ii7/III F#m7"),
        ("Db F Ab C Eb", "C major", "Db", "I9/bII Dbmaj9"),
        ("Ab C Eb G Bb", "C major", "Ab", "I9/bVI Abmaj9"),
    ],
)
def test_chords_have_the_names_of_the_textbook(tones, key, root, expected):
    assert names(tones, key, root) == expected


def test_spelling_follows_the_key_and_the_degree():
    assert names("C# E G# ", "F# minor", "C#") == "v C#m"
    assert names("Db F Ab", "Gb major", "Db") == "V Db"
    assert names("C# F G#", "F# major", "C#") == "V C#"
    assert names("Eb Gb Bb", "Bb minor", "Eb") == "iv Ebm"


def test_a_six_four_that_moves_to_the_dominant_over_its_bass_is_cadential():
    six_four = chord("G C E", "C major", "C")
    dominant = chord("G B D F", "C major", "G", onset=1)
    subdominant = chord("F A C", "C major", "F", onset=1)
    assert name_harmonies(SCORE, [six_four, dominant])[0].numeral == "V64-53"
    assert name_harmonies(SCORE, [six_four, subdominant])[0].numeral == "I64"
    assert names("G C E", "C major", "C", degree="Cad") == "V64-53 C/G"


def test_how_a_chord_was_heard_chooses_between_two_names():
    assert names("C E G", "C major", "C", degree="V/IV") == "V/IV C"
    assert names("D F# A", "C major", "D", degree="V/V") == "V/V D"
    assert names("F# A C Eb", "C minor", "F#", degree="viio/v") == "viio7/v F#dim7"


def test_a_missing_root_is_found_and_a_missing_key_leaves_the_symbol():
    named = name_harmonies(SCORE, [chord("B D G", None)])[0]
    assert (named.root, named.numeral, named.symbol) == (7, None, "G/B")


def test_what_is_no_chord_gets_no_name():
    assert names("C C# D D# E F", "C major", "C") == "None None"
    silent = Harmony(0, 4, reasons=(because("nothing sounds"),))
    assert name_harmonies(SCORE, [silent]) == (silent,)


def test_a_foreign_bass_is_named_behind_the_stroke():
    seventh = Harmony(0, 1, frozenset({7, 11, 2, 5}), 0, 7, "C major")
    assert name_harmonies(SCORE, [seventh])[0].symbol == "G7/C"


def test_chords_in_a_sentence():
    assert chord_words("C") == "the C major chord"
    assert chord_words("Bbm/Db") == "the Bb minor chord"
    assert chord_words("F#dim7") == "the F#dim7 chord"
    assert tone_names(frozenset({7, 11, 2, 5}), 7) == {7: "root", 11: "third", 2: "fifth", 5: "seventh"}


def test_spelling_and_the_line_of_fifths_are_inverse():
    assert " ".join(spelled(n) for n in range(-8, 9)) == "Fb Cb Gb Db Ab Eb Bb F C G D A E B F# C# G#"
    assert all(fifths_of(spelled(n)) == n for n in range(-20, 21))


def test_no_two_qualities_sound_alike():
    assert len(BY_TONES) == len(QUALITIES)


@pytest.mark.parametrize(("name", "theirs"), [("C major", "C"), ("F# minor", "f#"), ("Eb major", "E-")])
def test_every_numeral_is_the_chord_that_music21_makes_of_it(name, theirs):
    from music21 import key, roman

    signature = key.Key(theirs)
    checked = 0
    for quality in QUALITIES:
        for root in range(12):
            pcs = frozenset((root + tone) % 12 for tone in quality.tones)
            # figures can say neither a ninth nor a suspended fourth in the bass
            for fifths in [f for place, f in enumerate(quality.fifths) if place < 4 and f != -1]:
                bass = (root + fifths * 7) % 12
                named = name_harmonies(SCORE, [Harmony(0, 1, pcs, bass, root, name)])[0]
                if named.numeral is None or (name == "Eb major" and bass != root):
                    continue
                figure = roman.RomanNumeral(named.numeral, signature)
                found = {p.pitchClass for p in figure.pitches}, figure.bass().pitchClass, figure.root().pitchClass
                assert found == (pcs, bass, root), f"{named.numeral} in {name}"
                checked += 1
    assert checked > 150


@pytest.mark.parametrize("key", ["C major", "B major", "Bb minor"])
def test_every_symbol_is_the_chord_that_music21_makes_of_it(key):
    from music21 import harmony

    for quality in QUALITIES:
        for root in range(12):
            pcs = frozenset((root + tone) % 12 for tone in quality.tones)
            written = name_harmonies(SCORE, [Harmony(0, 1, pcs, root, root, key)])[0].symbol
            head, _, _ = written.replace("(no5)", "omit5").replace("maj9", "M9").partition("/")
            flats = len(head[1:]) - len(head[1:].lstrip("b"))
            made = harmony.ChordSymbol(head[0] + "-" * flats + head[1 + flats :])
            assert {p.pitchClass for p in made.pitches} == pcs, written


def test_a_progression_reads_as_a_textbook_prints_it():
    line = [
        chord("D F A", "D minor", "D"), chord("Bb D G", "D minor", "G"), chord("Bb D E G", "D minor", "E"),
        chord("A D F", "D minor", "D"), chord("A C# E G", "D minor", "A"), chord("D F A", "D minor", "D"),
    ]  # fmt: skip
    found = [h.numeral for h in name_harmonies(SCORE, line)]
    assert found == ["i", "iv6", "iiø43", "V64-53", "V7", "i"]


def test_a_chord_written_as_a_french_sixth_has_its_tones_above_the_lowered_fifth():
    # A flat C D F sharp: the root is D, a tritone from the note by which the symbol calls it
    assert chord_named("Ab7b5", "C minor") == NamedChord(frozenset({8, 0, 2, 6}), bass=8, root=2)
