"""The textures: what each is called, to which family it belongs, and what it looks like. A new one is a row here.

The definitions are those of the trade: Alberti bass lowest-highest-middle-highest (Grove Music Online, "Alberti bass"),
waltz, march and stride basses, a low note on the beat and a chord, or two, after it; the others after Berry, Structural
Functions in Music (1976), ch. 2, and Schoenberg, Fundamentals of Musical Composition (1967), ch. 9, on accompaniment.
"""

from __future__ import annotations

from sitegen.analysis.texture.ways import FALLBACK, NO, YES, Family, TextureKind, WayOfWriting, at_least, at_most

TEXTURES = (
    TextureKind(
        "tremolo",
        "two notes or chords shaken in turn",
        "figures",
        alone="tremolo",
        below="a tremolo",
        ways=(
            WayOfWriting({"tremolo signs": at_least(0.6)}),
            WayOfWriting(
                {
                    "alternating": at_least(0.85),
                    "attacks a beat": at_least(3.9),
                    "attacks": at_least(6),
                    "steps": at_most(0.3),
                }
            ),
        ),
    ),
    TextureKind(
        "Alberti bass",
        "lowest, highest, middle, highest",
        "figures",
        alone="broken chords",
        below="an Alberti bass",
        ways=(
            WayOfWriting(
                {"Alberti": at_least(0.7), "even": at_least(0.7), "single": at_least(0.9), "chord tones": at_least(0.6)}
            ),
        ),
    ),
    TextureKind(
        "arpeggio",
        "a chord broken over more than an octave, in one sweep",
        "figures",
        alone="arpeggios",
        below="arpeggios",
        ways=(
            WayOfWriting(
                {
                    "leaps": at_least(0.6),
                    "chord tones": at_least(0.7),
                    "single": at_least(0.8),
                    "sweep": at_least(4),
                    "span": at_least(14),
                    "attacks a beat": at_least(1.9),
                }
            ),
            # three notes are a sweep where they leave the hand: a bass and its chord spread out above it, twice a bar
            WayOfWriting(
                {
                    "left hand": YES,
                    "leaps": at_least(0.6),
                    "chord tones": at_least(0.7),
                    "single": at_least(0.8),
                    "reach": at_least(14),
                    "attacks a beat": at_least(1.9),
                }
            ),
        ),
    ),
    TextureKind(
        "broken chord",
        "a chord whose notes follow each other within the hand",
        "figures",
        alone="broken chords",
        below="broken chords",
        ways=(
            WayOfWriting(
                {
                    "left hand": YES,
                    "leaps": at_least(0.6),
                    "chord tones": at_least(0.75),
                    "single": at_least(0.7),
                    "even": at_least(0.6),
                    "attacks a beat": at_least(1.9),
                    "attacks": at_least(3),
                    "span": at_most(21),
                },
                0.9,
            ),
            # eighths of a right hand that outline a chord are as a rule a tune
            WayOfWriting(
                {
                    "left hand": NO,
                    "leaps": at_least(0.6),
                    "chord tones": at_least(0.75),
                    "single": at_least(0.7),
                    "even": at_least(0.6),
                    "attacks a beat": at_least(2.9),
                    "attacks": at_least(3),
                    "span": at_most(21),
                },
                0.9,
            ),
            WayOfWriting(
                {
                    "leaps": at_least(0.6),
                    "chord tones": at_least(0.75),
                    "double": (0.3, 0.7),
                    "even": at_least(0.7),
                    "attacks a beat": at_least(2.9),
                    "attacks": at_least(6),
                },
                0.8,
            ),
            # a left hand whose chords are hard to name is still figuration rather than a tune
            WayOfWriting(
                {
                    "left hand": YES,
                    "leaps": at_least(0.45),
                    "chord tones": at_least(0.5),
                    "single": at_least(0.7),
                    "even": at_least(0.6),
                    "attacks a beat": at_least(1.9),
                    "attacks": at_least(4),
                },
                0.6,
            ),
        ),
    ),
    TextureKind(
        "waltz bass",
        "a bass, and its chord on the second and third beat",
        "patterns",
        alone="a waltz bass",
        below="a waltz bass",
        ways=(
            WayOfWriting(
                {"left hand": YES, "bass then chord": at_least(0.8), "triple": YES, "chords a bass": (1.5, 2.5)}
            ),
        ),
    ),
    TextureKind(
        "stride bass",
        "a low bass and a chord in turn, a leap apart",
        "patterns",
        alone="a stride bass",
        below="a stride bass",
        ways=(
            WayOfWriting(
                {
                    "left hand": YES,
                    "bass then chord": at_least(0.7),
                    "triple": NO,
                    "chords a bass": at_most(1.4),
                    "bass to chord": at_least(12),
                    "attacks": at_least(4),
                }
            ),
        ),
    ),
    TextureKind(
        "march bass",
        "a bass on the strong beats and its chord between them, close together",
        "patterns",
        alone="a march bass",
        below="a march bass",
        ways=(
            WayOfWriting(
                {
                    "left hand": YES,
                    "bass then chord": at_least(0.7),
                    "triple": NO,
                    "chords a bass": at_most(1.4),
                    "bass to chord": at_most(12),
                    "attacks": at_least(4),
                }
            ),
        ),
    ),
    TextureKind(
        "bass and chord",
        "a bass with one chord or more after it",
        "patterns",
        alone="bass notes and chords",
        below="bass notes and chords",
        ways=(  # octaves that step from one bass to the next between the chords
            WayOfWriting(
                {"left hand": YES, "octaves": (0.4, 0.8), "bass then chord": at_least(0.5), "attacks": at_least(4)},
                0.75,
            ),
            WayOfWriting({"left hand": YES, "bass then chord": at_least(0.7), "attacks": at_least(2)}, 0.8),
        ),
    ),
    TextureKind(
        "repeated chords",
        "one chord struck again and again",
        "chords",
        alone="repeated chords",
        below="repeated chords",
        ways=(
            WayOfWriting(
                {
                    "chords": at_least(0.85),
                    "same chord": at_least(0.6),
                    "attacks": at_least(3),
                    "attacks a beat": at_least(0.9),
                }
            ),
        ),
    ),
    TextureKind(
        "octave doubling",
        "one line in octaves",
        "octaves",
        alone="melody in octaves",
        below="octaves",
        both="octaves",
        ways=(
            WayOfWriting({"octaves": at_least(0.85), "attacks": at_least(2)}),
            WayOfWriting({"octaves": at_least(0.5)}, FALLBACK - 0.05),
        ),
    ),
    TextureKind(
        "scale run",
        "a quick scale",
        "run",
        alone="runs",
        below="runs",
        ways=(
            WayOfWriting(
                {
                    "steps": at_least(0.75),
                    "single": at_least(0.9),
                    "run": at_least(6),
                    "attacks a beat": at_least(2.9),
                    "even": at_least(0.7),
                },
                0.9,
            ),
        ),
    ),
    TextureKind(
        "melody and figuration",
        "a tune with the notes of its accompaniment in the same hand",
        "line",
        alone="melody with a figure in the same hand",
        below="a bass line with a figure",
        ways=(
            WayOfWriting(
                {
                    "busier": at_least(2),
                    "busier below": YES,
                    "figure tones": at_least(0.6),
                    "figure rate": at_least(1.9),
                },
                1.1,
            ),
        ),
    ),
    TextureKind(
        "contrapuntal",
        "two lines or more, each with its own rhythm",
        "voices",
        alone="melody with a second voice",
        below="several voices",
        both="several voices",
        ways=(
            WayOfWriting({"own onsets": at_least(0.4), "voice steps": at_least(0.5), "least voice": at_least(2)}, 0.9),
        ),
    ),
    TextureKind(
        "melody",
        "one line",
        "line",
        alone="melody",
        below="a bass line",
        ways=(WayOfWriting({"single": at_least(0.5)}, FALLBACK),),
    ),
    TextureKind(
        "chordal",
        "chords in the rhythm of a tune",
        "chords",
        alone="melody in chords",
        below="chords",
        both="chords",
        ways=(WayOfWriting({"chords": at_least(0.5)}, FALLBACK),),
    ),
    TextureKind(
        "silent",
        "nothing is played",
        "rest",
        alone="rests",
        below="rests",
    ),
)


KINDS = tuple(kind.name for kind in TEXTURES)
OF_ANY_PIECE = frozenset({"silent", "melody"})  # nobody looks for a piece by these


def of_family(family: Family) -> frozenset[str]:
    """The names of the textures of a family."""
    return frozenset(kind.name for kind in TEXTURES if kind.family == family)
