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
    "attacks": 0.5,
    "attacks a beat": 0.5,
    "span": 3.0,
    "chords a bass": 0.4,
    "bass to chord": 3.0,
    "sweep": 1.0,
    "run": 1.0,
    "busier": 0.5,
    "voices": 0.5,
}
SHARE_SLACK = 0.25  # for all other measures, which are shares of 1


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

TABLE = (
    Row("tremolo", {"tremolo signs": (0.6, 1)}),
    Row("tremolo", {"alternating": (0.85, 1), "attacks a beat": (3.9, INF), "attacks": (6, INF), "steps": (0, 0.3)}),
    Row("Alberti bass", {"Alberti": (0.7, 1), "even": (0.7, 1), "single": (0.9, 1), "chord tones": (0.6, 1)}),
    Row(
        "arpeggio",
        {
            "leaps": (0.6, 1),
            "chord tones": (0.7, 1),
            "single": (0.8, 1),
            "sweep": (4, INF),
            "span": (14, INF),
            "attacks a beat": (1.9, INF),
        },
    ),
    Row(
        "broken chord",
        {
            "left hand": (1, 1),
            "leaps": (0.6, 1),
            "chord tones": (0.75, 1),
            "single": (0.7, 1),
            "even": (0.6, 1),
            "attacks a beat": (1.9, INF),
            "attacks": (3, INF),
            "span": (3, 21),
        },
        0.9,
    ),
    # eighths of a right hand that outline a chord are as a rule a tune
    Row(
        "broken chord",
        {
            "left hand": (0, 0),
            "leaps": (0.6, 1),
            "chord tones": (0.75, 1),
            "single": (0.7, 1),
            "even": (0.6, 1),
            "attacks a beat": (2.9, INF),
            "attacks": (3, INF),
            "span": (3, 21),
        },
        0.9,
    ),
    Row(
        "broken chord",
        {
            "leaps": (0.6, 1),
            "chord tones": (0.75, 1),
            "double": (0.3, 0.7),
            "even": (0.7, 1),
            "attacks a beat": (2.9, INF),
            "attacks": (6, INF),
        },
        0.8,
    ),
    # a left hand whose chords are hard to name is still figuration rather than a tune
    Row(
        "broken chord",
        {
            "left hand": (1, 1),
            "leaps": (0.45, 1),
            "chord tones": (0.5, 1),
            "single": (0.7, 1),
            "even": (0.6, 1),
            "attacks a beat": (1.9, INF),
            "attacks": (4, INF),
        },
        0.6,
    ),
    Row(
        "waltz bass", {"left hand": (1, 1), "bass then chord": (0.8, 1), "triple": (1, 1), "chords a bass": (1.5, 2.5)}
    ),
    Row(
        "stride bass",
        {
            "left hand": (1, 1),
            "bass then chord": (0.7, 1),
            "triple": (0, 0),
            "chords a bass": (0.8, 1.4),
            "bass to chord": (12, INF),
            "attacks": (4, INF),
        },
    ),
    Row(
        "march bass",
        {
            "left hand": (1, 1),
            "bass then chord": (0.7, 1),
            "triple": (0, 0),
            "chords a bass": (0.8, 1.4),
            "bass to chord": (3, 12),
            "attacks": (4, INF),
        },
    ),
    # octaves that step from one bass to the next between the chords
    Row(
        "bass and chord",
        {"left hand": (1, 1), "octaves": (0.4, 0.8), "bass then chord": (0.5, 1), "attacks": (4, INF)},
        0.75,
    ),
    Row("bass and chord", {"left hand": (1, 1), "bass then chord": (0.7, 1), "attacks": (2, INF)}, 0.8),
    Row(
        "repeated chords",
        {"chords": (0.85, 1), "same chord": (0.6, 1), "attacks": (3, INF), "attacks a beat": (0.9, INF)},
    ),
    Row("octave doubling", {"octaves": (0.85, 1), "attacks": (2, INF)}),
    Row(
        "scale run",
        {"steps": (0.75, 1), "single": (0.9, 1), "run": (6, INF), "attacks a beat": (2.9, INF), "even": (0.7, 1)},
        0.9,
    ),
    Row(
        "melody and figuration",
        {
            "voices": (2, INF),
            "busier": (2, INF),
            "busier below": (0.5, 1),
            "figure tones": (0.6, 1),
            "figure rate": (1.9, INF),
        },
        1.1,
    ),
    Row(
        "contrapuntal",
        {"voices": (2, INF), "own onsets": (0.4, 1), "voice steps": (0.5, 1), "least voice": (2, INF)},
        0.9,
    ),
    Row("melody", {"single": (0.5, 1)}, FALLBACK),
    Row("chordal", {"chords": (0.5, 1)}, FALLBACK),
    Row("octave doubling", {"octaves": (0.5, 1)}, FALLBACK - 0.05),
)

# A line of its own, by which two hands are heard as counterpoint, and how unlike their rhythms must be
LINE = Row("line", {"single": (0.7, 1), "steps": (0.45, 1), "attacks": (3, INF), "attacks a beat": (0.9, INF)})
COUNTERPOINT_WORTH = 0.75
COUNTERPOINT_VOICES = 0.5  # what one staff as counterpoint must be worth to count as a line
COUNTERPOINT_OWN_ONSETS = 0.25
