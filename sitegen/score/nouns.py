"""The nouns of a score: exact, immutable, and without any musical judgement.

Time is counted in integer ticks from the start of the piece; ``Score.ticks_per_quarter`` says how many
make a quarter note. Graces have duration 0 and stand at the onset of the note they lead to. Notes that are
tied are one ``Note`` with several ``Notehead``; its id is that of the first.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterator
from dataclasses import dataclass, field
from fractions import Fraction
from typing import Literal

from sitegen.fifths import LETTERS
from sitegen.score.sign_nouns import Sign, Slur

Hand = Literal["right", "left"]

_STEPS = {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}
_SIGNS = {-3: "bbb", -2: "bb", -1: "b", 0: "", 1: "#", 2: "##", 3: "###"}


@dataclass(frozen=True, slots=True)
class Pitch:
    """A spelled pitch: ``step`` A to G, ``alter`` in semitones, ``octave`` in scientific notation (C4 = middle C);
    ``midi`` is its MIDI note number, 60 for C4."""

    step: str
    alter: int
    octave: int
    midi: int = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "midi", 12 * (self.octave + 1) + _STEPS[self.step] + self.alter)

    @property
    def pitch_class(self) -> int:
        """0 to 11, C = 0."""
        return self.midi % 12

    @property
    def name(self) -> str:
        """The spelling with its octave, such as ``F#4`` or ``Bb3``."""
        return f"{self.step}{_SIGNS[self.alter]}{self.octave}"

    @property
    def diatonic(self) -> int:
        """Steps of the staff above C0, for telling a step (1) from a third (2)."""
        return 7 * self.octave + LETTERS.index(self.step)


@dataclass(frozen=True, slots=True)
class Metre:
    """A time signature. ``beats`` and ``beat_type`` as printed; additive signatures are summed. ``symbol`` is
    ``common`` or ``cut`` where it is printed as a C or a C with a stroke."""

    beats: int
    beat_type: int
    symbol: str = ""

    @property
    def name(self) -> str:
        return f"{self.beats}/{self.beat_type}"

    @property
    def quarters(self) -> Fraction:
        """Length of a full bar in quarter notes."""
        return Fraction(4 * self.beats, self.beat_type)

    @property
    def beat_quarters(self) -> Fraction:
        """Length of the felt beat in quarter notes: a dotted note in compound metres (6/8, 9/8, 12/16)."""
        unit = Fraction(4, self.beat_type)
        return 3 * unit if self.beats % 3 == 0 and self.beats > 3 else unit


@dataclass(frozen=True, slots=True)
class Bar:
    """One bar. ``lead`` counts the ticks of the metre that lie before its first note (an upbeat, or the second
    half of a bar that a repeat sign divides), so that a place in the metre is ``lead + tick - onset``.
    ``fifths`` is the key signature (sharps positive). ``endings`` are the passes for which a volta bracket holds.
    ``odd`` says that its voices do not agree on its length, and that it is read as best it can be.
    """

    index: int
    number: str
    onset: int
    length: int
    metre: Metre
    fifths: int = 0
    lead: int = 0
    repeat_start: bool = False
    repeat_end: bool = False
    endings: tuple[int, ...] = ()
    odd: bool = False

    @property
    def end(self) -> int:
        return self.onset + self.length


@dataclass(frozen=True, slots=True)
class Clef:
    """A clef from ``onset`` on: ``sign`` G, F or C on ``line``; ``octaves`` is the shift of an 8 or 15 sign."""

    staff: int
    onset: int
    sign: str
    line: int
    octaves: int = 0


@dataclass(frozen=True, slots=True)
class Staff:
    """A staff, 1 = top. ``hand`` is None for a staff that no hand of the pianist plays (a singer's)."""

    number: int
    hand: Hand | None
    name: str = ""


@dataclass(frozen=True, slots=True)
class Tempo:
    """Quarter notes a minute from ``onset`` on; ``text`` as printed, such as ``Andante``.

    ``figure`` is what the metronome mark says, in quarters a minute: 0 where none is printed, None where it says what
    sounds.
    """

    onset: int
    quarters_a_minute: float
    text: str = ""
    figure: float | None = None


@dataclass(frozen=True, slots=True)
class Notehead:
    """One written note of a tie chain."""

    id: str
    bar: int
    onset: int
    duration: int


