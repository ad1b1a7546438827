"""The analysis as a page that a musician reads bar by bar.

Every place is printed as ``sitegen.places`` has it, so that it can be copied into an adjustment. Numerals are those of
``chords.naming_tables``, tension is drawn in ten parts beside its value from 0 to 1.
"""

from __future__ import annotations

import re
from collections import Counter, defaultdict
from collections.abc import Iterator, Sequence

from sitegen.analysis.form import WITH_ARTICLE
from sitegen.analysis.nouns import Analysis, Counterpoint, Harmony, NoteReading, Tension
from sitegen.analysis.reasons import WITHOUT_HARMONY
from sitegen.analysis.texture import in_words
from sitegen.places.printing import bar_name, bar_names, beat_words, hand_words, place_of_bars, places_of_notes
from sitegen.score import Bar, Note, Score

NO_HARMONY = "no harmony found here"
_PLURALS = {"free": "free notes"}


def describe(score: Score, analysis: Analysis) -> str:
    """The whole page, ending in a line break. ``analysis`` is that of ``score``.

    What is alike is said once: notes of one function in a bar and hand together, and bars that read as the bar before
    them as a stretch. ``describe_bars`` gives each note its own line and its reason.
    """
    if not score.bars:
        return "\n".join([*_title(score), "The score has no bars: " + NO_HARMONY, ""])
    page = _Page(score, analysis, in_full=False)
    return "\n".join([*_title(score), *_summary(score, analysis), "", *_said_once(page, score), ""])


def describe_bars(score: Score, analysis: Analysis, first: int, last: int) -> str:
    """The bars from index ``first`` to ``last``, every note that is no plain chord tone with its reason."""
    page = _Page(score, analysis, in_full=True)
    lines = [line for bar in score.bars for line in page.bar(bar) if first <= bar.index <= last]
    return "\n".join([*lines, ""])


def _said_once(page: _Page, score: Score) -> Iterator[str]:
    """The bars of a page; those that read as the one before, but for their numbers, together."""
    alike: list[Bar] = []
    before: list[str] = []

    def repeated() -> Iterator[str]:
        if alike:
            yield f"{place_of_bars(score, alike[0].onset, alike[-1].end)}: the same"

    for bar in score.bars:
        lines = list(page.bar(bar))
        plain = [page.without_number(line, bar) for line in lines]
        # a bar without a line of its own is the second half of a divided one
        if plain and plain == before and not page.begins_something(bar):
            alike.append(bar)
            continue
        yield from repeated()
        alike.clear()
        yield from lines
        before = [re.sub(r"^bar \([^)]*\)", "bar", line) for line in plain]
    yield from repeated()


_FORMS = {"period": "a period", "sentence": "a sentence", "return": "the beginning of the piece returns"}


def _title(score: Score) -> list[str]:
    title = score.title or score.file or "Untitled"
    return [f"{title} ({score.composer})" if score.composer else title]


def _summary(score: Score, analysis: Analysis) -> Iterator[str]:
    yield f"{_count(len(set(bar_names(score))), 'bar')}, {_count(len(score.notes), 'note')}"
    keys = list(_keys(score, analysis.harmonies))
    yield "Keys: " + ("; ".join(keys) if keys else NO_HARMONY)
    counted = Counter(reading.function for reading in analysis.notes.values())
    if counted:
        yield "Notes: " + ", ".join(
            f"{count} {_plurals(function) if count != 1 else function}" for function, count in counted.most_common()
        )
    for passage in analysis.passages:
        yield f"Texture: {place_of_bars(score, passage.onset, passage.end)}: {in_words(passage)}"
        if analysis.counterpoint is None:
            yield from _counterpoint(score, passage.counterpoint)
    for phrase in analysis.phrases:
        words = f": {WITH_ARTICLE[phrase.cadence]}" if phrase.cadence else ""
        yield f"Phrase: {place_of_bars(score, phrase.onset, phrase.end)}{words}"
    for form in analysis.forms:
        yield f"Form: {place_of_bars(score, form.onset, form.end)}: {_FORMS[form.kind]}"
    yield from _counterpoint(score, analysis.counterpoint)


