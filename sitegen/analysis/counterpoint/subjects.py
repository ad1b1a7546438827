"""The subject of a contrapuntal piece and its entries: in which voice, from where to where, real or tonal.

The subject is what the voice that begins has alone until the next one enters with the same; where all begin together,
the opening of the voice that the others take up most often. An entry has its rhythm and its steps, at any pitch. Of a
tonal answer some notes lie a step nearer or further than the rest, since the dominant answers the tonic, and the tonic
the dominant (Mann, The Study of Fugue, 1958, ch. 2; Gédalge, Traité de la fugue, 1901, ch. 2); its first note may be
shortened, and its end may go on in another way. Steps are counted on the staff, so that an entry in another mode is
one too.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from sitegen.analysis.nouns import Entry
from sitegen.score import Note

FEWEST = 4  # notes of a subject
LONGEST = 32
FEWEST_OF_MOTIVE, LONGEST_MOTIVE = 6, 16  # where the voices begin together
LIKE, LIKE_IF_TONAL = 0.8, 0.9  # of the subject's notes: as many stand in their place in an entry
HEAD = 8  # notes by which one hears at what distance it is taken up
TOGETHER = 0.5  # as many of these lie at one distance
BESIDE = 0.3  # notes that an entry may have besides, to each of the subject's

Voice = Sequence[Note]


@dataclass(frozen=True, slots=True)
class _Match:
    """A stretch of a voice like the subject: how many notes stand in their place, by how many steps most of them lie
    higher, and whether all do."""

    onset: int
    hits: int
    steps: int
    whole: bool
    notes: tuple[Note, ...]


class VoiceLine:
    """A voice, with its notes by onset."""

    def __init__(self, voice: Voice) -> None:
        self.notes = voice
        self.at = {note.onset: note for note in voice}
        self.onsets = [note.onset for note in voice]


def find_entries(voices: Sequence[Voice]) -> tuple[Entry, ...]:
    """The entries of the subject in order, its first statement first; none where nothing is imitated.

    ``voices`` go from the highest to the lowest, each in order of onset, without two notes at once.
    """
    lines = [VoiceLine(voice) for voice in voices if voice]
    order = sorted(range(len(lines)), key=lambda k: (lines[k].onsets[0], k))
    best: tuple[Entry, ...] = ()
    for number in order:
        subject = _subject(lines, number)
        if not subject:
            continue
        entries = _entries(subject, lines, number)
        if len({entry.voice for entry in entries}) > 1 and len(entries) > len(best):
            best = entries
        if best and _begins_alone(lines, number):
            break
    return best


def _begins_alone(lines: Sequence[VoiceLine], number: int) -> bool:
    others = [line.onsets[0] for k, line in enumerate(lines) if k != number]
    return bisect_left(lines[number].onsets, min(others)) >= FEWEST if others else False


def _subject(lines: Sequence[VoiceLine], number: int) -> tuple[Note, ...]:
    """What a voice begins with, as far as the others take it up: alone, until the next enters with the same; else the
    stretch of its beginning that comes most often."""
    line = lines[number]
    others = [other for k, other in enumerate(lines) if k != number]
    if not others:
        return ()
    if _begins_alone(lines, number):
        second = min(others, key=lambda other: other.onsets[0])
        opening = line.notes[: bisect_right(line.onsets, second.onsets[0])][:LONGEST]
        # by the newcomer, or by the voice that stands for both where they could not be told apart
        if max(taken_up(opening, other, second.onsets[0]) for other in (second, line)) >= FEWEST:
            # a link to the answer, if there is one, is shorter than the subject
            return _most_shared(opening, lines, max(FEWEST, -(-3 * len(opening) // 5)), 2)
    return _most_shared(line.notes[:LONGEST_MOTIVE], lines, FEWEST_OF_MOTIVE)


def _most_shared(opening: Voice, lines: Sequence[VoiceLine], fewest: int, length_counts: int = 1) -> tuple[Note, ...]:
    """The beginning of ``opening``, of ``fewest`` notes or more, with which most notes of the piece are told.

    A length that ``length_counts`` twice is preferred to many entries: a subject is long, and a few notes are alike by
    chance; a motive is what comes often.
    """
    all_lengths = [taken_up(opening, line, onset) for line in lines for onset in line.onsets]
    lengths = [length for length in all_lengths if length >= fewest]
    if len(lengths) < 2:
        return ()
    return tuple(
        opening[: max(lengths, key=lambda length: (length**length_counts * sum(n >= length for n in lengths), length))]
    )


def taken_up(opening: Voice, line: VoiceLine, onset: int) -> int:
    """How many notes of ``opening`` come in ``line`` from ``onset`` on, until two in a row do not."""
    steps: list[int | None] = []
    for note in opening:
        other = line.at.get(onset + note.onset - opening[0].onset)
        steps.append(None if other is None else other.pitch.diatonic - note.pitch.diatonic)
        if len(steps) == 1 and steps[0] is None:
            return 0
    usual = Counter(step for step in steps[:HEAD] if step is not None).most_common(1)[0][0]
    taken, missing = 0, 0
    for count, step in enumerate(steps, 1):
        if step is not None and abs(step - usual) <= 1:
            taken, missing = count, 0
        else:
            missing += 1
            if missing == 2:
                break
    together = Counter(steps[:taken])[usual]
    return taken if together >= TOGETHER * taken else 0


def _entries(subject: Voice, lines: Sequence[VoiceLine], number: int) -> tuple[Entry, ...]:
    found: list[tuple[int, _Match]] = []
    length = subject[-1].end - subject[0].onset
    for voice, line in enumerate(lines):
        matches = sorted(_matches(subject, line), key=lambda m: (-m.hits, m.onset))
        taken: list[_Match] = []
        for match in matches:
            if all(abs(match.onset - other.onset) >= length / 2 for other in taken):
                taken.append(match)
        found += [(voice, match) for match in taken]
    first = (number, subject[0].onset)
    found.sort(key=lambda row: ((row[0], row[1].onset) != first, row[1].onset, row[0]))
    return tuple(
        Entry(
            match.notes[0].onset, match.notes[-1].end, voice, tuple(note.id for note in match.notes), match.steps % 7,
            "real" if match.whole else "tonal",
        )
        for voice, match in found
    )  # fmt: skip


def _matches(subject: Voice, line: VoiceLine) -> Iterator[_Match]:
    offsets = [note.onset - subject[0].onset for note in subject]
    # from the second note back too: the first may be shorter or longer
    starts = {onset - offset for onset in line.onsets for offset in offsets[:2]}
    for start in sorted(starts):
        match = _match(subject, offsets, line, start)
        if match is not None:
            yield match


def _match(subject: Voice, offsets: Sequence[int], line: VoiceLine, start: int) -> _Match | None:
    most_missing = int((1 - LIKE) * len(subject))
    missing = 0
    pairs: list[tuple[Note, int]] = []
    for note, offset in zip(subject, offsets, strict=True):
        other = line.at.get(start + offset)
        if other is None:
            missing += 1
            if missing > most_missing:
                return None
        else:
            pairs.append((other, other.pitch.diatonic - note.pitch.diatonic))
    counted = Counter(step for _, step in pairs)
    usual = max(counted, key=lambda step: (counted[step], -abs(step)))
    beside = max((usual - 1, usual + 1), key=lambda step: counted[step])
    fit = [(other, step) for other, step in pairs if step in (usual, beside)]
    like = LIKE if all(step == usual for _, step in fit) else LIKE_IF_TONAL
    if len(fit) < like * len(subject):
        return None
    low, high = bisect_left(line.onsets, fit[0][0].onset), bisect_right(line.onsets, fit[-1][0].onset)
    if high - low - len(pairs) > BESIDE * len(subject):
        return None
    # the head decides: what an entry changes at its end is not its answer
    head = fit[: max(FEWEST, (3 * len(fit)) // 4)]
    whole = all(step == usual for _, step in head)
    return _Match(start, len(fit), usual, whole, tuple(line.notes[low:high]))
