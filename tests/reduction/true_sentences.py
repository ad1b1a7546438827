"""Whether a sentence on what to listen for is true of the stage that it is said of.

For each message there is a checker that finds out again from the notes of the stage, the score and its analysis. The
definitions are written here a second time, without a look at how the remarks find their sentences, so that a mistake
there cannot excuse itself. A bar is any bar with the printed number.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import groupby, pairwise

from sitegen.analysis.nouns import Analysis
from sitegen.places.naming import first_of_whole
from sitegen.reduction import Stage, StageNote
from sitegen.reduction.material.indexed import Material, gather
from sitegen.score import Note, Score
from sitegen.score.metre import metrical_level

SIGNS = {" sharp": 1, " flat": -1, " double sharp": 2, " double flat": -2, " natural": 0, "": 0}
STEPS_OF = {
    "a second": 1, "a third": 2, "a fourth": 3, "a fifth": 4, "a sixth": 5, "a seventh": 6, "an octave": 7,
    "a ninth": 8, "a tenth": 9, "an eleventh": 10, "a twelfth": 11, "two octaves": 14,
    "thirds": 2, "sixths": 5, "tenths": 9,
}  # fmt: skip
ORDER_OF_SHARPS = "FCGDAEB"


@dataclass
class Claim:
    """A sentence's fields, and what it is said of. ``before`` is the stage before on the ladder."""

    fields: dict[str, str]
    stage: Stage
    before: Stage | None
    score: Score
    analysis: Analysis
    material: Material

    def __getitem__(self, name: str) -> str:
        return self.fields[name]

    @cached_property
    def notes(self) -> list[StageNote]:
        return sorted((n for n in self.stage.notes if not n.grace), key=lambda n: (n.onset, n.midi))

    def bars(self, field: str = "bar") -> list[int]:
        """The indices of the bars with the number that a field names."""
        return [bar.index for bar in self.score.bars if bar.number == self.fields[field]]

    def bar(self, note: StageNote) -> int:
        return self.score.bar_at(note.onset).index

    def within(self, *notes: StageNote) -> bool:
        """Whether the first and the last of the notes lie in the bars ``bar`` and ``to_bar`` (or both in ``bar``)."""
        last = "to_bar" if "to_bar" in self.fields else "bar"
        return self.bar(notes[0]) in self.bars() and self.bar(notes[-1]) in self.bars(last)

    def sung(self, note: StageNote) -> bool:
        return self.material.roles.get(note.sources[0]) == "melody"

    def melody(self) -> list[StageNote]:
        """The tune: its notes above which nothing sounds when they are struck."""
        return [n for n in self.notes if self.sung(n) and n.midi >= self.edges[n.onset][1]]

    def bass(self) -> list[StageNote]:
        """The left hand's notes below which nothing sounds when they are struck."""
        return [n for n in self.notes if self.hand(n) == "left" and n.midi <= self.edges[n.onset][0]]

    @cached_property
    def edges(self) -> dict[int, tuple[int, int]]:
        """The lowest and the highest note sounding at each tick at which one is struck."""
        found = {}
        for onset in {n.onset for n in self.notes}:
            low = bisect_left(self.notes, onset - self.longest, key=lambda n: n.onset)
            high = bisect_right(self.notes, onset, key=lambda n: n.onset)
            sounding = [n.midi for n in self.notes[low:high] if n.end > onset]
            found[onset] = (min(sounding), max(sounding))
        return found

    @cached_property
    def longest(self) -> int:
        return max(n.duration for n in self.notes)

    @cached_property
    def accompaniment(self) -> dict[int, list[Note]]:
        """What the score strikes besides the tune, by the onset of its chord."""
        found: dict[int, list[Note]] = {}
        for note in self.material.sounding:
            if self.material.roles[note.id] != "melody":
                found.setdefault(self.analysis.harmony_at(note.onset).onset, []).append(note)
        return found

    def beat(self, tick: int) -> int:
        """The tick at which the beat that holds ``tick`` begins."""
        bar = self.score.bar_at(tick)
        return tick - (bar.lead + tick - bar.onset) % self.score.ticks(bar.metre.beat_quarters)

    def around(self, line: list[StageNote]) -> list[StageNote]:
        """The notes of a line in the bars that are named, and between them."""
        bars = [*self.bars(), *self.bars("to_bar" if "to_bar" in self.fields else "bar")]
        return [n for n in line if min(bars) <= self.bar(n) <= max(bars)]

    def inner(self) -> list[StageNote]:
        return [n for n in self.notes if not self.sung(n)]

    def hand(self, note: StageNote) -> str | None:
        return note.hand or self.score.hand_of(note.staff)

    def chords(self) -> list[list[StageNote]]:
        """What is struck together besides the tune, three notes or more."""
        found: dict[int, list[StageNote]] = {}
        for note in self.notes:
            if not self.sung(note):
                found.setdefault(note.onset, []).append(note)
        return [notes for _, notes in sorted(found.items()) if len(notes) > 2]

    def of_hand(self, hand: str, stage: Stage | None = None) -> list[list[StageNote]]:
        found: dict[int, list[StageNote]] = {}
        for note in (stage or self.stage).notes:
            if self.hand(note) == hand and not note.grace:
                found.setdefault(note.onset, []).append(note)
        return [sorted(notes, key=lambda n: n.midi) for _, notes in sorted(found.items())]

    def named(self, note: StageNote, field: str = "note") -> bool:
        letter, sign = self.fields[field][0], self.fields[field][1:]
        return (note.pitch.step, note.pitch.alter) == (letter, SIGNS[sign])

    def foreign(self, note: StageNote) -> bool:
        """Whether the key signature has another note of this letter."""
        fifths = self.score.bars[self.bar(note)].fifths
        order = ORDER_OF_SHARPS if fifths > 0 else ORDER_OF_SHARPS[::-1]
        sign = (fifths > 0) - (fifths < 0)
        return note.pitch.alter != (sign if note.pitch.step in order[: abs(fifths)] else 0)

    def new(self, note: StageNote) -> bool:
        return self.before is not None and note.sources[0] not in {n.sources[0] for n in self.before.notes}