def _counterpoint(score: Score, found: Counterpoint | None) -> Iterator[str]:
    """The voices, and each entry of the subject with its voice, its first note and its form."""
    if found is None:
        return
    by_id = {note.id: note for note in score.notes}
    entries = f", {_count(len(found.entries), 'entry')} of the subject" if found.entries else ""
    yield f"Counterpoint: {_count(len(found.voices), 'voice')}{entries}"
    for entry in sorted(found.entries, key=lambda e: (e.onset, e.voice)):
        bar = bar_name(score, score.bar_at(entry.onset))
        place = f"bar {bar}, beat {beat_words(score, entry.onset)}, voice {entry.voice + 1} from the top"
        yield f"  {place}: {entry.form}, from {by_id[entry.notes[0]].pitch.name}"


def _keys(score: Score, harmonies: Sequence[Harmony]) -> Iterator[str]:
    """Each stretch of one key with its bars; harmonies without a key belong to the key before them."""
    start: Harmony | None = None
    last: Harmony | None = None
    for harmony in harmonies:
        if harmony.key is None:
            continue
        if start is not None and last is not None and harmony.key != start.key:
            yield f"{start.key} ({place_of_bars(score, start.onset, last.end)})"
            start = harmony
        start, last = start or harmony, harmony
    if start is not None and last is not None:
        yield f"{start.key} ({place_of_bars(score, start.onset, last.end)})"


