"""An ABC tune as MusicXML, which is what is engraved and read: one part, a staff for each voice or group of voices."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from fractions import Fraction
from xml.sax.saxutils import escape

from sitegen.fifths import LETTERS, signature_alter
from sitegen.score.abc.fields import AbcClef, AbcKey, AbcMetre
from sitegen.score.abc.reading import AbcTune
from sitegen.score.abc.signs import (
    accidental_xml,
    beams_of,
    clef_xml,
    direction_behind_xml,
    direction_xml,
    key_xml,
    notations_xml,
    pieces_of,
    pitch_xml,
    tempo_xml,
    time_xml,
)
from sitegen.score.abc.voices import AbcBar, AbcChange, AbcEvent, AbcPitch, AbcVoice

_MIDDLE = 28
MOST_DIVISIONS = 9_999_999
"""Units a quarter that MusicXML's readers count in."""


def musicxml_of(tune: AbcTune) -> str:
    """The tune as a MusicXML file. Raises ``ValueError`` for a note value that cannot be written."""
    return "".join(_Writer(tune).file())


def further_heads(tune: AbcTune) -> tuple[int, ...]:
    """How many noteheads each bar has more than the tune has notes: a length that takes several values is written with
    as many, tied."""
    bars: list[int] = []
    for voice in tune.voices:
        bars += [0] * (len(voice.bars) - len(bars))
        for index, bar in enumerate(voice.bars):
            events = (e for layer in bar.layers for e in layer if isinstance(e, AbcEvent))
            bars[index] += sum(len(event.pitches) * (len(pieces_of(event.written)) - 1) for event in events)
    return tuple(bars)