def steps(one: StageNote, other: StageNote) -> int:
    return other.pitch.diatonic - one.pitch.diatonic


def changes(line: list[StageNote]) -> list[StageNote]:
    """A line without strikes of the note that it has just struck."""
    return [n for i, n in enumerate(line) if not i or line[i - 1].midi != n.midi]


def stretches(line: list[StageNote], least: int) -> Iterator[list[StageNote]]:
    """Every stretch of a line, of ``least`` notes or more."""
    for start in range(len(line)):
        for end in range(start + least, min(len(line), start + 60) + 1):
            yield line[start:end]


def goes(line: Callable[[Claim], list[StageNote]], move: int, octave: bool = False) -> Callable[[Claim], bool]:
    """Four notes or more by step one way, between the notes and bars that are named."""

    def check(claim: Claim) -> bool:
        for part in stretches(claim.around(changes(line(claim))), 4):
            by_step = all(steps(a, b) == move for a, b in pairwise(part))
            whole = len(part) == 8 if octave else len(part) < 8
            ends = (
                (claim.named(part[0]), True)
                if octave
                else (claim.named(part[0], "first"), claim.named(part[-1], "last"))
            )
            if by_step and whole and all(ends) and claim.within(*part):
                return True
        return False

    return check


def semitones(move: int) -> Callable[[Claim], bool]:
    def check(claim: Claim) -> bool:
        return any(
            all(b.midi - a.midi == move for a, b in pairwise(part))
            and claim.named(part[0], "first")
            and claim.named(part[-1], "last")
            and claim.within(*part)
            for part in stretches(claim.around(changes(claim.bass())), 4)
        )

    return check


def bass_stays(claim: Claim) -> bool:
    """From within the first of these bars into the last the left hand's lowest note is the one, and it never stops."""
    for start in claim.bars():
        for end in claim.bars("to_bar"):
            onset, last = claim.score.bars[start].onset, claim.score.bars[end].onset
            line = [n for n in claim.bass() if n.end > onset and n.onset <= last]
            line = [n for n in line if n.onset >= onset or claim.named(n)]
            for key in {n.midi for n in line if claim.named(n)} if end - start >= 2 else ():
                own = [n for n in line if n.midi == key]
                joined = all(a.end >= b.onset for a, b in pairwise(own))
                strange = [n for n in line if n not in own and own[0].onset < n.onset < last]
                if joined and not strange and own[0].onset < claim.score.bars[start].end and own[-1].end > last:
                    return True
    return False


