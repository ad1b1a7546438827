"""What is written as the text of MusicXML: the elements of a measure, in the order that its schema asks for.

Source: the MusicXML 4.0 specification (W3C Music Notation Community Group), elements ``note``, ``notations``,
``direction``, ``attributes`` and ``barline``.
"""

from __future__ import annotations

from collections.abc import Iterable
from functools import cache
from math import isclose

from sitegen.notation.values import Value
from sitegen.notation.written import ClefChange, Direction, Item, Leap, Written, WrittenHead
from sitegen.score import Clef

_ACCIDENTALS = {
    -3: "triple-flat", -2: "flat-flat", -1: "flat", 0: "natural", 1: "sharp", 2: "double-sharp", 3: "triple-sharp",
}  # fmt: skip
_ORNAMENTS = {
    "trill": "trill-mark", "mordent": "mordent", "upper mordent": "inverted-mordent", "turn": "turn",
    "inverted turn": "inverted-turn",
}  # fmt: skip


def item_xml(item: Item, division: int) -> str:
    """What stands in a measure; ``division`` is how many ticks the file counts as one."""
    if isinstance(item, Written):
        return chord_xml(item, division) if item.heads else rest_xml(item, division)
    if isinstance(item, Leap):
        name = "forward" if item.ticks > 0 else "backup"
        staff = _staff(item.staff) if item.ticks > 0 else ""
        return f"<{name}><duration>{abs(item.ticks) // division}</duration>{staff}</{name}>"
    if isinstance(item, Direction):
        return direction_xml(item, division)
    if isinstance(item, ClefChange):
        return f"<attributes>{clef_xml(item.clef, item.staff)}</attributes>"
    return item.xml


def rest_xml(rest: Written, division: int) -> str:
    """A rest, printed or only kept room for; that of a whole bar has no value."""
    hidden = ' print-object="no"' if rest.hidden else ""
    whole, value = (' measure="yes"', "") if rest.whole_bar else ("", _value(rest.value))
    notations = _tuplet(rest) + _fermata(rest)
    if notations:
        notations = f"<notations>{notations}</notations>"
    return (
        f"<note{hidden}><rest{whole}/><duration>{rest.length // division}</duration>{_voice(rest)}{value}"
        f"{_modification(rest.value)}{_staff(rest.staff)}{notations}</note>"
    )


def chord_xml(chord: Written, division: int) -> str:
    """A note, or one after the other the notes of a chord; what belongs to the chord stands at the first."""
    grace, length = "", f"<duration>{chord.length // division}</duration>"
    if chord.grace:
        grace, length = f'<grace slash="{"yes" if chord.slash else "no"}"/>', ""
    voice, value, tuplet = _voice(chord), _value(chord.value), _modification(chord.value) + _staff(chord.staff)
    small = value.replace("<type>", '<type size="cue">', 1)
    beams = "".join([f'<beam number="{n}">{word}</beam>' for n, word in enumerate(chord.beams, 1)])
    found: list[str] = []
    for head in chord.heads:
        pitch = head.pitch
        alter = f"<alter>{pitch.alter}</alter>" if pitch.alter else ""
        sign = f"<accidental>{_ACCIDENTALS[pitch.alter]}</accidental>" if head.accidental else ""
        ties = ('<tie type="stop"/>' if head.tied_from else "") + ('<tie type="start"/>' if head.tied_to else "")
        first = not found
        found.append(
            f'<note id="{head.id}">{grace}{"" if first else "<chord/>"}<pitch><step>{pitch.step}</step>{alter}'
            f"<octave>{pitch.octave}</octave></pitch>{length}{ties}{voice}"
            f"{small if head.small else value}{sign}{tuplet}{beams if first else ''}{_notations(chord, head, first)}"
            "</note>"
        )
    return "".join(found)


def _notations(chord: Written, head: WrittenHead, first: bool) -> str:
    """What stands at a head, and at the first of its chord."""
    found = '<tied type="stop"/>' if head.tied_from else ""
    if head.tied_to:
        found += '<tied type="start"/>'
    for slur in head.slurs:
        placement = f' placement="{slur.placement}"' if slur.placement else ""
        found += f'<slur number="{slur.number}" type="{slur.way}"{placement}/>'
    if first:
        found += _tuplet(chord) + _ornaments(chord)
    if head.fingerings:
        fingers = "".join([f"<fingering>{finger}</fingering>" for finger in head.fingerings])
        found += f"<technical>{fingers}</technical>"
    if first and chord.articulations:
        marks = "".join([f"<{name}/>" for name in chord.articulations])
        found += f"<articulations>{marks}</articulations>"
    if first and chord.fermata:
        found += _fermata(chord)
    if chord.rolled:
        found += "<arpeggiate/>"
    return f"<notations>{found}</notations>" if found else ""


def _ornaments(chord: Written) -> str:
    signs = "".join([f'<{_ORNAMENTS[o]} placement="above"/>' for o in chord.ornaments if o in _ORNAMENTS])
    return f"<ornaments>{signs}</ornaments>" if signs else ""


def _fermata(written: Written) -> str:
    return '<fermata type="upright"/>' if written.fermata else ""


def _tuplet(written: Written) -> str:
    found = ""
    if written.opens:
        bracket, figure = "yes" if written.bracket else "no", "" if written.figured else ' show-number="none"'
        found = f'<tuplet type="start" bracket="{bracket}" placement="above"{figure}/>'
    return found + ('<tuplet type="stop"/>' if written.closes else "")


@cache
def _value(value: Value) -> str:
    return f"<type>{value.type}</type>" + "<dot/>" * value.dots


@cache
def _modification(value: Value) -> str:
    if value.actual == 1:
        return ""
    return (
        f"<time-modification><actual-notes>{value.actual}</actual-notes>"
        f"<normal-notes>{value.normal}</normal-notes></time-modification>"
    )


def _voice(written: Written) -> str:
    return f"<voice>{written.voice}</voice>" if written.voice else ""


def _staff(staff: int) -> str:
    return f"<staff>{staff}</staff>" if staff else ""


def clef_xml(clef: Clef, staff: int) -> str:
    """A clef; ``staff`` is 0 where the file need not say it."""
    number = f' number="{staff}"' if staff else ""
    octaves = f"<clef-octave-change>{clef.octaves}</clef-octave-change>" if clef.octaves else ""
    return f"<clef{number}><sign>{clef.sign}</sign><line>{clef.line}</line>{octaves}</clef>"


def direction_xml(direction: Direction, division: int) -> str:
    """A sign, or what only sounds from here."""
    sound = f'<sound tempo="{_number(direction.tempo)}"/>' if direction.tempo else ""
    if not direction.types:
        return sound
    placement = f' placement="{direction.placement}"' if direction.placement else ""
    offset = ""
    if direction.shift:
        of_sound = ' sound="yes"' if sound else ""
        offset = f"<offset{of_sound}>{direction.shift // division}</offset>"
    return f"<direction{placement}>{direction.types}{offset}{_staff(direction.staff)}{sound}</direction>"


def _number(value: float) -> str:
    return str(round(value)) if isclose(value, round(value), abs_tol=1e-6) else str(value)


def measure_xml(items: Iterable[Item], division: int) -> str:
    """All that stands in a measure, one after the other."""
    return "".join([item_xml(item, division) for item in items])
