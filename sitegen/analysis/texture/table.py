"""What each texture looks like, as bounds on the measures of ``staff_measures``.

A row fits as well as its worst bound: 1 inside it, falling to 0 at the edge given by ``SLACK`` outside. Rows of one
kind are ways of writing it. ``FALLBACK`` rows are worth less, so that a plainer name is used only where no figure fits.
The definitions are those of the trade: Alberti bass lowest-highest-middle-highest (Grove Music Online, "Alberti bass"),
waltz, march and stride basses, a low note on the beat and a chord, or two, after it; the others after Berry, Structural
Functions in Music (1976), ch. 2, and Schoenberg, Fundamentals of Musical Composition (1967), ch. 9, on accompaniment.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

FIGURE = 1.0
FALLBACK = 0.4
CHANGE = 0.4  # what it costs to change the name from one stretch to the next
HALF_SILENT = 0.45  # half a bar's rest inside a figure is still the figure

INF = float("inf")

# how far outside a bound a measure may lie before the row is out of the question
SLACK = {
    "attacks a beat": 0.5,
    "span": 3.0,
    "reach": 3.0,
    "chords a bass": 0.4,
    "bass to chord": 3.0,
    "busier": 0.5,
}
SHARE_SLACK = 0.25  # for all other measures: shares of 1, and counts, of which one too few is too few


@dataclass(frozen=True, slots=True)
class Row:
    """One way of writing ``kind``: the least and the most of each measure that is bounded."""

    kind: str
    bounds: Mapping[str, tuple[float, float]]
    worth: float = FIGURE


#: What each kind is, for whoever names it.
MEANINGS: Mapping[str, str] = {
    "tremolo": "two notes or chords shaken in turn",
    "Alberti bass": "lowest, highest, middle, highest",
    "arpeggio": "a chord broken over more than an octave, in one sweep",
    "broken chord": "a chord whose notes follow each other within the hand",
    "waltz bass": "a bass, and its chord on the second and third beat",
    "stride bass": "a low bass and a chord in turn, a leap apart",
    "march bass": "a bass on the strong beats and its chord between them, close together",
    "bass and chord": "a bass with one chord or more after it",
    "repeated chords": "one chord struck again and again",
    "octave doubling": "one line in octaves",
    "scale run": "a quick scale",
    "melody and figuration": "a tune with the notes of its accompaniment in the same hand",
    "contrapuntal": "two lines or more, each with its own rhythm",
    "melody": "one line",
    "chordal": "chords in the rhythm of a tune",
    "silent": "nothing is played",
}


def at_least(share: float) -> tuple[float, float]:
    """The bounds of a measure that may be as great as it can be."""
    return share, INF


def at_most(share: float) -> tuple[float, float]:
    """The bounds of a measure that may be as small as it can be."""
    return -INF, share


YES, NO = at_least(1), at_most(0)


TABLE = (
    Row("tremolo", {"tremolo signs": at_least(0.6)}),
    Row(
        "tremolo",
        {"alternating": at_least(0.85), "attacks a beat": at_least(3.9), "attacks": at_least(6), "steps": at_most(0.3)},
    ),
    Row(
        "Alberti bass",
        {"Alberti": at_least(0.7), "even": at_least(0.7), "single": at_least(0.9), "chord tones": at_least(0.6)},
    ),
    Row(
        "arpeggio",
        {
            "leaps": at_least(0.6),
            "chord tones": at_least(0.7),
            "single": at_least(0.8),
            "sweep": at_least(4),
            "span": at_least(14),
            "attacks a beat": at_least(1.9),
        },
    ),
    # three notes are a sweep where they leave the hand: a bass and its chord spread out above it, two sweeps to a bar
    Row(
        "arpeggio",
        {
            "left hand": YES,
            "leaps": at_least(0.6),
            "chord tones": at_least(0.7),
            "single": at_least(0.8),
            "reach": at_least(14),
            "attacks a beat": at_least(1.9),
        },
    ),
    Row(
        "broken chord",
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
    Row(
        "broken chord",
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
    Row(
        "broken chord",
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
    Row(
        "broken chord",
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
    Row("waltz bass", {"left hand": YES, "bass then chord": at_least(0.8), "triple": YES, "chords a bass": (1.5, 2.5)}),
    Row(
        "stride bass",
        {
            "left hand": YES,
            "bass then chord": at_least(0.7),
            "triple": NO,
            "chords a bass": at_most(1.4),
            "bass to chord": at_least(12),
            "attacks": at_least(4),
        },
    ),
    Row(
        "march bass",
        {
            "left hand": YES,
            "bass then chord": at_least(0.7),
            "triple": NO,
            "chords a bass": at_most(1.4),
            "bass to chord": at_most(12),
            "attacks": at_least(4),
        },
    ),
    # octaves that step from one bass to the next between the chords
    Row(
        "bass and chord",
        {"left hand": YES, "octaves": (0.4, 0.8), "bass then chord": at_least(0.5), "attacks": at_least(4)},
        0.75,
    ),
    Row("bass and chord", {"left hand": YES, "bass then chord": at_least(0.7), "attacks": at_least(2)}, 0.8),
    Row(
        "repeated chords",
        {
            "chords": at_least(0.85),
            "same chord": at_least(0.6),
            "attacks": at_least(3),
            "attacks a beat": at_least(0.9),
        },
    ),
    Row("octave doubling", {"octaves": at_least(0.85), "attacks": at_least(2)}),
    Row(
        "scale run",
        {
            "steps": at_least(0.75),
            "single": at_least(0.9),
            "run": at_least(6),
            "attacks a beat": at_least(2.9),
            "even": at_least(0.7),
        },
        0.9,
    ),
    Row(
        "melody and figuration",
        {
            "busier": at_least(2),
            "busier below": YES,
            "figure tones": at_least(0.6),
            "figure rate": at_least(1.9),
        },
        1.1,
    ),
    Row(
        "contrapuntal",
        {"own onsets": at_least(0.4), "voice steps": at_least(0.5), "least voice": at_least(2)},
        0.9,
    ),
    Row("melody", {"single": at_least(0.5)}, FALLBACK),
    Row("chordal", {"chords": at_least(0.5)}, FALLBACK),
    Row("octave doubling", {"octaves": at_least(0.5)}, FALLBACK - 0.05),
)

# A line of its own, by which two hands are heard as counterpoint, and how unlike their rhythms must be
LINE = Row(
    "line", {"single": at_least(0.7), "steps": at_least(0.45), "attacks": at_least(3), "attacks a beat": at_least(0.9)}
)
COUNTERPOINT_WORTH = 0.75
COUNTERPOINT_VOICES = 0.5  # what one staff as counterpoint must be worth to count as a line
COUNTERPOINT_OWN_ONSETS = 0.25