def bass_outside(claim: Claim) -> bool:
    line = changes(claim.bass())
    for i, note in enumerate(line[:-1]):
        if claim.foreign(note):
            goal = line[i + 1]
            near = abs(goal.midi - note.midi) == 1
            return near and claim.named(note) and claim.named(goal, "goal") and claim.within(note)
    return False


def widest_leap(line: Callable[[Claim], list[StageNote]]) -> Callable[[Claim], bool]:
    def check(claim: Claim) -> bool:
        notes = changes(line(claim))
        leaps = sorted(((abs(b.midi - a.midi), a, b) for a, b in pairwise(notes)), key=lambda leap: -leap[0])
        (most, first, last), *others = leaps
        up = "up" if last.midi > first.midi else "down"
        alone = not others or others[0][0] < most
        size = abs(steps(first, last)) == STEPS_OF[claim["interval"]]
        return alone and size and claim.named(last) and claim.within(last) and claim["direction"] == up

    return check


def most_notes(line: Callable[[Claim], list[StageNote]]) -> Callable[[Claim], bool]:
    def check(claim: Claim) -> bool:
        counts = {bar.index: 0 for bar in claim.score.bars}
        for note in line(claim):
            counts[claim.bar(note)] += 1
        best = max(counts, key=lambda bar: counts[bar])
        alone = sum(count == counts[best] for count in counts.values()) == 1
        return alone and best in claim.bars() and claim["count"] == str(counts[best])

    return check


def bass_home(claim: Claim) -> bool:
    before, last = changes(claim.bass())[-2:]
    key = claim.analysis.harmony_at(last.onset).key or ""
    tonic = "CDEFGAB".index(key[0])
    home = "CDEFGAB"[tonic] == last.pitch.step and claim.within(last)
    fifth = (last.midi - before.midi) % 12 == 5 and steps(before, last) % 7 == 3
    return home and fifth and claim.named(before, "first") and claim.named(last, "last")


def under_a_stretch(line: list[StageNote], top: list[StageNote]) -> list[StageNote]:
    """The notes of a line that sound under a stretch of the melody, from the one under its first note on."""
    held = [n for n in line if n.onset <= top[0].onset < n.end][-1:]
    return held + [n for n in line if top[0].onset < n.onset <= top[-1].onset]


def against(lower: Callable[[Claim], list[StageNote]], move: int) -> Callable[[Claim], bool]:
    """In a stretch of these bars the melody moves one way at each note, the line below it the other way."""

    def check(claim: Claim) -> bool:
        under = lower(claim)
        for top in stretches(claim.around(claim.melody()), 4):
            if not claim.within(*top):
                continue
            low = under_a_stretch(under, top)
            up = all((b.midi - a.midi) * move > 0 for a, b in pairwise(top))
            down = all((b.midi - a.midi) * move < 0 for a, b in pairwise(low))
            if up and down and len(low) >= 4:
                return True
        return False

    return check


def side_by_side(lower: Callable[[Claim], list[StageNote]]) -> Callable[[Claim], bool]:
    """In a stretch of these bars every melody note has one of the line below it, the same interval lower."""

    def check(claim: Claim) -> bool:
        under = lower(claim)
        for top in stretches(claim.around(claim.melody()), 4):
            if not claim.within(*top):
                continue
            low = under_a_stretch(under, top)
            apart = STEPS_OF[claim["intervals"]]
            if len(low) == len(top) and all(steps(b, t) == apart for b, t in zip(low, top, strict=True)):
                return True
        return False

    return check


def pairs(claim: Claim) -> list[tuple[int, StageNote, StageNote]]:
    """Melody and bass, as they sound when the melody strikes, with the semitones between them."""
    found = []
    for top in claim.melody():
        under = [n for n in claim.bass() if n.onset <= top.onset < n.end and n.midi < top.midi]
        if under:
            low = max(under, key=lambda n: n.onset)
            found.append((top.midi - low.midi, top, low))
    return found


def furthest(claim: Claim) -> bool:
    (most, top, low), *others = sorted(pairs(claim), key=lambda pair: -pair[0])
    alone = not others or others[0][0] < most
    return alone and claim.within(top) and claim.named(top, "last") and claim.named(low, "first")


def closest(claim: Claim) -> bool:
    (least, top, low), *others = sorted(pairs(claim), key=lambda pair: pair[0])
    alone = not others or others[0][0] > least
    return alone and claim.within(top) and steps(low, top) == STEPS_OF[claim["interval"]]


