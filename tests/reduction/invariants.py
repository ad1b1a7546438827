"""The invariants of a ladder, checked note by note. Each function returns sentences about what is broken: none, if
all is well.

A stage *keeps* a note of the score when one of its notes has that note among its sources and has its pitch (its pitch
class, where the note says that it was moved, and that by octaves: the first of its sources has another pitch); it
*accounts for* all sources of its notes. These definitions are written here a second time, so that a mistake in the code
cannot excuse itself.
"""

from __future__ import annotations

import re
from bisect import bisect_left, bisect_right
from collections.abc import Callable, Sequence
from itertools import groupby, pairwise

from sitegen.analysis.nouns import Analysis
from sitegen.reduction import Stage, StageNote
from sitegen.score import Note, Score
from sitegen.score.metre import beat_start, beat_ticks


def violations(score: Score, analysis: Analysis, stages: Sequence[Stage], span: int = 12) -> list[str]:
    """Everything that is broken in a ladder."""
    by_id = {note.id: note for note in score.notes}
    sung = {id for id, reading in analysis.notes.items() if reading.line == "melody"}
    found = [f"{stage.slug}: {what}" for stage in stages for what in _of_a_stage(score, sung, by_id, stage)]
    ladder = [stage for stage in stages if not stage.side_study]
    for sparser, fuller in pairwise(ladder):
        found += [f"{sparser.slug} to {fuller.slug}: {what}" for what in _nested(by_id, sparser, fuller)]
        if len(sparser.notes) > len(fuller.notes):
            found.append(f"{fuller.slug} has fewer notes than {sparser.slug}")
    found += _last_is_the_score(score, stages)
    found += _ids(stages)
    found += [f"{stage.slug}: {what}" for stage in stages for what in _under_the_hand(score, by_id, stage, span)]
    found += [f"{stage.slug}: {what}" for stage in stages for what in _bass_lowest(score, sung, by_id, stage)]
    found += [f"{stage.slug}: {what}" for stage in stages for what in _no_other_note_struck(score, sung, by_id, stage)]
    return found


def _of_a_stage(score: Score, sung: set[str], by_id: dict[str, Note], stage: Stage) -> list[str]:
    found = []
    struck: dict[int, set[str]] = {}
    for note in stage.notes:
        struck.setdefault(note.onset, set()).update(note.sources[:1])
    for note in stage.notes:
        if not note.sources or any(source not in by_id for source in note.sources):
            found.append(f"{note.id} has no source in the score")
            continue
        sources = [by_id[source] for source in note.sources]
        if note.midi % 12 not in {source.midi % 12 for source in sources}:
            found.append(f"{note.id} has the pitch of none of its sources")
        if not note.moved and note.midi not in {source.midi for source in sources}:
            found.append(f"{note.id} is in another octave and does not say so")
        first = min(s.onset for s in sources)
        if note.onset < first and not _takes_over_a_rest(score, sung | struck[note.onset], note, first):
            found.append(f"{note.id} sounds before the first of its sources")
        if note.end > max(s.end for s in sources):
            found.append(f"{note.id} sounds longer than its sources")
        if not 0 <= note.onset <= note.end <= score.end:
            found.append(f"{note.id} runs out of the score")
        if (note.duration == 0) != note.grace:
            found.append(f"{note.id} has no length and is no grace note, or the other way round")
    if not stage.as_written:
        found += _keys_held(stage.notes)
    return found


def _takes_over_a_rest(score: Score, sung: set[str], note: StageNote, first: int) -> bool:
    """Whether a note is struck on the beat on which its figure begins after a rest shorter than a beat: its voice
    strikes nothing there but the tune, if both are printed in one voice."""
    if beat_start(score, note.onset) != note.onset or first - note.onset >= beat_ticks(score, note.onset):
        return False
    head = next(n for n in score.notes if n.id == note.sources[0])
    before = [n for n in score.notes if n.voice == head.voice and note.onset <= n.onset < first and not n.grace]
    return all(n.staff == head.staff and (n.id in sung or n.onset > note.onset) for n in before)


