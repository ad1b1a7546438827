"""From the places that the teacher's readings name to the ticks and notes of a score that the analysis is given."""

from __future__ import annotations

from dataclasses import dataclass, field, replace

from sitegen.analysis import ChordReading, Function, KeyReading, LineName, PhraseReading, Readings, Texture
from sitegen.analysis.chords import today
from sitegen.errors import ContentError, located
from sitegen.places.finding import find_note, find_spot
from sitegen.places.nouns import Spot
from sitegen.places.parsing import parse_place
from sitegen.reduction.adjustments.entries import Faults
from sitegen.reduction.wishes import Reading, Wishes
from sitegen.score import Score


def readings_of(score: Score, wishes: Wishes) -> Readings:
    """What the analysis is to take as given. Raises ``ContentError`` for a place that matches nothing, or several
    things, and for two readings of one line that cannot both be; ``FaultsError`` for several."""
    faults = Faults()
    found = _Found(score)
    for reading in wishes.readings:
        faults.attempt(lambda reading=reading: _put_located(found, reading, wishes.file))  # type: ignore[misc]
    faults.tell()
    return found.readings()


def _put_located(found: _Found, reading: Reading, file: str) -> None:
    with located(file, reading.line):
        found.put(reading)


@dataclass(slots=True)
class _Found:
    """Readings found so far."""

    score: Score
    chords: list[ChordReading] = field(default_factory=list)
    keys: list[KeyReading] = field(default_factory=list)
    phrases: list[PhraseReading] = field(default_factory=list)
    textures: list[Texture] = field(default_factory=list)
    functions: dict[str, Function] = field(default_factory=dict)
    lines: dict[str, LineName | None] = field(default_factory=dict)
    places: dict[tuple[LineName, int, int], str] = field(default_factory=dict)

    def readings(self) -> Readings:
        """All of them."""
        return Readings(
            tuple(self.chords), tuple(self.keys), tuple(self.phrases), tuple(self.textures), self.functions, self.lines
        )

    def put(self, reading: Reading) -> None:
        """One reading more."""
        if reading.what == "function":
            self.functions[find_note(self.score, parse_place(reading.at)).id] = reading.value
        elif reading.what == "line":
            self._put_line(reading)
        elif reading.what == "chord":
            onset = find_spot(self.score, parse_place(reading.at)).onset
            self.chords.append(
                ChordReading(onset, self._until(reading, onset) if reading.until else None, today(reading.value))
            )
        elif reading.what == "phrase":
            self._put_phrase(reading)
        else:
            spot = self._stretch(reading)
            if reading.what == "key":
                self.keys.append(KeyReading(spot.onset, spot.end, reading.value))
            else:
                length = spot.end - spot.onset
                self.textures += [Texture(staff, spot.onset, length, reading.value) for staff in spot.staves]

    def _put_line(self, reading: Reading) -> None:
        note = find_note(self.score, parse_place(reading.at))
        if reading.value == "none":
            self.lines[note.id] = None
            return
        if note.grace:
            raise ContentError(f"'{reading.at}' is a grace note, which is of no line", "name the note that it adorns")
        line: LineName = reading.value  # type: ignore[assignment]
        place = line, note.onset, note.staff if line == "inner" else 0
        if self.places.setdefault(place, note.id) != note.id:
            what = f"two notes of one moment cannot both be of the {line}{' line' if line == 'inner' else ''}"
            raise ContentError(f"{what}, as '{reading.at}' and another are", "keep one of the two")
        self.lines[note.id] = line

    def _put_phrase(self, reading: Reading) -> None:
        """A phrase that begins with the first full bar takes in the upbeat before it."""
        cadence = {"": None, "none": ""}.get(reading.cadence, reading.cadence)
        place = parse_place(reading.at)
        onset, end = find_spot(self.score, place).onset, None
        if reading.value == "whole":
            spot = self._stretch(reading)
            onset, end = spot.onset, spot.end
        if place.beat is None and self.score.bars[0].lead and onset == self.score.bars[0].end:
            onset = 0
        self.phrases.append(PhraseReading(onset, end, cadence))

    def _stretch(self, reading: Reading) -> Spot:
        """The bars that are named; from a beat on to the end of its bar; or to where it is said to end."""
        place = parse_place(reading.at)
        spot = find_spot(self.score, place)
        if reading.until:
            return Spot(spot.onset, self._until(reading, spot.onset), spot.staves)
        if place.beat is None:
            return spot
        return Spot(spot.onset, find_spot(self.score, replace(place, beat=None)).end, spot.staves)

    def _until(self, reading: Reading, onset: int) -> int:
        end = find_spot(self.score, parse_place(reading.until)).onset
        if end <= onset:
            raise ContentError(f"'{reading.until}' is not after '{reading.at}'", f"let the {reading.what} end later")
        return end