def inner_moves(claim: Claim) -> bool:
    return any(
        claim.named(n) and claim.within(n) and sum(n.onset < i.onset < n.end for i in claim.inner()) >= 2
        for n in claim.melody()
    )


def highest(claim: Claim) -> bool:
    line = changes(claim.melody())
    tops = [n for n in line if n.midi == max(m.midi for m in line)]
    return len(tops) == 1 and claim.named(tops[0]) and claim.within(tops[0])


def outside(claim: Claim) -> bool:
    first = next((n for chord in claim.chords() for n in chord if claim.foreign(n)), None)
    return first is not None and claim.named(first) and claim.within(first)


def chords_change(claim: Claim) -> bool:
    struck: dict[int, list[StageNote]] = {}
    for note in claim.notes:
        if not claim.sung(note):
            struck.setdefault(note.onset, []).append(note)
    found: dict[int, set[frozenset[int]]] = {}
    for chord in struck.values():
        if len(names := frozenset(n.midi % 12 for n in chord)) > 1:
            found.setdefault(claim.bar(chord[0]), set()).add(names)
    return any(
        len(found.get(bar, ())) == int(claim["count"])
        and all(len(other) < int(claim["count"]) for index, other in found.items() if index < bar)
        for bar in claim.bars()
    )


def one_moves(claim: Claim) -> bool:
    for one, other in pairwise(claim.chords()):
        gone = [n for n in one if n.midi not in [m.midi for m in other]]
        come = [n for n in other if n.midi not in [m.midi for m in one]]
        alone = len(gone) == len(come) == 1 and claim.within(one[0], other[0]) and abs(steps(gone[0], come[0])) == 1
        if alone and claim.named(gone[0], "first") and claim.named(come[0], "last"):
            return True
    return False


def finger_stays(claim: Claim) -> bool:
    """One and the same key is in all that is struck in twos and more besides the tune, in each of the bars named and of
    those between them; four of the chords differ."""
    struck = [list(chord) for _, chord in groupby(claim.around(claim.inner()), key=lambda n: n.onset)]
    struck = [chord for chord in struck if len(chord) > 1]
    first, last = claim.bars()[0], claim.bars("to_bar" if "to_bar" in claim.fields else "bar")[-1]
    everywhere = {claim.bar(chord[0]) for chord in struck} == set(range(first, last + 1))
    keys = set.intersection(*({n.midi for n in chord} for chord in struck))
    different = {frozenset(n.midi % 12 for n in chord) for chord in struck if len(chord) > 2}
    named = any(n.midi in keys and claim.named(n) for chord in struck for n in chord)
    return everywhere and len(different) > 3 and named


def stretches_widest(hand: str) -> Callable[[Claim], bool]:
    def check(claim: Claim) -> bool:
        widths = sorted(((c[-1].midi - c[0].midi, c) for c in claim.of_hand(hand) if len(c) > 1), key=lambda w: -w[0])
        (most, chord), *others = widths
        alone = not others or others[0][0] < most
        size = steps(chord[0], chord[-1]) == STEPS_OF[claim["interval"]]
        return alone and size and claim.named(chord[0]) and claim.within(chord[0])

    return check


def travels(claim: Claim) -> bool:
    chords = [chord for chord in claim.of_hand("left") if len(chord) > 1]
    moves = [(abs(b[0].midi - a[0].midi), b[0]) for a, b in pairwise(chords)]
    (most, note), *others = sorted(moves, key=lambda move: -move[0])
    return (not others or others[0][0] < most) and claim.named(note) and claim.within(note)


def new_key(claim: Claim) -> bool:
    harmonies = [h for h in claim.analysis.harmonies if h.key]
    spoken = (harmonies[0].key or "").partition(" ")
    other = next((h for h in harmonies if (h.key or "").partition(" ") != spoken), None)
    if other is None or other.key is None:
        return False
    tonic, _, mode = other.key.partition(" ")
    words = tonic[0] + {"": "", "#": " sharp", "b": " flat"}.get(tonic[1:], "?") + " " + mode
    return words == claim["key"] and claim.score.bar_at(other.onset).index in claim.bars()


def closes(claim: Claim) -> bool:
    wanted = claim.fields.get("cadence", "a half cadence").partition(" ")[2]
    return any(
        p.cadence == wanted and claim.score.bar_at(p.end - 1).index in claim.bars() for p in claim.analysis.phrases
    )


