"""Where phrases end, and how: the stretches in which a piece is practised.

Every bar line, and every note of the melody after a pause, may begin a phrase (``phrase_evidence``). Of all ways to
divide the piece that is taken which has most for it, less what its lengths cost (Temperley, The Cognition of Basic
Musical Structures, 2001, ch. 3): phrases are four bars long, or eight, or two, and an odd length must be paid for.
Lengths are counted from bar line to bar line, so that an upbeat belongs to the phrase that follows.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Collection, Mapping, Sequence

from sitegen.analysis.chords import CADENTIAL
from sitegen.analysis.form.cadences import AUTHENTIC, HALF, Cadence, cadence_at
from sitegen.analysis.form.phrase_evidence import PhraseStart, closing_cadence, places_of
from sitegen.analysis.nouns import Harmony, NoteReading, Phrase
from sitegen.analysis.readings import PhraseReading
from sitegen.score import Note, Score
from sitegen.score.metre import BEAT, HALF_BAR, beat_ticks, metrical_level

WEIGHTS: dict[str, float] = {
    "pause": 0.4,
    "rest": 0.5,
    "fermata": 4.0,
    "cadence": 0.8,
    "arrival": 0.35,
    "inverted": -0.6,
    "figure": 0.4,
    "repeat": 3.0,
    "turn": 1.7,
    "parallel": 0.4,
    "opening": 2.0,
    "slur": 0.6,
    "in slur": -1.8,
    "off metre": -0.3,
}

LENGTHS = {2: 2.2, 3: 2.0, 4: -0.2, 5: 1.0, 6: 1.45, 7: 1.9, 8: 1.2, 9: 2.2, 10: 2.45, 11: 2.7, 12: 2.9}
"""What a phrase costs by its bars. These, and how much ``opening``, ``arrival``, ``inverted`` and ``figure`` weigh, are
fitted to themes and variations (TAVERN, J. Devaney et al., CC BY-SA 4.0), and the lengths taken half the way there: a
theme for variations is more regular than other music. The others are set by ear."""
SCRAP = 8.0  # what less than two bars cost: no phrase that anyone would practise
MOST_BARS = max(LENGTHS)
SUNG = 2  # the melody is the line if it strikes in at least one of so many bars


def find_phrases(
    score: Score,
    harmonies: Sequence[Harmony],
    readings: Mapping[str, NoteReading],
    melody: Collection[str] = (),
    said: Sequence[PhraseReading] = (),
) -> tuple[Phrase, ...]:
    """The phrases in order, covering the piece without gap or overlap; none for a piece without bars.

    ``melody`` are the ids of its notes; where it has few, the highest notes are taken for it. A phrase begins with its
    upbeat; ``cadence`` is empty where it ends with none. ``said`` is what the teacher says of phrases: the rest of the
    piece is divided around it.
    """
    if not score.end:
        return ()
    line = melody_line(score, melody)
    cadences = _cadences(score, harmonies, line)
    begins, within = _fixed(said, score.end)
    places = [
        place
        for place in places_of(score, line, cadences, begins, harmonies)
        if place.tick in begins or not any(onset < place.tick < end for onset, end in within)
    ]
    starts = best_starts(places, begins)
    closes = {one.onset: one.cadence for one in said if one.cadence is not None}
    closings = {rests: _cadences(score, harmonies, line, rests) if rests else cadences for rests in (False, True)}
    arrivals = {rests: [cadence.arrival for cadence in of] for rests, of in closings.items()}
    found = []
    for start, end in zip(starts, [*starts[1:], score.end], strict=True):
        last = _last_of(line, start, end)
        rests = last is None or max(last.duration, end - last.onset) >= beat_ticks(score, last.onset)
        sung = end if last is None else min(end, last.end)
        closing = closing_cadence(score, closings[rests], arrivals[rests], start, sung)
        found.append(Phrase(start, end - start, closes.get(start, closing.kind if closing else "")))
    return tuple(found)


def _fixed(said: Sequence[PhraseReading], end: int) -> tuple[set[int], list[tuple[int, int]]]:
    """The ticks at which a phrase must begin, and the stretches in which none does; what is said later holds."""
    begins: set[int] = set()
    within: list[tuple[int, int]] = []
    for one in said:
        if one.end is not None:
            begins = {tick for tick in begins if not one.onset < tick < one.end} | {one.end}
            within.append((one.onset, one.end))
        begins.add(one.onset)
    return {tick for tick in begins if 0 < tick < end}, within


def melody_line(score: Score, melody: Collection[str]) -> list[Note]:
    """The melody, its highest note at each tick; the top line where it is silent for most of the piece."""
    sung: dict[int, Note] = {}
    for note in score.sounding():
        if note.id in melody and (note.onset not in sung or note.midi > sung[note.onset].midi):
            sung[note.onset] = note
    bars = {note.bar for note in sung.values()}
    return [note for _, note in sorted(sung.items())] if SUNG * len(bars) >= len(score.bars) else top_line(score)


def top_line(score: Score) -> list[Note]:
    """The highest note struck at each tick at which the top staff (or, where it is silent, any) strikes one."""
    best: dict[int, Note] = {}
    for note in score.sounding():
        other = best.get(note.onset)
        if other is None or (-note.staff, note.midi) > (-other.staff, other.midi):
            best[note.onset] = note
    line: list[Note] = []
    for _, note in sorted(best.items()):
        if not line or note.staff <= line[-1].staff or note.onset >= line[-1].end:
            line.append(note)
    return line


def _cadences(score: Score, harmonies: Sequence[Harmony], line: Sequence[Note], resting: bool = False) -> list[Cadence]:
    """All cadences that arrive on a beat, wherever they are. Where a phrase is known to end, ``resting``, a dominant
    that arrives on a strong beat may have its seventh, and one that follows an authentic cadence in its bar only leads
    on."""
    onsets = [note.onset for note in line]
    found: list[Cadence] = []
    for index, harmony in enumerate(harmonies):
        place = bisect_right(onsets, harmony.onset) - 1
        top = line[place].pitch.pitch_class if place >= 0 and line[place].end > harmony.onset else None
        delayed = index > 0 and harmonies[index - 1].numeral == CADENTIAL
        strong = metrical_level(score, harmonies[index - delayed].onset) >= HALF_BAR
        cadence = cadence_at(harmonies, index, top, resting and strong)
        if cadence is None or metrical_level(score, harmony.onset) < BEAT:
            continue
        before = found[-1] if found else None
        closed = before is not None and before.kind in AUTHENTIC and _in_one_bar(score, before.arrival, harmony.onset)
        if not (resting and cadence.kind == HALF and closed):
            found.append(cadence)
    return found


def _last_of(line: Sequence[Note], start: int, end: int) -> Note | None:
    """The last note of the line that a phrase strikes: it rests there if that fills a beat, and a chord that comes
    after its end is of the next phrase."""
    place = bisect_left(line, end, key=lambda note: note.onset) - 1
    return line[place] if place >= 0 and line[place].onset >= start else None


def _in_one_bar(score: Score, one: int, other: int) -> bool:
    return score.bar_at(one).index == score.bar_at(other).index


def best_starts(places: Sequence[PhraseStart], begins: Collection[int] = ()) -> list[int]:
    """The places at which phrases begin, so that evidence less the cost of their lengths is greatest in sum. At the
    ticks ``begins``, each of which is one of the places, a phrase begins in any case."""
    best = [0.0] * len(places)
    back = [0] * len(places)
    first = begun = 0
    for i in range(1, len(places)):
        if places[i - 1].tick in begins:
            begun = i - 1
        first = max(first, begun)
        while first < i - 1 and places[i].bar - places[first].bar > MOST_BARS:
            first += 1
        choices = [(best[j] - cost_of(places[i].bar - places[j].bar), j) for j in range(first, i)]
        value, back[i] = max(choices, key=lambda choice: (choice[0], choice[1]))
        best[i] = value + sum(WEIGHTS[kind] * amount for kind, amount in places[i].evidence)
    end = places[-1].bar + 1
    if places[-1].tick in begins:
        begun = len(places) - 1
    last = max(range(begun, len(places)), key=lambda i: (best[i] - cost_of(end - places[i].bar), i))
    starts = [last]
    while starts[-1]:
        starts.append(back[starts[-1]])
    return [places[i].tick for i in reversed(starts)]


def cost_of(bars: int) -> float:
    """What a phrase of so many bars costs: least for four, more for the unusual, most for scraps."""
    return SCRAP if bars < min(LENGTHS) else LENGTHS.get(bars, LENGTHS[MOST_BARS])
