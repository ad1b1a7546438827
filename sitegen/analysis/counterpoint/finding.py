"""Whether a piece is counterpoint, and its voices and entries if it is.

It is for the reasons that a musician would give. It is written in lines, hardly ever in chords; in most bars these have
rhythms of their own, so that it is no study in thirds and no tune over chords; and they share one subject, which
wanders through the voices and the whole piece. That is so of a fugue, where one voice has the subject alone and the
next takes it up as it enters, or where three voices or more join one by one; where all begin together both hands must
sing besides (move by step more than a broken chord does), for a figure that both hands play in turn is no subject yet.
Adagios with a tune over moving inner voices are written in lines too, but nothing wanders; of an echo there is too
little. Entries are told of a subject only: of what one voice has alone before the others take it up.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Sequence
from itertools import pairwise

from sitegen.analysis.counterpoint.subjects import FEWEST, find_entries
from sitegen.analysis.counterpoint.voices import count_voices, follow_voices
from sitegen.analysis.nouns import Counterpoint, Entry, Texture
from sitegen.score import Hand, Note, Score

MOST_VOICES = 5
CHORDS_IN_FUGUE, CHORDS = 0.25, 0.06  # of all notes: those in chords of one written voice, at most
OWN_RHYTHM = 0.25  # of the attacks of two voices in a bar: that are not struck by both
INDEPENDENT = 0.5  # of the bars in which two voices or more move
FEWEST_OF_MOTIVE = 5  # entries with every step, where all voices begin together
ALIKE = 0.25  # of the entries: those that have every step
ENTERED = 0.12  # of the piece's length: that entries take
SPREAD = 4  # into so many parts the piece is divided, and entries lie in all but one
SINGING = 0.35  # of the moves of each hand's outer line: steps


def find_counterpoint(score: Score, said: Sequence[Texture] = ()) -> Counterpoint | None:
    """The voices and the entries of ``score``; None where it is no counterpoint, or where the textures that the teacher
    has ``said`` make it none."""
    if is_denied(score, said):
        return None
    notes = [note for note in score.notes if not note.grace and not note.implied and note.duration]
    if len(score.staves) < 2 or not notes or share_in_chords(notes) > CHORDS_IN_FUGUE:
        return None
    in_lines = share_in_chords(notes) <= CHORDS and both_hands_sing(score, notes)
    if not in_lines and not _begins_with_one_voice(notes):
        return None
    count = min(MOST_VOICES, count_voices(notes))
    if count < 2:
        return None
    bar = max(bar.length for bar in score.bars)
    numbers = follow_voices(notes, count, score.ticks_per_quarter, bar)
    voices: list[list[Note]] = [[] for _ in range(count)]
    for note, number in zip(notes, numbers, strict=True):
        if number is not None:
            voices[number].append(note)
    if not are_independent(voices):
        return None
    entries = find_entries(voices)
    if _give_back_opening(voices, entries, score.ticks_per_quarter):
        entries = find_entries(voices)
    imitates = wanders(score, entries) and is_one_subject(entries, is_answered(voices, entries), in_lines)
    if not imitates and not join_one_by_one(voices, bar):
        return None
    # what voices share that begin together is a motive: a subject is heard alone first
    has_subject = begins_alone(voices) or is_answered(voices, entries)
    return Counterpoint(tuple(tuple(note.id for note in voice) for voice in voices), entries if has_subject else ())


def is_denied(score: Score, said: Sequence[Texture]) -> bool:
    """Whether the teacher reads another texture than counterpoint in most of what the hands play."""
    hands = [staff.number for staff in score.staves if staff.hand is not None]
    other = sum(t.duration for t in said if t.staff in hands and t.kind not in ("contrapuntal", "silent"))
    return 2 * other > score.end * len(hands) > 0


def _give_back_opening(voices: Sequence[list[Note]], entries: Sequence[Entry], beat: int) -> bool:
    """Whoever joins the voice that has begun alone does so with the subject. Where it is the first that has it then,
    it is the newcomer, and what it had before is the other's: so it is given back. Whether that had to be done."""
    begins = sorted((voice[0].onset, number) for number, voice in enumerate(voices) if voice)
    if not entries or len(begins) < 2 or begins[0][1] != entries[0].voice:
        return False
    joins, number = begins[1]
    near = [entry for entry in entries[1:] if abs(entry.onset - joins) <= beat]
    if not near or any(entry.voice == number for entry in near):
        return False
    first = voices[entries[0].voice]
    opening = [note for note in first if note.onset < near[0].onset]
    voices[number][:0] = opening
    first[:] = first[len(opening) :]
    return True