def written(claim: Claim, note: StageNote) -> bool:
    """Whether a note is struck where the score strikes it."""
    return claim.material.by_id[note.sources[0]].onset == note.onset


def under(claim: Claim, tick: int) -> frozenset[int]:
    """The pitch classes that the score strikes besides the tune while the chord at a tick lasts."""
    harmony = claim.analysis.harmony_at(tick)
    return frozenset(n.pitch.pitch_class for n in claim.accompaniment.get(harmony.onset, ()))


def clashes(claim: Claim, note: StageNote, goal: StageNote) -> bool:
    """Whether the whole chord under a note lacks it and has its goal, or it is dissonant above the bass and the goal
    is not."""
    chord, same = under(claim, note.onset), under(claim, goal.onset)
    if len(chord) < 3 or chord != same or note.midi % 12 in chord:
        return False
    beat = claim.beat(note.onset)
    sounding = [n for n in claim.material.sounding if n.onset <= beat < n.end and n.id not in note.sources]
    lower = [n for n in sounding if claim.score.hand_of(n.staff) == "left"] or sounding
    lowest = min((n.midi for n in lower), default=None)
    rough = [lowest is not None and (n.midi - lowest) % 12 not in (0, 3, 4, 7, 8, 9) for n in (note, goal)]
    return goal.midi % 12 in chord or rough == [True, False]


def gives_way(claim: Claim, note: StageNote, goal: StageNote) -> bool:
    """Whether a note struck on a beat, foreign to its chord or to what sounds under it, goes on to ``goal`` by step.
    The goal stands in a weaker place, or in one as weak if the note itself is not reached by step."""
    if abs(steps(note, goal)) != 1 or note.end != goal.onset or not written(claim, note):
        return False
    if claim.beat(note.onset) != note.onset:
        return False
    line = [n for n in claim.material.sounding if claim.material.roles[n.id] == "melody"]
    before = [n for n in line if n.onset < note.onset <= n.end][-1:]
    reached = any(abs(n.pitch.diatonic - note.pitch.diatonic) == 1 for n in before)
    strong, weak = (metrical_level(claim.score, n.onset) for n in (note, goal))
    if weak > strong or (weak == strong and reached):
        return False
    outside_the_chord = note.midi % 12 not in claim.analysis.harmony_at(note.onset).pitch_classes
    return outside_the_chord or clashes(claim, note, goal)


def leaning(claim: Claim) -> list[tuple[StageNote, StageNote]]:
    return [(n, goal) for n, goal in pairwise(claim.melody()) if gives_way(claim, n, goal)]


def held_over(claim: Claim, note: StageNote, goal: StageNote) -> int | None:
    """The bar of the first beat at which a note that is held over has another chord under it than that in which it was
    struck: foreign to the note, with its ``goal``, and the same until that comes."""
    if abs(steps(note, goal)) != 1 or note.end != goal.onset or not written(claim, note):
        return None
    chord = claim.analysis.harmony_at
    for tick in range(note.onset + 1, goal.onset):
        new = chord(tick)
        waits = chord(note.onset).onset < new.onset == chord(goal.onset).onset
        if claim.beat(tick) == tick and waits and note.midi % 12 not in new.pitch_classes:
            return claim.score.bar_at(tick).index if goal.midi % 12 in new.pitch_classes else None
    return None


def numbers(claim: Claim) -> list[str]:
    return claim["bars"].replace(" and ", ", ").split(", ")


def first_notes_lean(claim: Claim) -> bool:
    first = {
        claim.score.bars[claim.bar(n)].number
        for n, _ in leaning(claim)
        if n.onset == claim.score.bars[claim.bar(n)].onset
    }
    return set(numbers(claim)) <= first


def notes_lean(claim: Claim) -> bool:
    return set(numbers(claim)) <= {claim.score.bars[claim.bar(n)].number for n, _ in leaning(claim)}


def leans(claim: Claim) -> bool:
    return any(claim.named(n) and claim.named(goal, "goal") and claim.within(n) for n, goal in leaning(claim))


