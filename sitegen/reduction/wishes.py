"""What a teacher wishes otherwise, read and checked for form; addresses are resolved when they meet a score.

In the front matter of ``piece.md``::

    stages:                       # the teacher's own order; without it the ladder is chosen by the texture
      - bass line                                       # a technique by its name
      - {blocked chords, title: Hands in place, listen: The thumb sings.}
      - {technique: outer voices, bars: bars 1-8}       # the stage holds these bars only
      - {left hand alone, of: blocked chords}           # a hand of a stage, or of a technique
      - {file: my-stage.musicxml, title: My version}    # the teacher's own notes
    adjustments:
      - {at: "bar 4, beat 1, right hand, top note", function: appoggiatura}
      - {at: "bar 4, beat 1, right hand, top note", line: melody}                 # or bass, inner, none
      - {at: "bars 5-8, left hand", texture: broken chord}
      - {at: "bar 7, beat 3", chord: V65/V, until: "bar 8, beat 1"}
      - {at: "bars 9-16", key: E minor}
      - {at: "bar 9", phrase: begins}
      - {at: "bars 5-8", phrase: whole, cadence: half cadence}                    # or cadence: none
      - {at: "bar 2, beat 1, right hand, E5", stage: outer voices, do: keep}      # or drop
      - {at: "bar 2, beat 1, left hand, C3", stage: bass line, do: hold, until: "bar 3, beat 1"}
      - {at: "bar 9, beat 1, left hand, C2", do: move, octaves: 1}                # or hand: right
      - {stage: outer voices, title: Two voices, listen: Sing the lower one.}     # or bars, or leave out: yes
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

from sitegen.score import Hand, Score

Do = Literal["keep", "drop", "hold", "move"]
What = Literal["function", "line", "texture", "chord", "key", "phrase"]


@dataclass(frozen=True, slots=True)
class Wish:
    """One entry as the file has it: plain data, and the line on which it stands."""

    data: object
    line: int


@dataclass(frozen=True, slots=True)
class Reading:
    """How the teacher reads a note, a stretch or a moment: ``what`` names which question ``value`` answers.

    ============  =========================  =======================================================================
    what          at                         value
    ============  =========================  =======================================================================
    ``function``  a note                     a function of notes, such as ``appoggiatura``
    ``line``      a note                     ``melody``, ``bass``, ``inner``, or ``none`` for a note of no line
    ``texture``   bars, of a hand or both    a texture, such as ``Alberti bass``
    ``chord``     a bar or beat              a numeral of the key there (``V65/V``) or a symbol (``D7/F#``)
    ``key``       bars                       a key, such as ``E minor``
    ``phrase``    a bar or beat              ``begins``: a phrase begins there
    ``phrase``    bars                       ``whole``: they are one phrase
    ============  =========================  =======================================================================

    ``until`` (empty where it is not given) is the place at which a texture, chord, key or whole phrase ends. Without
    it a chord lasts as long as the harmony that is heard there, the others to the end of their bars. ``cadence`` is how
    a phrase ends: the name of a cadence, ``none``, or empty where that is left to the analysis.
    """

    what: What
    at: str
    value: str
    line: int
    until: str = ""
    cadence: str = ""


@dataclass(frozen=True, slots=True)
class NoteWish:
    """Something done to one note in the stage called ``stage`` (in every stage where that is empty)."""

    do: Do
    at: str
    line: int
    stage: str = ""
    until: str = ""
    octaves: int = 0
    hand: Hand | None = None


@dataclass(frozen=True, slots=True)
class StageWish:
    """A stage of the teacher's own list: a technique, or notes of their own (``own``, read from ``file``). ``of`` names
    the stage whose hand is to be played alone."""

    technique: str
    line: int
    title: str = ""
    listen: str = ""
    bars: str = ""
    side_study: bool | None = None
    file: str = ""
    own: Score | None = field(default=None, compare=False)
    of: str = ""


@dataclass(frozen=True, slots=True)
class StageChange:
    """Other words or bars for a stage of the ladder, or its leaving out."""

    stage: str
    line: int
    title: str = ""
    listen: str = ""
    bars: str = ""
    leave_out: bool = False


@dataclass(frozen=True, slots=True)
class Wishes:
    """All wishes for a piece. ``hand`` is the span in semitones; ``stages`` is empty where the ladder is chosen."""

    file: str = ""
    hand: int = 12
    readings: tuple[Reading, ...] = ()
    notes: tuple[NoteWish, ...] = ()
    stages: tuple[StageWish, ...] = ()
    changes: tuple[StageChange, ...] = ()
