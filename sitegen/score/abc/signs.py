"""The signs of an ABC tune as fragments of MusicXML.

Source: the MusicXML 4.0 specification (W3C Music Notation Community Group); the ABC music standard 2.1, section 4.14
(decorations).
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from xml.sax.saxutils import escape

from sitegen.score.abc.fields import AbcClef, AbcKey, AbcMetre
from sitegen.score.abc.voices import AbcChange, AbcEvent, AbcPitch

_TYPES = {
    Fraction(8): "breve", Fraction(4): "whole", Fraction(2): "half", Fraction(1): "quarter", Fraction(1, 2): "eighth",
    Fraction(1, 4): "16th", Fraction(1, 8): "32nd", Fraction(1, 16): "64th", Fraction(1, 32): "128th",
}  # fmt: skip
_VALUES = sorted(
    ((base * (2 - Fraction(1, 2**dots)), name, dots) for base, name in _TYPES.items() for dots in (0, 1, 2)),
    reverse=True,
)
_ORNAMENTS = {
    "trill": "trill-mark", "turn": "turn", "roll": "turn", "invertedturn": "inverted-turn", "mordent": "mordent",
    "lowermordent": "mordent", "uppermordent": "inverted-mordent", "pralltriller": "inverted-mordent",
}  # fmt: skip
_ARTICULATIONS = {"staccato": "staccato", "tenuto": "tenuto", "accent": "accent", ">": "accent", "emphasis": "accent",
                  "wedge": "staccatissimo", "breath": "breath-mark", "^": "strong-accent",
                  "marcato": "strong-accent", "caesura": "caesura"}  # fmt: skip
_DYNAMICS = ("pppp", "ppp", "pp", "p", "mp", "mf", "f", "ff", "fff", "ffff", "sf", "sfz", "fp")
_PEDALS = {"ped": "start", "ped-up": "stop"}
_SIDES = {"^": "above", "_": "below"}
_WEDGES = {"crescendo(": "crescendo", "<(": "crescendo", "crescendo)": "stop", "<)": "stop",
           "diminuendo(": "diminuendo", ">(": "diminuendo", "diminuendo)": "stop", ">)": "stop"}  # fmt: skip
_OCTAVES = {"8va(": ("down", "8"), "8vb(": ("up", "8"), "15ma(": ("down", "15"), "15mb(": ("up", "15")}
_OCTAVES_END = {"8va)": "8", "8vb)": "8", "15ma)": "15", "15mb)": "15"}
_ACCIDENTALS = {0: "natural", 1: "sharp", -1: "flat", 2: "double-sharp", -2: "flat-flat"}


def pieces_of(written: Fraction) -> list[tuple[Fraction, str, int]]:
    """A length as note values to be tied: each in quarters, with its MusicXML type and dots."""
    pieces: list[tuple[Fraction, str, int]] = []
    left = written
    while left > 0:
        found = next((value for value in _VALUES if value[0] <= left), None)
        if found is None or len(pieces) > 8:
            raise ValueError(f"a note of {written} quarters cannot be written")
        pieces.append(found)
        left -= found[0]
    return pieces


def beams_of(layer: Sequence[AbcEvent | AbcChange]) -> dict[int, str]:
    """The beams of each event that has some, by its place in the layer: notes written without a space between."""
    runs: list[list[int]] = [[]]
    for place, event in enumerate(layer):
        if isinstance(event, AbcEvent) and event.grace:
            continue
        short = isinstance(event, AbcEvent) and bool(event.pitches) and event.written < 1
        if not short or (isinstance(event, AbcEvent) and event.beam_break):
            runs.append([])
        if short:
            runs[-1].append(place)
    beams: dict[int, str] = {}
    for run in runs:
        levels = [_levels(layer[place]) for place in run]
        for k, place in enumerate(run):
            before, after = levels[k - 1] if k else 0, levels[k + 1] if k + 1 < len(run) else 0
            if len(run) > 1:
                beams[place] = "".join(_beam(level, before, after) for level in range(1, levels[k] + 1))
    return beams


def _levels(event: AbcEvent | AbcChange) -> int:
    assert isinstance(event, AbcEvent)
    return next(n for n in range(1, 9) if event.written >= Fraction(1, 2**n) or n == 8)


def _beam(level: int, before: int, after: int) -> str:
    kinds = {(True, True): "continue", (True, False): "end", (False, True): "begin"}
    kind = kinds.get((before >= level, after >= level), "backward hook" if before else "forward hook")
    return f'<beam number="{level}">{kind}</beam>'


def notations_xml(event: AbcEvent | None, first: bool, last: bool, ties: Sequence[str]) -> str:
    """The ``notations`` of a note; ``event`` is None for the further notes of a chord, which bear only ties."""
    text = "".join(f'<tied type="{tie}"/>' for tie in ties)
    if event is not None:
        text += '<tuplet type="start"/>' if event.tuplet_start and first else ""
        text += '<tuplet type="stop"/>' if event.tuplet_stop and last else ""
        if first:
            text += "".join(f'<slur type="start" number="{number}"/>' for number in event.slurs)
            text += _signs(event.decorations)
        if last:
            text += "".join(f'<slur type="stop" number="{number}"/>' for number in event.slurs_end)
    return f"<notations>{text}</notations>" if text else ""


def _signs(decorations: Sequence[str]) -> str:
    ornaments = "".join(f"<{_ORNAMENTS[d]}/>" for d in decorations if d in _ORNAMENTS)
    articulations = "".join(f"<{_ARTICULATIONS[d]}/>" for d in decorations if d in _ARTICULATIONS)
    fingers = "".join(f"<fingering>{d}</fingering>" for d in decorations if d in tuple("012345"))
    text = f"<ornaments>{ornaments}</ornaments>" if ornaments else ""
    text += f"<technical>{fingers}</technical>" if fingers else ""
    text += f"<articulations>{articulations}</articulations>" if articulations else ""
    text += '<fermata type="upright"/>' if "fermata" in decorations else ""
    text += '<fermata type="inverted"/>' if "invertedfermata" in decorations else ""
    return text + ("<arpeggiate/>" if "arpeggio" in decorations else "")


def direction_xml(sign: str, staff: int) -> str:
    """A dynamic, hairpin, pedal, beginning of an octave sign or annotation (words after the sign of their side), to
    stand before its note; empty for any other decoration."""
    side = "below"
    if sign in _DYNAMICS:
        body = f"<dynamics><{sign}/></dynamics>"
    elif sign in _WEDGES:
        body = f'<wedge type="{_WEDGES[sign]}"/>'
    elif sign in _PEDALS:
        body = f'<pedal type="{_PEDALS[sign]}" sign="yes"/>'
    elif sign in _OCTAVES:
        way, size = _OCTAVES[sign]
        body, side = f'<octave-shift type="{way}" size="{size}"/>', "above" if way == "down" else "below"
    elif sign[:1] in _SIDES and len(sign) > 1:
        body, side = f"<words>{escape(sign[1:])}</words>", _SIDES[sign[:1]]
    else:
        return ""
    return f'<direction placement="{side}"><direction-type>{body}</direction-type><staff>{staff}</staff></direction>'


def direction_behind_xml(sign: str, staff: int) -> str:
    """The end of an octave sign, to stand behind its note: the tune has it before the last note under the sign."""
    if sign not in _OCTAVES_END:
        return ""
    body = f'<octave-shift type="stop" size="{_OCTAVES_END[sign]}"/>'
    return f"<direction><direction-type>{body}</direction-type><staff>{staff}</staff></direction>"


def tempo_xml(tempo: tuple[str, float]) -> str:
    """Words and quarter notes a minute (0: not said)."""
    words, speed = tempo
    body = f"<direction-type><words>{escape(words)}</words></direction-type>" if words else ""
    sound = ""
    if speed > 0:
        body += (f"<direction-type><metronome><beat-unit>quarter</beat-unit><per-minute>{speed:g}</per-minute>"
                 "</metronome></direction-type>")  # fmt: skip
        sound = f'<sound tempo="{speed:g}"/>'
    return f'<direction placement="above">{body}{sound}</direction>' if body else ""


def key_xml(key: AbcKey, staff: int = 0) -> str:
    number = f' number="{staff}"' if staff else ""
    return f"<key{number}><fifths>{key.fifths}</fifths><mode>{key.mode}</mode></key>"


def time_xml(metre: AbcMetre) -> str:
    if metre.free:
        return "<time><senza-misura/></time>"
    symbol = f' symbol="{metre.symbol}"' if metre.symbol else ""
    return f"<time{symbol}><beats>{metre.beats}</beats><beat-type>{metre.beat_type}</beat-type></time>"


def clef_xml(clef: AbcClef, staff: int) -> str:
    octaves = f"<clef-octave-change>{clef.octaves}</clef-octave-change>" if clef.octaves else ""
    return f'<clef number="{staff}"><sign>{clef.sign}</sign><line>{clef.line}</line>{octaves}</clef>'


def pitch_xml(pitch: AbcPitch) -> str:
    alter = f"<alter>{pitch.alter}</alter>" if pitch.alter else ""
    return f"<pitch><step>{pitch.step}</step>{alter}<octave>{pitch.octave}</octave></pitch>"


def accidental_xml(alter: int) -> str:
    return f"<accidental>{_ACCIDENTALS[alter]}</accidental>"