def waits(claim: Claim) -> bool:
    """A note held into a chord that is foreign to it, or struck again there; it gives way by step."""
    line = claim.melody()
    again = {n.id for before, n in pairwise(line) if before.midi == n.midi and before.end == n.onset}
    for note, goal in pairwise(line):
        struck = note.id in again and gives_way(claim, note, goal) and claim.within(note)
        over = held_over(claim, note, goal) in claim.bars()
        if (struck or over) and claim.named(note) and claim.named(goal, "goal"):
            return True
    return False


def signs(claim: Claim) -> list[StageNote]:
    had = {n.sources[0] for n in claim.before.notes if n.ornaments} if claim.before else set()
    return [n for n in claim.notes if n.ornaments and n.sources[0] not in had]


def ornament(claim: Claim) -> bool:
    sign = claim["sign"]
    return any(claim.named(n) and claim.within(n) and any(sign in own for own in n.ornaments) for n in signs(claim))


def ornaments(claim: Claim) -> bool:
    return set(numbers(claim)) <= {claim.score.bars[claim.bar(n)].number for n in signs(claim)}


def small_notes(claim: Claim) -> bool:
    bars = {claim.score.bars[claim.bar(n)].number for n in claim.stage.notes if n.grace and claim.new(n)}
    return bars == set(numbers(claim) if "bars" in claim.fields else [claim["bar"]])


def passing_notes(claim: Claim) -> bool:
    """In each of the bars a new note of the tune goes by step between two others, foreign to the chord."""
    line = claim.melody()
    passing = set()
    for before, note, after in zip(line, line[1:], line[2:], strict=False):
        foreign = note.midi % 12 not in claim.analysis.harmony_at(note.onset).pitch_classes
        onward = steps(before, note) == steps(note, after) and abs(steps(note, after)) == 1
        if claim.new(note) and foreign and onward:
            passing.add(claim.score.bars[claim.bar(note)].number)
    return set(numbers(claim) if "bars" in claim.fields else [claim["bar"]]) <= passing


def broken(hand: str, chord_after: bool) -> Callable[[Claim], bool]:
    """A chord of the stage before, whose notes the hand now strikes in turn (or the lowest first)."""

    def check(claim: Claim) -> bool:
        for chord in claim.of_hand(hand, claim.before):
            end = min(claim.score.bars[claim.bar(chord[0])].end, *(n.end for n in chord))
            now = [c for c in claim.of_hand(hand) if chord[0].onset <= c[0].onset < end]
            if len(chord) < 2 or len(now) < 3 or claim.bar(chord[0]) not in claim.bars():
                continue
            sizes = [len(c) for c in now]
            shape = sizes[0] == 1 and min(sizes[1:]) > 1 if chord_after else max(sizes) == 1
            if shape and {n.midi for n in chord} <= {n.midi for c in now for n in c}:
                return True
        return False

    return check


def look(claim: Claim, bar: int) -> list[tuple[int, int, int]]:
    own = claim.score.bars[bar]
    return sorted((n.onset - own.onset, n.duration, n.midi) for n in claim.notes if claim.bar(n) == bar)


def beginning_returns(claim: Claim) -> bool:
    start = 1 if claim.score.bars[0].lead else 0
    return any(
        end > bar and all(look(claim, bar + i) == look(claim, start + i) for i in range(end - bar + 1))
        for bar in claim.bars()
        for end in claim.bars("to_bar")
        if bar > start
    )


def same_bars(claim: Claim) -> bool:
    return any(
        one < other and look(claim, one) and look(claim, one) == look(claim, other)
        for one in claim.bars()
        for other in claim.bars("to_bar")
    )


@dataclass(frozen=True)
class Entry:
    """The subject, found in a line: the tick of its first note, how many steps of the staff it lies above its first
    statement within an octave, and whether its head has all the steps of that."""

    onset: int
    distance: int
    real: bool


def subject(claim: Claim) -> list[Note]:
    """The notes of the first statement."""
    counterpoint = claim.analysis.counterpoint
    return [claim.material.by_id[n] for n in counterpoint.entries[0].notes] if counterpoint else []