def _keys_held(notes: Sequence[StageNote]) -> list[str]:
    """Two notes of one pitch and staff do not overlap."""
    end: dict[tuple[int, int], tuple[int, str]] = {}
    found = []
    for note in sorted(notes, key=lambda n: n.onset):
        if note.grace:
            continue
        before = end.get((note.staff, note.midi))
        if before is not None and before[0] > note.onset:
            found.append(f"{note.id} strikes the key that {before[1]} holds")
        end[note.staff, note.midi] = (note.end, note.id)
    return found


def _nested(by_id: dict[str, Note], sparser: Stage, fuller: Stage) -> list[str]:
    lost = _kept(by_id, sparser) - _kept(by_id, fuller)
    dropped = {s for n in sparser.notes for s in n.sources} - {s for n in fuller.notes for s in n.sources}
    return [f"{note} is kept no more" for note in sorted(lost)] + [
        f"{note} is not accounted for any more" for note in sorted(dropped)
    ]


def _kept(by_id: dict[str, Note], stage: Stage) -> set[str]:
    return {
        source
        for note in stage.notes
        for source in note.sources
        if by_id[source].midi == note.midi
        or (note.moved and by_id[note.sources[0]].midi != note.midi and by_id[source].midi % 12 == note.midi % 12)
    }


def _last_is_the_score(score: Score, stages: Sequence[Stage]) -> list[str]:
    if not stages or not stages[-1].as_written or stages[-1].slug != "as-written":
        return ["the last stage is not the score as written"]
    theirs = [(n.id, n.onset, n.duration, n.pitch, n.staff, n.grace, n.sources) for n in stages[-1].notes]
    ours = [(n.id, n.onset, n.duration, n.pitch, n.staff, n.grace, (n.id,)) for n in score.notes]
    return (
        [] if sorted(theirs, key=str) == sorted(ours, key=str) else ["the last stage does not hold the score's notes"]
    )


def _ids(stages: Sequence[Stage]) -> list[str]:
    ids = [note.id for stage in stages for note in stage.notes]
    slugs = [stage.slug for stage in stages]
    return (["a note id occurs twice"] if len(ids) != len(set(ids)) else []) + (
        ["a slug occurs twice"] if len(slugs) != len(set(slugs)) else []
    )


def _under_the_hand(score: Score, by_id: dict[str, Note], stage: Stage, span: int) -> list[str]:
    """Wider than the hand is only what is rolled, or what the score has that hand hold at once; and all is listed."""
    found = []
    for hand in ("left", "right"):
        report = next(report for report in stage.hands if report.hand == hand)
        places = {place.onset for place in report.places}
        widest, before = 0, False
        held: list[StageNote] = []
        mine = [n for n in stage.notes if score.hand_of(n.staff) == hand and not n.grace]
        for onset, struck in groupby(mine, key=lambda n: n.onset):
            held = [n for n in held if n.end > onset] + list(struck)
            low, high = min(held, key=lambda n: n.midi), max(held, key=lambda n: n.midi)
            width = high.midi - low.midi
            widest = max(widest, width)
            if width > span and not before and onset not in places:
                found.append(f"{width} semitones of the {hand} hand at tick {onset} are not listed")
            asked = stage.as_written or _held_at_once(score, by_id, low, high)
            if width > span and not asked and not any(n.rolled for n in held):
                found.append(f"{width} semitones of the {hand} hand at tick {onset}, which the score does not ask for")
            before = width > span
        if widest != report.widest:
            found.append(f"the widest stretch of the {hand} hand is {widest}, not {report.widest}")
    return found


def _held_at_once(score: Score, by_id: dict[str, Note], low: StageNote, high: StageNote) -> bool:
    ones = [by_id[s] for s in low.sources if by_id[s].midi == low.midi]
    others = [by_id[s] for s in high.sources if by_id[s].midi == high.midi]
    return any(
        a.onset < b.end and b.onset < a.end and score.hand_of(a.staff) == score.hand_of(b.staff)
        for a in ones
        for b in others
    )


