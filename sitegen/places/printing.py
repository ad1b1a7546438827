"""Where a note or a stretch of a score is, in the words in which musicians say it.

The form, which ``parsing`` reads back::

    bar N[, beat B][, left hand|right hand|staff N][, top note|bottom note|PITCH][, voice N][, grace note]
    bars N-M[, left hand|right hand|staff N]

``N`` is the bar's name (``naming``). ``B`` counts the felt beats from 1 as the metre does (dotted quarters in 6/8; an
upbeat's beats are the last of a bar), with a fraction of a beat behind a plus sign: ``2+1/2``. In a bar that a repeat
sign divides the beats run on. A staff that no hand plays, or that shares its hand with another staff, goes by its
number from the top. ``voice`` counts from 1 within its staff. Without ``grace note`` a place means sounding notes only.
Where two notes have all of these words, a count in brackets tells which one in the order of the score:
``bar 2, beat 1, right hand, F4, grace note (first)``.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections import Counter
from collections.abc import Iterator
from fractions import Fraction

from sitegen.places.naming import first_of_whole, heads_of_wholes, name_bars
from sitegen.places.words import counted
from sitegen.score import Bar, Note, Score


def bar_names(score: Score) -> tuple[str, ...]:
    """The name of each bar, by its index."""
    return tuple(name.whole for name in name_bars(score.bars, score.ticks_per_quarter))


def bar_name(score: Score, bar: Bar) -> str:
    """The name of one bar, as ``bar_names`` has it."""
    return bar_names(score)[bar.index]


def hand_words(score: Score, staff: int) -> str:
    """``left hand``, ``right hand``, or ``staff 1`` where that would not say which staff is meant."""
    hand = score.hand_of(staff)
    if hand is None or sum(other.hand == hand for other in score.staves) > 1:
        return f"staff {staff}"
    return f"{hand} hand"


def beat_words(score: Score, tick: int) -> str:
    """The beat at which ``tick`` lies in its bar, counted from 1: ``1``, ``2+1/2``. Needs a score with bars."""
    return _beat(_head(score, score.bar_at(tick)), tick, score)


def place_of_tick(score: Score, tick: int) -> str:
    """``bar 3, beat 2``. Needs a score with bars."""
    bar = score.bar_at(tick)
    return f"bar {bar_name(score, bar)}, beat {_beat(_head(score, bar), tick, score)}"


def place_of_bars(score: Score, onset: int, end: int, staff: int | None = None) -> str:
    """The bars that the ticks from ``onset`` to ``end`` touch: ``bars 3-4, right hand``. Needs a score with bars."""
    names = bar_names(score)
    first, last = names[score.bar_at(onset).index], names[score.bar_at(max(onset, end - 1)).index]
    bars = f"bar {first}" if first == last else f"bars {first}-{last}"
    return bars if staff is None else f"{bars}, {hand_words(score, staff)}"


def place_of_note(score: Score, note: Note) -> str:
    """The place of a note of ``score``, which no other note has: ``bar 5, beat 2+1/2, right hand, F#4``."""
    low = bisect_left(score.notes, note.onset, key=_onset)
    high = bisect_right(score.notes, note.onset, key=_onset)
    together = score.notes[low:high]
    bar = score.bars[together[0].bar]
    beat = _beat(_head(score, bar), note.onset, score)
    return dict(_places_of_chord(score, together, f"bar {bar_name(score, bar)}, beat {beat}"))[note.id]


def places_of_notes(score: Score) -> dict[str, str]:
    """The places of all notes by their ids, in one pass."""
    names, heads = bar_names(score), heads_of_wholes(score.bars, score.ticks_per_quarter)
    found: dict[str, str] = {}
    low = 0
    for high in range(1, len(score.notes) + 1):
        if high == len(score.notes) or score.notes[high].onset != score.notes[low].onset:
            together = score.notes[low:high]
            index = together[0].bar
            beat = _beat(score.bars[heads[index]], together[0].onset, score)
            found.update(_places_of_chord(score, together, f"bar {names[index]}, beat {beat}"))
            low = high
    return found


def _places_of_chord(score: Score, together: tuple[Note, ...], place: str) -> Iterator[tuple[str, str]]:
    """The places of all notes of one onset: a voice is added where two would else be the same, and then a count."""
    plain = [(note, f"{place}, {hand_words(score, note.staff)}, {note.pitch.name}") for note in together]
    voices: dict[tuple[str, bool], set[int]] = {}
    for note, words in plain:
        voices.setdefault((words, note.grace), set()).add(voice_in_staff(note))
    full = []
    for note, words in plain:
        if len(voices[words, note.grace]) > 1:
            words = f"{words}, voice {voice_in_staff(note)}"
        full.append((note.id, f"{words}, grace note" if note.grace else words))
    alike = Counter(words for _, words in full)
    seen: Counter[str] = Counter()
    for id_, words in full:
        seen[words] += 1
        yield id_, counted(words, seen[words], alike[words])


def voice_in_staff(note: Note) -> int:
    """The voice of a note, counted from 1 within its staff."""
    return (note.voice - 1) % 4 + 1


def beat_number(beats: Fraction) -> str:
    """Felt beats since the bar line, counted from 1: ``2+1/2`` for three halves."""
    whole, rest = divmod(beats, 1)
    return f"{whole + 1}+{rest}" if rest else str(whole + 1)


def _head(score: Score, bar: Bar) -> Bar:
    """The bar with which the whole of a divided bar begins."""
    return score.bars[first_of_whole(score.bars, bar.index, score.ticks_per_quarter)]


def _beat(head: Bar, tick: int, score: Score) -> str:
    return beat_number(Fraction(head.lead + tick - head.onset, score.ticks_per_quarter) / head.metre.beat_quarters)


def _onset(note: Note) -> int:
    return note.onset