class _Page:
    """What is to be said at each bar, sorted once."""

    def __init__(self, score: Score, analysis: Analysis, in_full: bool) -> None:
        self._in_full = in_full
        self._score, self._names, self._places = score, bar_names(score), places_of_notes(score)
        self._harmonies: dict[int, list[tuple[Harmony, Tension | None]]] = defaultdict(list)
        self._notes: dict[int, list[tuple[Note, NoteReading]]] = defaultdict(list)
        self._textures: dict[int, list[str]] = defaultdict(list)
        self._ends: dict[int, list[str]] = defaultdict(list)
        tensions = {tension.onset: tension for tension in analysis.tension}
        for harmony in analysis.harmonies:
            bar = score.bar_at(harmony.onset)
            self._harmonies[bar.index].append((harmony, tensions.get(harmony.onset)))
        for note in score.notes:
            reading = analysis.notes[note.id]
            if (reading.function != "chord tone" or reading.held_as) and reading.reasons != WITHOUT_HARMONY:
                self._notes[note.bar].append((note, reading))
        for texture in analysis.textures:
            words = f"{place_of_bars(score, texture.onset, texture.end, texture.staff)}: {texture.kind}"
            self._textures[score.bar_at(texture.onset).index].append(words)
        for phrase in analysis.phrases:
            tick = max(phrase.onset, phrase.end - 1)
            ends = f"a phrase ends ({place_of_bars(score, phrase.onset, phrase.end)})"
            self._ends[score.bar_at(tick).index].append(
                f"{ends}: {WITH_ARTICLE[phrase.cadence]}" if phrase.cadence else ends
            )
        self._key: str | None = None
        self._metre = ""

    def bar(self, bar: Bar) -> Iterator[str]:
        """All that is said of a bar: in full, each harmony with its reason and each note that is no plain chord tone on
        its own line; else one line of harmonies and one for the notes of each hand."""
        changes, name = self._changes(bar), self._names[bar.index]
        harmonies, notes = self._harmonies[bar.index], self._notes[bar.index]
        # the second half of a bar that a repeat sign divides goes on with it
        begins = bool(changes) or not bar.index or name != self._names[bar.index - 1]
        chords = "" if self._in_full else self._chords(harmonies)
        if begins or chords:
            yield f"bar {name}{changes}{f': {chords}' if chords else ''}"
        for words in self._textures[bar.index]:
            yield f"  {words}"
        if not harmonies:
            yield "  the harmony goes on"
        if self._in_full:
            for harmony, tension in harmonies:
                before = sum(note.onset < harmony.onset for note, _ in notes)
                yield from map(self._note, notes[:before])
                notes = notes[before:]
                yield self._harmony(harmony, tension)
                if harmony.reasons and harmony.pitch_classes:
                    yield f"    {harmony.why}"
            yield from map(self._note, notes)
        else:
            yield from self._together(bar, notes)
        for words in self._ends[bar.index]:
            yield f"  {words}"

    def _chords(self, harmonies: Sequence[tuple[Harmony, Tension | None]]) -> str:
        """``I (G), beat 3 V65 (D7/F#)``: the harmonies of a bar, without its first beat, and the highest tension."""
        told = []
        for harmony, _ in harmonies:
            beat = beat_words(self._score, harmony.onset)
            chord = f"{harmony.numeral or '-'} ({harmony.symbol or '-'})" if harmony.pitch_classes else NO_HARMONY
            told.append(chord if beat == "1" else f"beat {beat} {chord}")
        highest = max((tension.value for _, tension in harmonies if tension is not None), default=None)
        figure = "" if highest is None else f"   tension {'#' * round(10 * highest)} {highest:.2f}"
        return f"{', '.join(told)}{figure}"

    def begins_something(self, bar: Bar) -> bool:
        """Whether a texture begins or a phrase ends in ``bar``."""
        return bool(self._textures[bar.index] or self._ends[bar.index])

    def without_number(self, line: str, bar: Bar) -> str:
        """A line of ``bar`` as any bar that reads alike has it: without its number and the figure of tension."""
        return re.sub(r" *tension .*", "", line.replace(f"bar {self._names[bar.index]}", "bar", 1)).rstrip()

    def _together(self, bar: Bar, notes: Sequence[tuple[Note, NoteReading]]) -> Iterator[str]:
        """The notes of a bar that are no plain chord tones: a line for each hand, those of one function together."""
        hands: dict[int, dict[str, list[Note]]] = defaultdict(lambda: defaultdict(list))
        for note, reading in notes:
            hands[note.staff][_function(reading)].append(note)
        for staff, functions in sorted(hands.items()):
            told = [
                f"{_plurals(function) if len(members) > 1 else function} {self._where(members)}"
                for function, members in functions.items()
            ]
            yield f"  bar {self._names[bar.index]}, {hand_words(self._score, staff)}: {'; '.join(told)}"

    def _where(self, notes: Sequence[Note]) -> str:
        """``B4 (beat 1+1/2), D5 (beat 3)``."""
        beats: dict[str, list[str]] = defaultdict(list)
        for note in notes:
            beats[beat_words(self._score, note.onset)].append(note.pitch.name)
        return ", ".join(f"{' '.join(dict.fromkeys(names))} (beat {beat})" for beat, names in beats.items())

    def _note(self, read: tuple[Note, NoteReading]) -> str:
        note, reading = read
        return f"    {self._places[note.id]}: {_function(reading)}. {reading.why}"

    def _changes(self, bar: Bar) -> str:
        """The metre and the key where they are not those of the bar before."""
        keys = [harmony.key for harmony, _ in self._harmonies[bar.index] if harmony.key]
        said = []
        if bar.metre.name != self._metre:
            said.append(bar.metre.name)
        said.extend(key for key, before in zip(keys, [self._key, *keys], strict=False) if key != before)
        self._metre, self._key = bar.metre.name, keys[-1] if keys else self._key
        return f" ({', '.join(said)})" if said else ""

    def _harmony(self, harmony: Harmony, tension: Tension | None) -> str:
        place = f"  beat {beat_words(self._score, harmony.onset)}"
        if not harmony.pitch_classes:
            return f"{place:<16}{NO_HARMONY}"
        chord = f"{place:<16}{harmony.numeral or '-':<12}{harmony.symbol or '-':<12}"
        if tension is None:
            return chord.rstrip()
        full = round(10 * tension.value)
        parts = ", ".join(f"{name} {value:.2f}" for name, value in tension.parts if value >= 0.005)
        figure = f"tension {'#' * full}{'.' * (10 - full)} {tension.value:.2f}"
        return f"{chord}{figure} ({parts})" if parts else f"{chord}{figure}"


def _function(reading: NoteReading) -> str:
    return f"{reading.function}, then {reading.held_as}" if reading.held_as else reading.function


def _plurals(function: str) -> str:
    return ", then ".join(_PLURALS.get(part, f"{part}s") for part in function.split(", then "))


def _count(number: int, noun: str) -> str:
    plural = f"{noun[:-1]}ies" if noun.endswith("y") else f"{noun}s"
    return f"{number} {noun if number == 1 else plural}"