WITH_THE_BASS = re.compile("bass line|blocked chords|outer voices$|leaning notes$|over bass|harmonic rhythm")


def _bass_lowest(score: Score, sung: set[str], by_id: dict[str, Note], stage: Stage) -> list[str]:
    """In a stage that stands on the bass nothing that the left hand strikes lies above what the score's left hand
    sounds lowest there, but for a tune; at every bar line the bass line has that note's name."""
    if not any(WITH_THE_BASS.search(name) for name in stage.techniques):
        return []
    found = []
    bars = {bar.onset for bar in score.bars}
    # what the other hand takes over, or strikes on the same key, is still the left hand's music
    keys = {n.id: [by_id[s].staff for s in n.sources if by_id[s].midi % 12 == n.midi % 12] for n in stage.notes}
    left = [n for n in stage.notes if not n.grace and "left" in map(score.hand_of, keys[n.id])]
    # what comes between two beats and is held over may be left out of a block, but not of the bass line
    between = set() if stage.techniques == ("bass line",) else {n.id for n in score.notes if _hangs_over(score, n)}
    hands = [n for n in score.notes if score.hand_of(n.staff) == "left" and not n.grace and not n.small]
    theirs = _sounding([n for n in hands if n.id not in between])
    mine = _sounding(left)
    for tick in sorted(bars | {n.onset for n in left if sung.isdisjoint(n.sources)}):
        low, own = theirs(tick), mine(tick)
        # a bass too far from its chord is struck before it, and let go
        before = {n.midi for n in left if score.bar_at(tick).onset <= n.onset < tick}
        if low and not own and tick in bars and stage.techniques[0] in ("bass line", "outer voices"):
            found.append(f"there is no bass at tick {tick}")
        elif low and own and min(own) > min(low) and min(low) not in before:
            found.append(f"the lowest note at tick {tick} is {min(own)}, not {min(low)}")
        elif low and own and stage.techniques == ("bass line",) and tick in bars and min(own) % 12 != min(low) % 12:
            found.append(f"the bass at tick {tick} is {min(own)}, not {min(low)}")
    return found


def _hangs_over(score: Score, note: Note) -> bool:
    """Whether a note is struck between two beats and held over the next."""
    start = beat_start(score, note.onset)
    return start < note.onset and start + beat_ticks(score, note.onset) < note.end


def _sounding(notes: Sequence[Note] | Sequence[StageNote]) -> Callable[[int], list[int]]:
    """What tells the pitches that sound at a tick."""
    ordered = sorted(notes, key=lambda n: n.onset)
    longest = max((n.duration for n in ordered), default=0)

    def at(tick: int) -> list[int]:
        low = bisect_left(ordered, tick - longest, key=lambda n: n.onset)
        high = bisect_right(ordered, tick, key=lambda n: n.onset)
        return [n.midi for n in ordered[low:high] if n.end > tick]

    return at


def _no_other_note_struck(score: Score, sung: set[str], by_id: dict[str, Note], stage: Stage) -> list[str]:
    """Where a note of a stage is struck, the stage strikes what the score's same voice strikes there, or the note
    stands for that, or sounds on in the score. A tune that is printed in one voice with a figure is its own voice."""
    struck: dict[tuple[int, int], list[Note]] = {}
    for note in score.notes:
        if not note.grace and not note.small:
            struck.setdefault((note.voice, note.onset), []).append(note)
    accounts: dict[int, set[str]] = {}
    for own in stage.notes:
        accounts.setdefault(own.onset, set()).update(own.sources)
    found = []
    for own in stage.notes:
        if not own.sources:
            continue
        others = struck.get((by_id[own.sources[0]].voice, own.onset), [])
        if own.sources[0] not in sung:
            others = [other for other in others if other.id not in sung]
        held = by_id[own.sources[0]].onset < own.onset < by_id[own.sources[0]].end
        if others and not own.grace and not held and not any(other.id in accounts[own.onset] for other in others):
            found.append(f"{own.id} is struck where its voice strikes {others[0].id}")
    return found