def entry_at(first: list[Note], line: dict[int, StageNote], start: int) -> Entry | None:
    """The subject in a line from a tick on, with its rhythm and steps: four fifths of its notes in their place at one
    distance; of a tonal answer nine tenths, at most half of them a step beside the rest."""
    placed = [(i, line[tick]) for i, n in enumerate(first) if (tick := start + n.onset - first[0].onset) in line]
    apart = [(note.onset, note.pitch.diatonic - first[i].pitch.diatonic) for i, note in placed]
    found = None
    for usual in {steps for _, steps in apart}:
        for beside in (usual, usual - 1, usual + 1):
            fit = [(onset, steps) for onset, steps in apart if steps in (usual, beside)]
            least = 8 if beside == usual else 9
            same = sum(steps == usual for _, steps in fit)
            between = sum(fit[0][0] <= onset <= fit[-1][0] for onset in line)
            ornate = 10 * (between - len(placed)) > 3 * len(first)
            if 10 * len(fit) >= least * len(first) and 2 * same >= len(fit) and not ornate:
                head = fit[: max(4, 3 * len(fit) // 4)]
                entry = Entry(fit[0][0], usual % 7, all(steps == usual for _, steps in head))
                if found is None or (same, len(fit)) > found[:2]:
                    found = (same, len(fit), entry)
    return found[2] if found else None


def entries(claim: Claim, notes: Iterable[StageNote]) -> list[Entry]:
    """Where a line has the subject; twice only if half of it has gone by."""
    first, line = subject(claim), {n.onset: n for n in notes}
    found: list[Entry] = []
    if not first:
        return found
    length = first[-1].end - first[0].onset
    # the first note may be shorter or longer than it was
    for start in sorted({onset - (n.onset - first[0].onset) for onset in line for n in first[:2]}):
        entry = entry_at(first, line, start)
        if entry and (not found or 2 * (entry.onset - found[-1].onset) >= length):
            found.append(entry)
    return found


def of_voices(claim: Claim, numbers: slice) -> list[Entry]:
    """The entries that the stage holds of some voices, counted from the highest."""
    counterpoint = claim.analysis.counterpoint
    found = []
    for voice in counterpoint.voices[numbers] if counterpoint else ():
        found += entries(claim, (n for n in claim.notes if n.sources[0] in set(voice)))
    return sorted(found, key=lambda entry: entry.onset)


def number_of(claim: Claim, entry: Entry) -> str:
    return claim.score.bar_at(entry.onset).number


def enters_with(distance: int) -> Callable[[Claim], bool]:
    """The first notes of the stage are the subject, at this distance from its first statement."""

    def check(claim: Claim) -> bool:
        found = entries(claim, claim.notes)[:1]
        begins = [e for e in found if e.onset == claim.notes[0].onset and e.distance == distance]
        return [number_of(claim, entry) for entry in begins] == [claim["bar"]]

    return check


def has_subject(found: Callable[[Claim], list[Entry]]) -> Callable[[Claim], bool]:
    """The bars that are named are those in which the entries begin, and as many."""

    def check(claim: Claim) -> bool:
        own = found(claim)
        bars = [number_of(claim, entry) for entry in own]
        named = numbers(claim) if "bars" in claim.fields else [claim["bar"]]
        return named == list(dict.fromkeys(bars)) and claim.fields.get("count", str(len(own))) == str(len(own))

    return check


def enters_often(claim: Claim) -> bool:
    bars = [number_of(claim, entry) for entry in of_voices(claim, slice(None))]
    return [str(len(bars)), *bars[:1], *bars[-1:]] == [claim["count"], claim["bar"], claim["to_bar"]]


def begins(hand: str, other: str) -> Callable[[Claim], bool]:
    """One hand has the subject first, and the other after it."""

    def check(claim: Claim) -> bool:
        first, second = (entries(claim, (n for n in claim.notes if claim.hand(n) == h))[:1] for h in (hand, other))
        bars = [number_of(claim, entry) for entry in first + second]
        return bars == [claim["bar"], claim["to_bar"]] and first[0].onset <= second[0].onset

    return check


def answered(real: bool) -> Callable[[Claim], bool]:
    """The first entry a fifth above the first statement, or a fourth below, has all its steps or not."""

    def check(claim: Claim) -> bool:
        first = next((entry for entry in of_voices(claim, slice(None)) if entry.distance == 4), None)
        return first is not None and first.real == real and number_of(claim, first) == claim["bar"]

    return check


CHECKERS: dict[str, Callable[[Claim], bool]] = {
    "bass sinks by semitones": semitones(-1),
    "bass climbs by semitones": semitones(1),
    "bass stays": bass_stays,
    "bass outside": bass_outside,
    "bass leaps": widest_leap(Claim.bass),
    "bass quickens": most_notes(Claim.bass),
    "bass home": bass_home,
    "furthest apart": furthest,
    "closest": closest,
    "inner line moves": inner_moves,
    "highest": highest,
    "melody leaps": widest_leap(Claim.melody),
    "voice leaps": widest_leap(lambda claim: claim.notes),
    "outside": outside,
    "chords change": chords_change,
    "one note moves": one_moves,
    "one note moves in bar": one_moves,
    "finger stays": finger_stays,
    "finger stays in bar": finger_stays,
    "left hand stretches": stretches_widest("left"),
    "right hand stretches": stretches_widest("right"),
    "left hand travels": travels,
    "new key": new_key,
    "question": closes,
    "cadence": closes,
    "first notes lean": first_notes_lean,
    "notes lean": notes_lean,
    "leans": leans,
    "waits": waits,
    "ornament": ornament,
    "ornaments": ornaments,
    "small notes": small_notes,
    "small notes in bar": small_notes,
    "passing notes": passing_notes,
    "passing notes in bar": passing_notes,
    "left hand broken": broken("left", chord_after=False),
    "right hand broken": broken("right", chord_after=False),
    "left hand apart": broken("left", chord_after=True),
    "right hand apart": broken("right", chord_after=True),
    "beginning returns": beginning_returns,
    "same bars": same_bars,
    "busiest": most_notes(lambda claim: claim.notes),
    "enters with the subject": enters_with(0),
    "enters with the answer": enters_with(4),
    "subject enters": has_subject(lambda claim: of_voices(claim, slice(None))),
    "subject enters often": enters_often,
    "right hand begins": begins("right", "left"),
    "left hand begins": begins("left", "right"),
    "real answer": answered(real=True),
    "tonal answer": answered(real=False),
}
_LINES: dict[str, Callable[[Claim], list[StageNote]]] = {
    "bass": Claim.bass,
    "melody": Claim.melody,
    "inner line": Claim.inner,
    "voice": lambda claim: claim.notes,
}
for _who, _line in _LINES.items():
    for _verb, _move in (("rises", 1), ("falls", -1)):
        CHECKERS[f"{_who} {_verb}"] = CHECKERS[f"{_who} {_verb} in bar"] = goes(_line, _move)
        CHECKERS[f"{_who} {_verb} an octave"] = goes(_line, _move, octave=True)
_VOICES: dict[str, Callable[[Claim], list[Entry]]] = {
    "has the subject": lambda claim: entries(claim, claim.notes),
    "subject below": lambda claim: of_voices(claim, slice(-1, None)),
    "subject between": lambda claim: of_voices(claim, slice(1, -1)),
}
for _name, _found in _VOICES.items():
    CHECKERS[_name] = CHECKERS[f"{_name} once"] = has_subject(_found)
_SIDES = (("bass", "melody and bass", "parallel bass"), ("inner line", "melody and inner line", "parallel inner line"))
for _who, _name, _side in _SIDES:
    for _verb, _move in (("part", 1), ("close in", -1)):
        CHECKERS[f"{_name} {_verb}"] = CHECKERS[f"{_name} {_verb} in bar"] = against(_LINES[_who], _move)
    CHECKERS[_side] = CHECKERS[f"{_side} in bar"] = side_by_side(_LINES[_who])


def as_counted(score: Score) -> Score:
    """The score with one number for the halves of a bar that a repeat sign divides."""
    heads = (score.bars[first_of_whole(score.bars, bar.index, score.ticks_per_quarter)] for bar in score.bars)
    bars = tuple(replace(bar, number=head.number) for bar, head in zip(score.bars, heads, strict=True))
    return replace(score, bars=bars)


def untrue(score: Score, analysis: Analysis, stages: tuple[Stage, ...]) -> list[str]:
    """The sentences of a ladder that are not true of their stages, and those that are said twice."""
    found, before, said = [], None, set()
    material = gather(score, analysis)
    score = as_counted(score)
    for stage in stages:
        if stage.sentence is not None:
            claim = Claim(dict(stage.sentence.fields), stage, before, score, analysis, material)
            if not CHECKERS[stage.sentence.message](claim):
                found.append(f"{stage.slug}: {stage.listen}")
            if stage.listen in said:
                found.append(f"{stage.slug}, again: {stage.listen}")
            said.add(stage.listen)
        before = before if stage.side_study else stage
    return found
