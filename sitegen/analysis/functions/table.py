"""The textbook definitions of notes foreign to a chord, as a table that is read from the top.

A definition speaks of how the note is approached and left, whether it is accented against the note that follows, and of
which notes about it belong to their chords. *Same* is the same pitch, *step* a second, *leap* anything wider; *held*
means that the note itself sounds on into a chord that it belongs to, *none* that a rest (or the end) stands there.

Sources, as cited in the rows:

KP  Kostka and Payne, Tonal Harmony, chapters 11 and 12 (Non-chord tones 1 and 2)
AS  Aldwell and Schachter, Harmony and Voice Leading, chapters 20 to 22 (figuration, suspensions, other dissonances)
P   Piston, Harmony, chapter 8 (Non-harmonic tones)
"""

from __future__ import annotations

from dataclasses import dataclass

from sitegen.analysis.nouns import Function

SAME, STEP_UP, STEP_DOWN, LEAP_UP, LEAP_DOWN, HELD, NONE = (
    "same", "step up", "step down", "leap up", "leap down", "held", "none",
)  # fmt: skip
STEP = (STEP_UP, STEP_DOWN)
LEAP = (LEAP_UP, LEAP_DOWN)
MOVES = (SAME, *STEP, *LEAP)


@dataclass(frozen=True, slots=True)
class Definition:
    """One way of being foreign to a chord.

    ``approach`` and ``departure`` list the moves that are meant. ``turn`` compares the two directions: ``onward`` (the
    same), ``back`` (to the pitch that was left), ``opposite``, or empty for any. ``accented`` is None where both will
    do. ``prepared`` and ``resolved`` ask that the notes before and after belong to their chords (or that the note
    after steps on to one that does), ``arrives`` that the chord changes before the note after, ``bass`` that nothing
    sounds below, ``group`` that two neighbours circle one pitch, ``weighty`` that the note is struck on a beat and
    outlasts the note after, or lasts a beat and outlasts the note before: nothing so heavy passes. ``why`` is the id of
    the reason.
    """

    function: Function
    approach: tuple[str, ...]
    departure: tuple[str, ...]
    source: str
    why: str
    turn: str = ""
    accented: bool | None = None
    prepared: bool = False
    resolved: bool = False
    arrives: bool = False
    bass: bool = False
    group: bool = False
    weighty: bool = False


DEFINITIONS = (
    Definition(
        "pedal note", (SAME,), (SAME, HELD), "KP 12, Pedal point; AS 22",
        "pedal in the bass",
        prepared=True, resolved=True, bass=True,
    ),
    Definition(
        "pedal note", (SAME,), (SAME, HELD), "KP 12, inverted pedal point; P 8",
        "pedal above",
        prepared=True, resolved=True,
    ),
    Definition(
        "suspension", (SAME,), (STEP_DOWN,), "KP 11, Suspensions: preparation, suspension, resolution; AS 21",
        "suspended",
        accented=True, prepared=True, resolved=True,
    ),
    Definition(
        "retardation", (SAME,), (STEP_UP,), "KP 11, Retardation; P 8",
        "retarded",
        accented=True, prepared=True, resolved=True,
    ),
    Definition(
        "anticipation", (*MOVES, NONE), (HELD,), "KP 12, Anticipation; P 8",
        "before its chord",
    ),
    Definition(
        "anticipation", (*STEP, *LEAP, NONE), (SAME,), "KP 12, Anticipation; P 8",
        "anticipates",
        accented=False, resolved=True, arrives=True,
    ),
    Definition(
        "neighbour note", STEP, LEAP, "KP 12, Neighbor group (changing tones)",
        "first of two neighbours",
        group=True,
    ),
    Definition(
        "neighbour note", LEAP, STEP, "KP 12, Neighbor group (changing tones)",
        "second of two neighbours",
        group=True,
    ),
    Definition(
        "appoggiatura", STEP, STEP, "P 8, appoggiaturas approached by step",
        "leans",
        accented=True, resolved=True, weighty=True,
    ),
    Definition(
        "passing note", STEP, STEP, "KP 11, Passing tones; AS 20",
        "passes",
        turn="onward",
    ),
    Definition(
        "neighbour note", STEP, STEP, "KP 11, Neighboring tones; AS 20",
        "neighbour",
        turn="back",
    ),
    Definition(
        "neighbour note", STEP, STEP, "AS 20, neighbors with a chromatically altered return",
        "altered neighbour",
        turn="opposite",
    ),
    Definition(
        "appoggiatura", (*LEAP, NONE), STEP, "KP 12, Appoggiatura; P 8",
        "struck against",
        accented=True, resolved=True,
    ),
    Definition(
        "escape note", STEP, LEAP, "KP 12, Escape tone; P 8 (echappee)",
        "escapes",
        turn="opposite", accented=False,
    ),
    Definition(
        "neighbour note", (*LEAP, NONE), STEP, "AS 22, Incomplete neighbors",
        "neighbour of what follows",
        accented=False, resolved=True,
    ),
    Definition(
        "neighbour note", STEP, (*LEAP, NONE), "AS 22, Incomplete neighbors",
        "neighbour of what came",
        accented=False, prepared=True,
    ),
    Definition(
        "suspension", (SAME,), (STEP_DOWN,), "P 8, suspensions on the weak beat",
        "stays and falls",
        prepared=True,
    ),
    Definition(
        "retardation", (SAME,), (STEP_UP,), "P 8, suspensions on the weak beat, resolving upward",
        "stays and rises",
        prepared=True,
    ),
)  # fmt: skip

#: What a note can be: what its chord holds, what the definitions name, an ornament, or foreign and none of these.
FUNCTIONS: tuple[Function, ...] = (
    "chord tone", *dict.fromkeys(definition.function for definition in DEFINITIONS), "ornament", "free",
)  # fmt: skip

FREE = "free"
HELD_OVER: tuple[tuple[Function, str, str], ...] = (
    ("pedal note", HELD, "held as pedal"),
    ("suspension", STEP_DOWN, "held as suspension"),
    ("retardation", STEP_UP, "held as retardation"),
)
"""What a chord tone becomes that is held (or tied) into a chord without it, by how it is left: KP 11 and 12."""

FIRST_BEAT, ON_BEAT, WEAK_BEAT, OFF_BEAT, SYNCOPATED = ACCENTS = (
    "on the first beat", "on the beat", "on a weak beat", "off the beat", "off the beat and held over it",
)  # fmt: skip
"""Where in its bar a note is struck. A beat is weak if it begins neither the bar nor its second half, and the note is
no weightier than the one after."""
APPROACHED = "approached by leap from {before}"
UNPREPARED = "unprepared"
