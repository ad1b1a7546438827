"""Random but legal piano scores for property tests, as a ``Score`` and as the MusicXML text of the same notes.

``scores()`` draws a ``Score`` of two staves; ``plans()`` what it is made from, for tests that want the file as well:

    @given(plans())
    def test_what_is_written_is_read(plan):
        assert read_score(saved(musicxml_of(plan))).notes == score_of_plan(plan).notes

Every bar of every voice is filled exactly. There are one or two voices a staff, chords of up to four notes (which
may be wider than any hand), triplets, dots, rests, graces, and ties within a bar and across bar lines.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from hypothesis import strategies as st

from sitegen.score import Bar, Clef, Metre, Note, Notehead, Pitch, Score, Staff

TICKS = 24
_METRES = [Metre(2, 4), Metre(3, 4), Metre(4, 4), Metre(6, 8), Metre(3, 8), Metre(2, 2)]
_VALUES = {
    Fraction(4): ("whole", 0), Fraction(3): ("half", 1), Fraction(2): ("half", 0), Fraction(3, 2): ("quarter", 1),
    Fraction(1): ("quarter", 0), Fraction(3, 4): ("eighth", 1), Fraction(1, 2): ("eighth", 0),
    Fraction(1, 4): ("16th", 0),
}  # fmt: skip
_TRIPLET = Fraction(1, 3)
_OCTAVES = {1: (4, 5), 2: (2, 3)}


@dataclass(frozen=True)
class Slot:
    """A chord, a note or (without pitches) a rest: ``length`` in quarters, 1/3 for one of three triplet quavers."""

    length: Fraction
    pitches: tuple[Pitch, ...] = ()
    tied: bool = False
    grace: Pitch | None = None


Line = tuple[Slot, ...]


@dataclass(frozen=True)
class Plan:
    """``bars[b][staff - 1][voice]`` is the line of slots that fills bar ``b``."""

    metre: Metre
    fifths: int
    bars: tuple[tuple[tuple[Line, ...], ...], ...]


@st.composite
def plans(draw: st.DrawFn, most_bars: int = 4) -> Plan:
    """What a score is made of."""
    metre = draw(st.sampled_from(_METRES))
    count = draw(st.integers(1, most_bars))
    bars: list[list[list[Line]]] = [[[], []] for _ in range(count)]
    for staff in (1, 2):
        voices = draw(st.sampled_from([1, 1, 1, 2]))
        for _ in range(voices):
            lengths = [draw(_rhythm(metre.quarters)) for _ in range(count)]
            slots = [draw(_slot(staff, length)) for bar in lengths for length in bar]
            slots = _with_ties(slots, draw(st.sets(st.integers(0, len(slots)), max_size=3)))
            for bar, of_bar in zip(bars, lengths, strict=True):
                bar[staff - 1].append(tuple(slots[: len(of_bar)]))
                del slots[: len(of_bar)]
    return Plan(metre, draw(st.integers(-4, 4)), tuple(tuple(tuple(lines) for lines in bar) for bar in bars))


def scores(most_bars: int = 4) -> st.SearchStrategy[Score]:
    """Scores of one to ``most_bars`` bars on two staves."""
    return plans(most_bars).map(score_of_plan)


@st.composite
def _rhythm(draw: st.DrawFn, full: Fraction) -> list[Fraction]:
    lengths: list[Fraction] = []
    while (left := full - sum(lengths)) > 0:
        cells = [[value] for value in _VALUES if value <= left]
        if left >= 1 and all(length.denominator in (1, 2, 3) for length in lengths):
            cells.append([_TRIPLET] * 3)
        lengths += draw(st.sampled_from(cells))
    return lengths


@st.composite
def _slot(draw: st.DrawFn, staff: int, length: Fraction) -> Slot:
    size = draw(st.sampled_from([0, 1, 1, 1, 1, 2, 3, 4]))
    pitch = st.builds(Pitch, st.sampled_from("CDEFGAB"), st.sampled_from([0, 0, 0, 1, -1]),
                      st.integers(*_OCTAVES[staff]))  # fmt: skip
    chord = draw(st.lists(pitch, min_size=size, max_size=size, unique_by=(lambda p: p.midi, lambda p: p.diatonic)))
    grace = draw(pitch) if chord and draw(st.integers(0, 9)) == 9 else None
    return Slot(length, tuple(sorted(chord, key=lambda p: p.midi)), False, grace)


def _with_ties(slots: list[Slot], wanted: set[int]) -> list[Slot]:
    """Tie the slots at ``wanted`` to the next, which then takes their pitches."""
    out = list(slots)
    for index in sorted(wanted):
        if index + 1 < len(out) and out[index].pitches:
            here, after = out[index], out[index + 1]
            out[index] = Slot(here.length, here.pitches, True, here.grace)
            out[index + 1] = Slot(after.length, here.pitches, after.tied, None)
    return out


def score_of_plan(plan: Plan) -> Score:
    """The plan as a ``Score``, its ids numbered as the reader numbers those of ``musicxml_of``."""
    length = int(plan.metre.quarters * TICKS)
    bars = tuple(Bar(i, str(i + 1), i * length, length, plan.metre, plan.fifths) for i in range(len(plan.bars)))
    notes: list[Note] = []
    open_ties: dict[tuple[int, int], int] = {}
    count = 0
    for index, staves in enumerate(plan.bars):
        for staff, lines in enumerate(staves, 1):
            for layer, line in enumerate(lines, 1):
                voice, at = 4 * (staff - 1) + layer, index * length
                for slot in line:
                    ticks = int(slot.length * TICKS)
                    if slot.grace is not None:
                        count += 1
                        notes.append(_note(count, index, at, 0, slot.grace, staff, voice, grace=True))
                    for pitch in slot.pitches:
                        count += 1
                        key = voice, pitch.midi
                        if key in open_ties and notes[open_ties[key]].end == at:
                            where = open_ties.pop(key)
                            notes[where] = _longer(notes[where], Notehead(f"N{count}", index, at, ticks))
                        else:
                            where = len(notes)
                            notes.append(_note(count, index, at, ticks, pitch, staff, voice))
                        if slot.tied:
                            open_ties[key] = where
                    count += not slot.pitches
                    at += ticks
    notes.sort(key=lambda n: (n.onset, not n.grace, n.midi, n.staff, n.id))
    staves_ = (Staff(1, "right"), Staff(2, "left"))
    return Score(TICKS, bars, staves_, tuple(notes), (Clef(1, 0, "G", 2), Clef(2, 0, "F", 4)))


def _note(
    count: int, bar: int, onset: int, duration: int, pitch: Pitch, staff: int, voice: int, grace: bool = False
) -> Note:
    name = f"N{count}"
    head = Notehead(name, bar, onset, duration)
    return Note(name, bar, onset, duration, pitch, staff, voice, grace=grace, noteheads=(head,))


def _longer(note: Note, head: Notehead) -> Note:
    return Note(note.id, note.bar, note.onset, note.duration + head.duration, note.pitch, note.staff, note.voice,
                noteheads=(*note.noteheads, head))  # fmt: skip


def musicxml_of(plan: Plan) -> str:
    """The plan as a MusicXML file."""
    measures = []
    tied: dict[tuple[int, int], set[Pitch]] = {}
    for index, staves in enumerate(plan.bars):
        lines = []
        for staff, voices in enumerate(staves, 1):
            for layer, line in enumerate(voices, 1):
                slots = zip(_places(line), line, strict=True)
                lines.append("".join(_slot_xml(slot, place, staff, layer, tied) for place, slot in slots))
        back = f"<backup><duration>{int(plan.metre.quarters * TICKS)}</duration></backup>"
        attributes = _attributes(plan) if index == 0 else ""
        measures.append(f'<measure number="{index + 1}">{attributes}{back.join(lines)}</measure>')
    return (
        '<?xml version="1.0" encoding="UTF-8"?><score-partwise version="4.0"><part-list><score-part id="P1">'
        '<part-name>Piano</part-name></score-part></part-list><part id="P1">'
        + "".join(measures)
        + "</part></score-partwise>"
    )


def _attributes(plan: Plan) -> str:
    return (
        f"<attributes><divisions>{TICKS}</divisions><key><fifths>{plan.fifths}</fifths></key><time><beats>"
        f"{plan.metre.beats}</beats><beat-type>{plan.metre.beat_type}</beat-type></time><staves>2</staves>"
        '<clef number="1"><sign>G</sign><line>2</line></clef><clef number="2"><sign>F</sign><line>4</line></clef>'
        "</attributes>"
    )


def _places(line: Line) -> list[int]:
    """0, 1, 2 for the three notes of a triplet, else -1."""
    places, inside = [], 0
    for slot in line:
        places.append(inside % 3 if slot.length == _TRIPLET else -1)
        inside += slot.length == _TRIPLET
    return places


def _slot_xml(slot: Slot, place: int, staff: int, layer: int, tied: dict[tuple[int, int], set[Pitch]]) -> str:
    key = (staff, layer)
    held, tied[key] = tied.get(key, set()), set(slot.pitches) if slot.tied else set()
    voice = f"<voice>{4 * (staff - 1) + layer}</voice>"
    kind, dots = ("eighth", 0) if place >= 0 else _VALUES[slot.length]
    three = "<time-modification><actual-notes>3</actual-notes><normal-notes>2</normal-notes></time-modification>"
    bracket = {0: '<tuplet type="start"/>', 2: '<tuplet type="stop"/>'}.get(place, "")
    value = f"<type>{kind}</type>{'<dot/>' * dots}{three if place >= 0 else ''}<staff>{staff}</staff>"
    duration = f"<duration>{int(slot.length * TICKS)}</duration>"
    out = ""
    if slot.grace is not None:
        out += f"<note><grace/>{_pitch_xml(slot.grace)}{voice}<type>eighth</type><staff>{staff}</staff></note>"
    if not slot.pitches:
        notations = f"<notations>{bracket}</notations>" if bracket else ""
        return out + f"<note><rest/>{duration}{voice}{value}{notations}</note>"
    for index, pitch in enumerate(slot.pitches):
        ends = (["stop"] if pitch in held else []) + (["start"] if slot.tied else [])
        ties = "".join(f'<tie type="{end}"/>' for end in ends)
        signs = "".join(f'<tied type="{end}"/>' for end in ends) + (bracket if index == 0 else "")
        out += f"<note>{'<chord/>' if index else ''}{_pitch_xml(pitch)}{duration}{ties}{voice}{value}"
        out += f"<notations>{signs}</notations></note>" if signs else "</note>"
    return out


def _pitch_xml(pitch: Pitch) -> str:
    alter = f"<alter>{pitch.alter}</alter>" if pitch.alter else ""
    return f"<pitch><step>{pitch.step}</step>{alter}<octave>{pitch.octave}</octave></pitch>"