def is_answered(voices: Sequence[Sequence[Note]], entries: Sequence[Entry]) -> bool:
    """Whether one voice has the subject alone, and the one that joins it enters with the same."""
    begins = sorted((voice[0].onset, number) for number, voice in enumerate(voices) if voice)
    if len(begins) < 2 or not entries:
        return False
    first = entries[0]
    if begins[0] != (first.onset, first.voice):
        return False
    joins, number = begins[1]
    alone = sum(note.onset < joins for note in voices[first.voice])
    # the first note of an answer may be another, and be none of the entry
    heads = [note.id for note in voices[number][:2]]
    return alone >= len(first.notes) / 2 and any(
        entry.voice == number and entry.notes[0] in heads for entry in entries[1:]
    )


def begins_alone(voices: Sequence[Sequence[Note]]) -> bool:
    """Whether one voice has as many notes to itself as a subject has at least, before another joins it."""
    begins = sorted((voice[0].onset, number) for number, voice in enumerate(voices) if voice)
    return len(begins) > 1 and sum(note.onset < begins[1][0] for note in voices[begins[0][1]]) >= FEWEST


def is_one_subject(entries: Sequence[Entry], answered: bool, in_lines: bool) -> bool:
    """Whether enough of the entries are alike: more are asked for where no voice has the subject alone at first."""
    alike = sum(entry.form == "real" for entry in entries)
    return alike >= ALIKE * len(entries) and (answered or (in_lines and alike >= FEWEST_OF_MOTIVE))


def join_one_by_one(voices: Sequence[Sequence[Note]], bar: int) -> bool:
    """Whether three voices or more begin one after the other, by a bar or more, the first of them with a line."""
    begins = sorted((voice[0].onset, number) for number, voice in enumerate(voices) if voice)
    if len(begins) < 3 or any(after - before < bar for (before, _), (after, _) in pairwise(begins)):
        return False
    return begins_alone(voices)


def are_independent(voices: Sequence[Sequence[Note]]) -> bool:
    """Whether in most bars, where two voices move, they do so in rhythms of their own."""
    bars: dict[int, list[set[int]]] = {}
    for voice in voices:
        attacks: dict[int, set[int]] = {}
        for note in voice:
            attacks.setdefault(note.bar, set()).add(note.onset)
        for bar, onsets in attacks.items():
            bars.setdefault(bar, []).append(onsets)
    moving = [rhythms for rhythms in bars.values() if len(rhythms) > 1]
    own = 0
    for rhythms in moving:
        lively = sorted(rhythms, key=len, reverse=True)[:2]
        own += len(lively[0] ^ lively[1]) >= OWN_RHYTHM * len(lively[0] | lively[1]) and len(lively[1]) > 1
    return bool(moving) and own >= INDEPENDENT * len(moving)


def _begins_with_one_voice(notes: Sequence[Note]) -> bool:
    """Whether the first notes of a subject can be those that are struck first: one after the other."""
    return all(before.end <= after.onset for before, after in pairwise(notes[:FEWEST]))


def share_in_chords(notes: Sequence[Note]) -> float:
    """The share of the notes that one written voice strikes with others."""
    struck = Counter((note.voice, note.onset) for note in notes)
    return sum(count for count in struck.values() if count > 1) / len(notes)


def wanders(score: Score, entries: Sequence[Entry]) -> bool:
    """Whether the subject goes through the voices and through the piece."""
    if len({entry.voice for entry in entries}) < 2:
        return False
    entered = sum(entry.end - entry.onset for entry in entries)
    start = score.bars[0].onset
    length = max(1, score.end - start)
    parts = {SPREAD * (entry.onset - start) // length for entry in entries}
    return entered >= ENTERED * length and len(parts) >= SPREAD - 1


def both_hands_sing(score: Score, notes: Sequence[Note]) -> bool:
    """Whether the highest line of the right hand and the lowest of the left move by step as melodies do."""
    lines: dict[Hand | None, dict[int, int]] = defaultdict(dict)
    for note in notes:
        hand = score.hand_of(note.staff)
        line = lines[hand]
        if note.onset not in line or (note.midi > line[note.onset]) == (hand == "right"):
            line[note.onset] = note.midi
    for line in (lines["right"], lines["left"]):
        moves = [abs(after - before) for before, after in pairwise(line.values())]
        if sum(0 < move <= 2 for move in moves) < SINGING * max(1, len(moves)):
            return False
    return True
