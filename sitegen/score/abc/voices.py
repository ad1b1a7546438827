"""One voice of an ABC tune while it is read: from tokens of music to bars of events with exact lengths.

Source: the ABC music standard 2.1, section 4 (the tune body): note lengths, broken rhythm, accidentals, ties,
tuplets, graces, chords, bar lines.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from fractions import Fraction

from sitegen.score.abc.fields import AbcClef, AbcKey, AbcMetre

_DEFAULT_TUPLETS = {2: 3, 3: 2, 4: 3, 6: 2, 8: 3}


@dataclass(frozen=True)
class AbcPitch:
    """A pitch as it sounds; ``tied`` to the next of its kind."""

    step: str
    alter: int
    octave: int
    tied: bool = False
    held: bool = False


@dataclass(frozen=True)
class AbcEvent:
    """A note, a chord, or a rest (no pitches). ``written`` is the length in quarters before a tuplet of ``actual``
    in the time of ``normal`` shortens it; a grace takes no time. ``whole_bar`` is a rest
    for the bar, however long that is."""

    written: Fraction
    pitches: tuple[AbcPitch, ...] = ()
    grace: bool = False
    slashed: bool = False
    hidden: bool = False
    actual: int = 1
    normal: int = 1
    tuplet_start: bool = False
    tuplet_stop: bool = False
    decorations: tuple[str, ...] = ()
    slurs: tuple[int, ...] = ()
    slurs_end: tuple[int, ...] = ()
    beam_break: bool = False
    whole_bar: bool = False

    @property
    def length(self) -> Fraction:
        """The time it takes, in quarters."""
        return Fraction(0) if self.grace else self.written * self.normal / self.actual


@dataclass(frozen=True)
class AbcChange:
    """A new key, metre, clef or tempo between two notes."""

    value: AbcKey | AbcMetre | AbcClef | tuple[str, float]


@dataclass
class AbcBar:
    """``layers`` are the voice and its overlays, each from the bar line; ``ending`` the passes of a volta bracket."""

    layers: list[list[AbcEvent | AbcChange]] = field(default_factory=lambda: [[]])
    repeat_start: bool = False
    repeat_end: bool = False
    ending: str = ""
    style: str = ""

    @property
    def length(self) -> Fraction:
        return max(sum((e.length for e in layer if isinstance(e, AbcEvent)), Fraction(0)) for layer in self.layers)

    @property
    def empty(self) -> bool:
        return not any(isinstance(e, AbcEvent) for layer in self.layers for e in layer)


@dataclass
class AbcVoice:
    """The state of a voice and the bars read so far. Methods raise ``ValueError`` with a sentence for the reader.

    ``key``, ``metre`` and ``clef`` are those in force now; ``opening`` are the first ones.
    """

    id: str
    key: AbcKey
    metre: AbcMetre
    unit: Fraction
    clef: AbcClef | None = None
    name: str = ""
    opening: tuple[AbcKey, AbcMetre, AbcClef | None] = (AbcKey(), AbcMetre(), None)
    bars: list[AbcBar] = field(default_factory=lambda: [AbcBar()])
    in_force: dict[str, int] = field(default_factory=dict)
    ties: dict[tuple[str, int], int] = field(default_factory=dict)
    broken: Fraction = Fraction(1)
    tuplet: tuple[int, int, int] = (1, 1, 0)
    tuplet_begins: bool = False
    decorations: list[str] = field(default_factory=list)
    slurs: list[int] = field(default_factory=list)
    open_slurs: list[int] = field(default_factory=list)
    first_slur: int = 1
    space: bool = True

    def open_in(self, key: AbcKey, metre: AbcMetre, unit: Fraction, clef: AbcClef | None) -> None:
        """Begin with these; a clef of its own is kept."""
        self.key, self.metre, self.unit, self.clef = key, metre, unit, self.clef or clef
        self.opening = self.key, self.metre, self.clef

    def add(self, length: Fraction, pitches: list[AbcPitch], hidden: bool = False) -> None:
        """Append a note, chord or rest of ``length`` quarters as written."""
        actual, normal, left = self.tuplet
        inside = left > 0
        event = AbcEvent(
            length * self.broken, tuple(pitches), hidden=hidden, actual=actual if inside else 1,
            normal=normal if inside else 1, tuplet_start=inside and self.tuplet_begins, tuplet_stop=left == 1,
            decorations=tuple(self.decorations), slurs=tuple(self.slurs), beam_break=self.space,
        )  # fmt: skip
        self.tuplet = (actual, normal, left - 1) if left > 1 else (1, 1, 0)
        self.tuplet_begins, self.broken = False, Fraction(1)
        self.decorations, self.slurs, self.space = [], [], False
        self.bars[-1].layers[-1].append(event)

    def add_grace(self, length: Fraction, pitches: list[AbcPitch], slashed: bool) -> None:
        self.bars[-1].layers[-1].append(AbcEvent(length, tuple(pitches), grace=True, slashed=slashed))

    def rest_bar(self, hidden: bool) -> None:
        """Append a rest for a whole bar."""
        self.bars[-1].layers[-1].append(AbcEvent(self.metre.quarters, hidden=hidden, whole_bar=True))
        self.decorations, self.slurs, self.space = [], [], False

    def change(self, value: AbcKey | AbcMetre | AbcClef | tuple[str, float]) -> None:
        """Take a new key, metre, clef or tempo from here on."""
        untouched = len(self.bars) == 1 and self.bars[0].empty
        if isinstance(value, AbcKey):
            self.key = value
        elif isinstance(value, AbcMetre):
            self.metre = value
        elif isinstance(value, AbcClef):
            self.clef = value
        if untouched and not isinstance(value, tuple):
            self.opening = self.key, self.metre, self.clef
        else:
            self.bars[-1].layers[-1].append(AbcChange(value))

    def pitch(self, accidental: int | None, letter: str, octaves: int, tied: bool, grace: bool = False) -> AbcPitch:
        """The sounding pitch of a written one. An accidental holds for its step to the end of the bar."""
        step = letter.upper()
        octave = (5 if letter.islower() else 4) + octaves + (self.clef.shift if self.clef else 0)
        if not 0 <= octave <= 9:
            raise ValueError("a note lies beyond every piano")
        if accidental is not None:
            self.in_force[step] = accidental
        alter = self.in_force.get(step, dict(self.key.alters).get(step, 0))
        held = False
        if not grace and (step, octave) in self.ties:
            before = self.ties.pop((step, octave))
            held = accidental is None or accidental == before
            alter = before if held else alter
        if tied and not grace:
            self.ties[step, octave] = alter
        return AbcPitch(step, alter, octave, tied and not grace, held)

    def lengthen_last(self, factor: Fraction) -> None:
        """Broken rhythm: the note before takes ``factor`` of its length, the next one the rest of the two."""
        layer = self.bars[-1].layers[-1]
        place = next((i for i in range(len(layer) - 1, -1, -1) if _sounding(layer[i])), None)
        if place is None:
            raise ValueError("a broken rhythm has no note before it")
        event = layer[place]
        assert isinstance(event, AbcEvent)
        layer[place] = replace(event, written=event.written * factor)
        self.broken = 2 - factor

    def begin_slur(self) -> None:
        """Open a slur before the next note, under the lowest number that is free in this voice."""
        number = next(n for n in range(self.first_slur, self.first_slur + 99) if n not in self.open_slurs)
        self.open_slurs.append(number)
        self.slurs.append(number)

    def end_slur(self) -> None:
        """Close the slur opened last behind the last note; one that begins nowhere is passed over."""
        layer = self.bars[-1].layers[-1] or (self.bars[-2].layers[-1] if len(self.bars) > 1 else [])
        place = next((i for i in range(len(layer) - 1, -1, -1) if _sounding(layer[i])), None)
        if place is not None and self.open_slurs:
            event = layer[place]
            assert isinstance(event, AbcEvent)
            layer[place] = replace(event, slurs_end=(*event.slurs_end, self.open_slurs.pop()))

    def begin_tuplet(self, actual: int, normal: int | None, count: int | None) -> None:
        """``actual`` notes in the time of ``normal``, for the next ``count`` notes."""
        if not normal:
            normal = _DEFAULT_TUPLETS.get(actual, 3 if self.metre.compound else 2)
        if actual < 2:
            raise ValueError("a tuplet needs two notes or more")
        self.tuplet, self.tuplet_begins = (actual, normal, count or actual), True

    def overlay(self) -> None:
        """A second voice in the same bar, from the bar line."""
        self.bars[-1].layers.append([])

    def bar_line(self, sign: str, ending: str) -> None:
        """End the bar, or, where it is empty, add to the signs that stand there."""
        bar = self.bars[-1]
        start = sign.endswith(":")
        end = sign.lstrip(".[").startswith(":")
        style = "final" if "]" in sign else "double" if sign.strip(":") == "||" else ""
        target = bar if not bar.empty else self.bars[-2] if len(self.bars) > 1 else None
        if target is not None:
            target.repeat_end |= end
            target.style = style or target.style
        if not bar.empty:
            self.bars.append(AbcBar())
        self.bars[-1].repeat_start |= start
        self.bars[-1].ending = ending or self.bars[-1].ending
        self.in_force, self.space = {}, True

    def close(self) -> None:
        """Drop what stands after the last bar line, if it holds no note or rest."""
        if len(self.bars) > 1 and self.bars[-1].empty:
            self.bars.pop()


def _sounding(event: AbcEvent | AbcChange) -> bool:
    return isinstance(event, AbcEvent) and not event.grace