class _Writer:
    """Writes measure by measure; what is in force on a staff is kept between them."""

    def __init__(self, tune: AbcTune) -> None:
        self.tune = tune
        self.count = max(tune.staves.values(), default=1)
        events = [e for voice in tune.voices for bar in voice.bars for layer in bar.layers for e in layer]
        self.divisions = 1
        for unit in {e.length.denominator for e in events if isinstance(e, AbcEvent)}:
            self.divisions = math.lcm(self.divisions, unit)
            if self.divisions > MOST_DIVISIONS:
                raise ValueError("the lengths of its notes have no common unit")
        self.first = tune.voices[0] if tune.voices else None
        self.keys = {voice.id: voice.opening[0] for voice in tune.voices}
        self.metre = self.first.opening[1] if self.first else AbcMetre()
        self.printed: dict[tuple[int, str, int], int] = {}

    def file(self) -> Iterator[str]:
        tune = self.tune
        yield '<?xml version="1.0" encoding="UTF-8"?><score-partwise version="4.0">'
        yield f"<work><work-title>{escape(tune.title)}</work-title></work>"
        transcriber = f'<creator type="transcriber">{escape(tune.transcriber)}</creator>' if tune.transcriber else ""
        rights = f"<rights>{escape(tune.rights)}</rights>" if tune.rights else ""
        composer = f'<creator type="composer">{escape(tune.composer)}</creator>'
        yield f"<identification>{composer}{transcriber}{rights}</identification>"
        name = escape(self.first.name) if self.first and len(tune.voices) == 1 else ""
        yield f'<part-list><score-part id="P1"><part-name>{name}</part-name></score-part></part-list><part id="P1">'
        bars = len(self.first.bars) if self.first else 0
        upbeat = bars > 0 and 0 < self._length(0) < self.metre.quarters
        for index in range(bars):
            number = index if upbeat else index + 1
            yield f'<measure number="{number}"{" implicit=" + chr(34) + "yes" + chr(34) if number == 0 else ""}>'
            yield from self._measure(index)
            yield "</measure>"
        yield "</part></score-partwise>"

    def _length(self, index: int) -> Fraction:
        return max(voice.bars[index].length for voice in self.tune.voices)

    def _measure(self, index: int) -> Iterator[str]:
        assert self.first is not None
        bar = self.first.bars[index]
        yield self._bar_line(index, bar, left=True)
        if index == 0:
            yield self._attributes()
        self.printed = {}
        written = Fraction(0)
        layers_on: dict[int, int] = {}
        for voice in self.tune.voices:
            staff = self.tune.staves[voice.id]
            for layer in voice.bars[index].layers:
                if written:
                    yield f"<backup><duration>{written * self.divisions}</duration></backup>"
                layers_on[staff] = layers_on.get(staff, 0) + 1
                number = 4 * (staff - 1) + min(layers_on[staff], 4)
                yield from self._layer(layer, voice, staff, number)
                written = sum((e.length for e in layer if isinstance(e, AbcEvent)), Fraction(0))
        if (gap := self._length(index) - written) > 0:
            yield f"<forward><duration>{gap * self.divisions}</duration></forward>"
        yield self._bar_line(index, bar, left=False)

    def _attributes(self) -> str:
        assert self.first is not None
        clefs: dict[int, AbcVoice] = {}
        for voice in self.tune.voices:
            clefs.setdefault(self.tune.staves[voice.id], voice)
        signs = "".join(clef_xml(_opening_clef(clefs[staff]), staff) for staff in sorted(clefs))
        staves = f"<staves>{self.count}</staves>" if self.count > 1 else ""
        key = key_xml(self.keys[self.first.id])
        tempo = tempo_xml(self.tune.tempo) if self.tune.tempo else ""
        divisions = f"<divisions>{self.divisions}</divisions>"
        return f"<attributes>{divisions}{key}{time_xml(self.metre)}{staves}{signs}</attributes>{tempo}"

    def _layer(self, layer: Sequence[AbcEvent | AbcChange], voice: AbcVoice, staff: int, number: int) -> Iterator[str]:
        beams = beams_of(layer)
        for place, event in enumerate(layer):
            if isinstance(event, AbcChange):
                yield self._change(event, voice, staff)
                continue
            for sign in event.decorations:
                yield direction_xml(sign, staff)
            pieces = pieces_of(event.written)
            beam = beams.get(place, "") if len(pieces) == 1 else ""
            for k, piece in enumerate(pieces):
                ends = k == 0, k == len(pieces) - 1
                yield from self._notes(event, voice, staff, number, piece, ends, beam)
            for sign in event.decorations:
                yield direction_behind_xml(sign, staff)

    def _change(self, change: AbcChange, voice: AbcVoice, staff: int) -> str:
        value = change.value
        if isinstance(value, AbcKey):
            self.keys[voice.id] = value
            return f"<attributes>{key_xml(value, staff if self.count > 1 else 0)}</attributes>"
        if isinstance(value, AbcMetre):
            return f"<attributes>{time_xml(value)}</attributes>" if voice is self.first else ""
        if isinstance(value, AbcClef):
            return f"<attributes>{clef_xml(value, staff)}</attributes>"
        return tempo_xml(value)

    def _notes(
        self, event: AbcEvent, voice: AbcVoice, staff: int, number: int, piece: tuple[Fraction, str, int],
        ends: tuple[bool, bool], beam: str,
    ) -> Iterator[str]:  # fmt: skip
        """The noteheads of an event, or of one ``piece`` of it where its length takes several note values."""
        (value, kind, dots), (first, last) = piece, ends
        time = value * event.normal / event.actual * self.divisions
        duration = "" if event.grace else f"<duration>{time}</duration>"
        grace = f"<grace{' slash=' + chr(34) + 'yes' + chr(34) if event.slashed else ''}/>" if event.grace else ""
        ratio = (f"<time-modification><actual-notes>{event.actual}</actual-notes><normal-notes>{event.normal}"
                 "</normal-notes></time-modification>" if event.actual > 1 else "")  # fmt: skip
        tail = f"{'<dot/>' * dots}%s{ratio}<staff>{staff}</staff>"
        head = f"<voice>{number}</voice><type>{kind}</type>"
        if not event.pitches:
            hidden = ' print-object="no"' if event.hidden else ""
            signs = notations_xml(event, first, last, [])
            yield f"<note{hidden}><rest/>{duration}{head}{tail % ''}{signs}</note>"
            return
        for position, pitch in enumerate(event.pitches):
            ties = (["stop"] if pitch.held or not first else []) + (["start"] if pitch.tied or not last else [])
            sign = "" if "stop" in ties else self._accidental(pitch, voice, staff)
            body = grace + ("<chord/>" if position else "") + pitch_xml(pitch) + duration
            body += "".join(f'<tie type="{tie}"/>' for tie in ties) + head + tail % sign
            body += (beam if position == 0 else "") + notations_xml(event if position == 0 else None, first, last, ties)
            yield f"<note>{body}</note>"

    def _accidental(self, pitch: AbcPitch, voice: AbcVoice, staff: int) -> str:
        """The accidental to print: where the pitch is not what signature and bar would make of it."""
        place = staff, pitch.step, pitch.octave
        fifths = self.keys[voice.id].fifths
        usual = signature_alter(pitch.step, fifths)
        if self.printed.get(place, usual) == pitch.alter:
            return ""
        self.printed[place] = pitch.alter
        return accidental_xml(pitch.alter)

    def _bar_line(self, index: int, bar: AbcBar, left: bool) -> str:
        assert self.first is not None
        bars = self.first.bars
        if left:
            ending = f'<ending number="{bar.ending}" type="start"/>' if bar.ending else ""
            repeat = '<repeat direction="forward"/>' if bar.repeat_start else ""
            return f'<barline location="left">{ending}{repeat}</barline>' if ending or repeat else ""
        open_ending = next((b.ending for b in bars[index::-1] if b.ending or (b.repeat_end and b is not bar)), "")
        following = bars[index + 1] if index + 1 < len(bars) else None
        stops = following is None or bool(following.ending) or bar.repeat_end or bool(bar.style)
        kind = "stop" if bar.repeat_end or following is None or bar.style == "final" else "discontinue"
        ending = f'<ending number="{open_ending}" type="{kind}"/>' if open_ending and stops else ""
        style = {"final": "light-heavy", "double": "light-light"}.get("final" if bar.repeat_end else bar.style, "")
        text = (f"<bar-style>{style}</bar-style>" if style else "") + ending
        text += '<repeat direction="backward"/>' if bar.repeat_end else ""
        return f'<barline location="right">{text}</barline>' if text else ""


def _opening_clef(voice: AbcVoice) -> AbcClef:
    """The clef a voice begins with: where it names none, the bass clef if it lies below middle C on the whole."""
    if voice.opening[2] is not None and voice.opening[2] != AbcClef(shift=voice.opening[2].shift):
        return voice.opening[2]
    heights = [
        7 * pitch.octave + LETTERS.index(pitch.step)
        for bar in voice.bars
        for layer in bar.layers
        for event in layer
        if isinstance(event, AbcEvent)
        for pitch in event.pitches
    ]
    low = voice.opening[2] is None and heights and sum(heights) < _MIDDLE * len(heights)
    return AbcClef("F", 4) if low else AbcClef()