@dataclass(frozen=True, slots=True)
class Note:
    """One sounding note: tied noteheads are merged.

    ``staff`` is the staff it is drawn on; ``voice`` counts 1, 2 ... within the staff it belongs to, plus
    4 for each staff above (staff 1: 1 to 4, staff 2: 5 to 8), so it is unique in the score and survives cross-staff
    notation. ``ornaments`` holds the signs at it (``trill``, ``mordent``, ``turn`` ...). ``small`` is printed in cue
    size; ``implied`` is not printed at all, but written out in small notes for what a sign stands for (a trill).
    ``articulations`` are named as in MusicXML (``staccato``, ``strong-accent`` ...) and, like a fermata, hold for every
    note of a chord; ``fingerings`` are those of the note itself. ``midi`` is the pitch's, ``end`` the tick at which the
    note ends: both are asked for so often that they are kept.
    """

    id: str
    bar: int
    onset: int
    duration: int
    pitch: Pitch
    staff: int
    voice: int
    grace: bool = False
    noteheads: tuple[Notehead, ...] = ()
    ornaments: tuple[str, ...] = ()
    arpeggio: bool = False
    tremolo: bool = False
    fermata: bool = False
    slur_start: bool = False
    slur_end: bool = False
    chord: str = ""
    small: bool = False
    implied: bool = False
    articulations: tuple[str, ...] = ()
    fingerings: tuple[str, ...] = ()
    midi: int = field(init=False, repr=False, compare=False)
    end: int = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "midi", self.pitch.midi)
        object.__setattr__(self, "end", self.onset + self.duration)

    def __hash__(self) -> int:
        return hash(self.id)

    @property
    def home_staff(self) -> int:
        """The staff whose voice the note belongs to, also when it is drawn on another one."""
        return (self.voice - 1) // 4 + 1


@dataclass(frozen=True, slots=True)
class Score:
    """A score as written, repeats not unfolded. ``notes`` are sorted by onset, graces first, then from low to high."""

    ticks_per_quarter: int
    bars: tuple[Bar, ...]
    staves: tuple[Staff, ...]
    notes: tuple[Note, ...]
    clefs: tuple[Clef, ...] = ()
    tempi: tuple[Tempo, ...] = ()
    file: str = ""
    title: str = ""
    composer: str = ""
    warnings: tuple[str, ...] = ()
    signs: tuple[Sign, ...] = ()
    slurs: tuple[Slur, ...] = ()
    _bar_onsets: tuple[int, ...] = field(default=(), repr=False, compare=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "_bar_onsets", tuple(bar.onset for bar in self.bars))

    @property
    def end(self) -> int:
        """The tick at which the last bar ends."""
        return self.bars[-1].end if self.bars else 0

    def bar_at(self, tick: int) -> Bar:
        """The bar that holds ``tick``; the last bar for its end and beyond."""
        return self.bars[(bisect_right(self._bar_onsets, tick) or 1) - 1]

    def quarters(self, ticks: int) -> Fraction:
        """``ticks`` as a fraction of a quarter note."""
        return Fraction(ticks, self.ticks_per_quarter)

    def ticks(self, quarters: Fraction | int) -> int:
        """``quarters`` in ticks, rounded to the nearest."""
        return round(quarters * self.ticks_per_quarter)

    def place_in_metre(self, tick: int) -> int:
        """Ticks since the bar line as the metre counts it: an upbeat counts from the bar line it leaves out."""
        bar = self.bar_at(tick)
        return bar.lead + tick - bar.onset

    def hand_of(self, staff: int) -> Hand | None:
        """The hand that plays ``staff``."""
        return self.staves[staff - 1].hand

    def spoken_to(self, sign: Sign) -> tuple[int, ...]:
        """The staves that a sign speaks to: its own, and where it stands between the two of a pianist both."""
        side = sign.placement or ("below" if self.hand_of(sign.staff) == "right" else "above")
        other = sign.staff + (1 if side == "below" else -1)
        if not 1 <= other <= len(self.staves) or None in map(self.hand_of, (sign.staff, other)):
            return (sign.staff,)
        return sign.staff, other

    def sounding(self) -> Iterator[Note]:
        """The notes without graces."""
        return (note for note in self.notes if not note.grace)
