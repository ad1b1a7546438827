"""Reading ABC: the lines of a file into voices.

Source: the ABC music standard 2.1. A file holds one tune. Lyrics, chord symbols, annotations and macros are passed
over; what is not understood is an error that names its line.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from fractions import Fraction
from typing import TypeVar

from sitegen.errors import ScoreError
from sitegen.fifths import LETTERS
from sitegen.score.abc.evening import even_out
from sitegen.score.abc.fields import (  # fmt: skip
    AbcKey,
    AbcMetre,
    read_clef,
    read_key,
    read_length,
    read_metre,
    read_tempo,
    read_transcription,
    read_voice,
)
from sitegen.score.abc.tokens import (
    ACCIDENTALS,
    BODY_FIELDS,
    CHORD_TOKEN,
    GRACE_TOKEN,
    SHORT_SIGNS,
    TOKEN,
    all_tokens,
    length_of,
    passes_of,
    staves_of,
)
from sitegen.score.abc.voices import AbcPitch, AbcVoice
from sitegen.score.oddities import Oddities

_T = TypeVar("_T")
_NOT_IN_XML = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\ufffe\uffff]")

MOST_RESTS = 1000
SLURS_A_VOICE = 4  # numbers kept apart, so that no voice closes the slur of another


@dataclass
class AbcTune:
    """A tune: its voices in order, and for each the staff it stands on (1 = top); who wrote it down in ABC, and what is
    said of rights."""

    title: str = ""
    composer: str = ""
    tempo: tuple[str, float] | None = None
    voices: list[AbcVoice] = field(default_factory=list)
    staves: dict[str, int] = field(default_factory=dict)
    transcriber: str = ""
    rights: str = ""


def read_abc(text: str, file: str, odd: Oddities) -> AbcTune:
    """The one tune of an ABC file; what is odd in it is said in ``odd``. Raises ``ScoreError`` (file, line, what is not
    understood)."""
    return _Reader(file, odd).read(text)


@dataclass
class _Reader:
    file: str
    odd: Oddities
    line: int = 0
    titles: list[str] = field(default_factory=list)
    composer: str = ""
    transcriber: str = ""
    rights: str = ""
    key: AbcKey = AbcKey()
    metre: AbcMetre | None = None
    unit: Fraction | None = None
    tempo: str = ""
    layout: str = ""
    voices: dict[str, AbcVoice] = field(default_factory=dict)
    current: AbcVoice | None = None

    def read(self, text: str) -> AbcTune:
        text = _NOT_IN_XML.sub("", text)
        lines = [line if line.startswith("%%") else re.sub(r"(?<!\\)%.*", "", line) for line in text.splitlines()]
        tunes = [number for number, line in enumerate(lines, 1) if line.startswith("X:")]
        if len(tunes) > 1:
            self.line = tunes[1]
            raise self._error(f"holds {len(tunes)} tunes, the second here", "Give each tune a file of its own.")
        body = next((i for i, line in enumerate(lines) if line.startswith("K:")), None)
        if body is None:
            raise self._error("has no key field, which begins the music of an ABC tune", "Add a line such as K:C.")
        for self.line, line in enumerate(lines, 1):
            try:
                if self.line <= body + 1:
                    self._header(line)
                else:
                    self._body(line)
            except ValueError as error:
                raise self._error(str(error), "Correct this line.") from error
        return self._tune()

    def _error(self, what: str, remedy: str) -> ScoreError:
        return ScoreError(what, remedy, self.file, line=self.line or None)

    def _header(self, line: str) -> None:
        name, value = line[:2], line[2:].strip()
        if name == "T:":
            self.titles.append(value)
        elif name == "C:":
            self.composer = self.composer or value
        elif name == "Z:":
            kind, text = read_transcription(value)
            self.rights, self.transcriber = self.rights or kind * text, self.transcriber or (not kind) * text
        elif name == "M:":
            self.metre = _understood(read_metre(value), "metre", value)
        elif name == "L:":
            self.unit = _understood(read_length(value), "unit length", value)
        elif name == "Q:":
            self.tempo = value
        elif name == "V:":
            self._voice(value)
        elif name == "%%":
            self._directive(line)
        elif name == "K:":
            found, clef = read_key(value), read_clef(value)
            if found is None and clef is None and value:
                raise ValueError(f"the key '{value}' is not understood")
            self.key = found or AbcKey()
            if not self.voices:
                self._voice("1")
            for voice in self.voices.values():
                voice.open_in(self.key, self._metre(), self._unit(), clef)
            self.current = next(iter(self.voices.values()))

    def _directive(self, line: str) -> None:
        if line.startswith(("%%score", "%%staves")):
            self.layout = line.split(None, 1)[1] if " " in line else ""

    def _metre(self) -> AbcMetre:
        return self.metre or AbcMetre()

    def _unit(self) -> Fraction:
        """The unit length: an eighth, or a sixteenth where the metre is shorter than 3/4 (standard, 3.1.7)."""
        if self.unit is not None:
            return self.unit
        quarters = self._metre().quarters
        return Fraction(1, 4) if 0 < quarters < 3 else Fraction(1, 2)

    def _voice(self, value: str) -> None:
        """Make the voice that a ``V:`` field names the current one."""
        found = read_voice(value)
        if found.id == "*":
            return
        if found.id not in self.voices:
            slurs = 1 + SLURS_A_VOICE * len(self.voices)
            self.voices[found.id] = AbcVoice(found.id, self.key, self._metre(), self._unit(), first_slur=slurs)
            self.voices[found.id].open_in(self.key, self._metre(), self._unit(), None)
        voice = self.voices[found.id]
        if found.clef is not None and found.clef != voice.clef:
            voice.change(found.clef)
        voice.name = found.name or voice.name
        self.current = voice

    def _now(self) -> AbcVoice:
        assert self.current is not None
        return self.current

    def _body(self, line: str) -> None:
        if line.startswith("%%"):
            self._directive(line)
        elif re.match(rf"[{BODY_FIELDS}]:(?![|:\]])", line):
            self._field(line[0], line[2:].strip())
        elif not line.startswith("+:"):
            self._music(line.rstrip("\\ \t"))
            self._now().space = True

    def _field(self, name: str, value: str) -> None:
        if name == "V":
            self._voice(value)
            return
        voice = self._now()
        if name == "K":
            key, clef = read_key(value), read_clef(value)
            if key is None and clef is None:
                raise ValueError(f"the key '{value}' is not understood")
            if key is not None:
                voice.change(key)
            if clef is not None:
                voice.change(clef)
        elif name == "M":
            voice.change(_understood(read_metre(value), "metre", value))
        elif name == "L":
            voice.unit = _understood(read_length(value), "unit length", value)
        elif name == "Q":
            voice.change(read_tempo(value, voice.unit))

    def _music(self, line: str) -> None:
        at = 0
        while at < len(line):
            found = TOKEN.match(line, at)
            if not found or found.end() == at:
                raise ValueError(f"'{line[at : at + 12]}' is not understood")
            at = found.end()
            self._token(found)

    def _token(self, found: re.Match[str]) -> None:
        voice, kind = self._now(), found.lastgroup
        if found["space"]:
            voice.space = True
        elif found["field"]:
            self._field(found["field"], found["value"].strip())
        elif found["bar"]:
            voice.bar_line(found["bar"], passes_of(found["pass"]))
        elif found["ending"]:
            voice.bar_line("", passes_of(found["ending"]))
        elif found["sign"] or found["oldsign"] or found["short"]:
            voice.decorations.append(found["sign"] or found["oldsign"] or SHORT_SIGNS[found["short"]])
        elif found["text"] and found["text"][0] in "^_":
            voice.decorations.append(found["text"])
        elif found["tuplet"]:
            voice.begin_tuplet(int(found["tuplet"]), int(found["normal"] or 0), int(found["count"] or 0))
        elif found["graces"] is not None:
            for note in all_tokens(GRACE_TOKEN, found["graces"]):
                if note["letter"]:
                    pitch = self._pitch(note, grace=True)
                    voice.add_grace(length_of(note["length"]) * Fraction(1, 2), [pitch], bool(found["slash"]))
        elif found["chord"]:
            self._chord(found)
        elif found["rest"]:
            voice.add(length_of(found["restlength"]) * voice.unit, [], hidden=found["rest"] == "x")
        elif found["bars"]:
            self._bars_of_rest(int(found["count_bars"] or 1), found["bars"] == "X")
        elif found["broken"]:
            small = Fraction(1, 2 ** len(found["broken"]))
            voice.lengthen_last(2 - small if found["broken"][0] == ">" else small)
        elif found["slur"]:
            voice.begin_slur()
        elif found["slurend"]:
            voice.end_slur()
        elif found["overlay"]:
            voice.overlay()
        elif kind and found["letter"]:
            voice.add(length_of(found["length"]) * voice.unit, [self._pitch(found)])

    def _pitch(self, found: re.Match[str], tied: bool = False, grace: bool = False) -> AbcPitch:
        octaves = found["octaves"].count("'") - found["octaves"].count(",")
        accidental = ACCIDENTALS[found["accidental"]]
        return self._now().pitch(accidental, found["letter"], octaves, tied or bool(found["tie"]), grace)

    def _chord(self, found: re.Match[str]) -> None:
        voice, pitches, length = self._now(), [], None
        for note in all_tokens(CHORD_TOKEN, found["chord"]):
            if note["sign"] or note["short"]:
                voice.decorations.append(note["sign"] or SHORT_SIGNS[note["short"]])
            elif note["letter"]:
                pitches.append(self._pitch(note, tied=bool(found["chordtie"])))
                length = length_of(note["length"]) if length is None else length
        if length is None:
            raise ValueError("a chord holds no note")
        pitches.sort(key=lambda p: (p.octave, LETTERS.index(p.step), p.alter))
        voice.add(length * length_of(found["chordlength"]) * voice.unit, pitches)

    def _bars_of_rest(self, count: int, hidden: bool) -> None:
        voice = self._now()
        if not 0 < count <= MOST_RESTS or voice.metre.free:
            raise ValueError(f"{count} bars of rest cannot be written out here")
        for number in range(count):
            if number:
                voice.bar_line("|", "")
            voice.rest_bar(hidden)

    def _tune(self) -> AbcTune:
        voices = [voice for voice in self.voices.values() if len(voice.bars) > 1 or not voice.bars[0].empty]
        for voice in voices:
            voice.close()
        staves = staves_of(self.layout, [voice.id for voice in voices])
        voices.sort(key=lambda voice: staves[voice.id])
        counts = {voice.id: len(voice.bars) for voice in voices}
        if len(set(counts.values())) > 1:
            self.line = 0
            listed = ", ".join(f"{count} in {name}" for name, count in counts.items())
            what = f"the voices have different numbers of bars: {listed}"
            raise self._error(what, "Write rests where a voice is silent.")
        even_out(voices, self.odd)
        tempo = read_tempo(self.tempo, self._unit()) if self.tempo else None
        title = self.titles[0] if self.titles else ""
        return AbcTune(title, self.composer, tempo, voices, staves, self.transcriber, self.rights)


def _understood(value: _T | None, what: str, text: str) -> _T:
    if value is None:
        raise ValueError(f"the {what} '{text}' is not understood")
    return value
