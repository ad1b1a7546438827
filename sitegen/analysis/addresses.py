"""Where a note or a stretch of a score is, in the words in which musicians say it.

The form, which the teacher's adjustments read back::

    bar N[, beat B][, left hand|right hand|staff N][, top note|bottom note|PITCH][, voice N][, grace note]
    bars N-M[, left hand|right hand|staff N]

``N`` is the bar number as printed (``0`` for an upbeat, ``12a``, ``X1``). ``B`` counts the felt beats from 1 as the
metre does (dotted quarters in 6/8, and an upbeat's beats are the last of a bar), with a fraction of a beat behind a
plus sign: ``2+1/2``. A staff that no hand plays, or that shares its hand with another staff, goes by its number from
the top. ``voice`` counts from 1 within its staff. Without ``grace note`` an address means sounding notes only. Where
two bars have one number, or two notes all of these words, a count in brackets tells which one in the order of the
score: ``bar 1 (second)``, ``bar 2, beat 1, right hand, F4, grace note (first)``.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections import Counter
from collections.abc import Iterator
from fractions import Fraction

from sitegen.score import Bar, Note, Score

ORDINALS = ("first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth", "ninth", "tenth")


def ordinal(place: int) -> str:
    """``1`` is ``first``; from eleven on in figures, ``11th``."""
    return ORDINALS[place - 1] if place <= len(ORDINALS) else f"{place}th"


def bar_names(score: Score) -> tuple[str, ...]:
    """The name of each bar, by its index: its printed number, and which one of that number if there are several."""
    alike = Counter(bar.number for bar in score.bars)
    seen: Counter[str] = Counter()
    names = []
    for bar in score.bars:
        seen[bar.number] += 1
        names.append(_counted(bar.number, seen[bar.number], alike[bar.number]))
    return tuple(names)


def bar_name(score: Score, bar: Bar) -> str:
    """The name of one bar, as ``bar_names`` has it."""
    alike = [other.index for other in score.bars if other.number == bar.number]
    return _counted(bar.number, alike.index(bar.index) + 1, len(alike))


def hand_words(score: Score, staff: int) -> str:
    """``left hand``, ``right hand``, or ``staff 1`` where that would not say which staff is meant."""
    hand = score.hand_of(staff)
    if hand is None or sum(other.hand == hand for other in score.staves) > 1:
        return f"staff {staff}"
    return f"{hand} hand"


def beat_words(score: Score, tick: int) -> str:
    """The beat at which ``tick`` lies in its bar, counted from 1: ``1``, ``2+1/2``. Needs a score with bars."""
    return _beat(score.bar_at(tick), tick, score)


def address_of_tick(score: Score, tick: int) -> str:
    """``bar 3, beat 2``. Needs a score with bars."""
    bar = score.bar_at(tick)
    return f"bar {bar_name(score, bar)}, beat {_beat(bar, tick, score)}"


def address_of_stretch(score: Score, onset: int, end: int, staff: int | None = None) -> str:
    """The bars that the ticks from ``onset`` to ``end`` touch: ``bars 3-4, right hand``. Needs a score with bars."""
    first, last = score.bar_at(onset), score.bar_at(max(onset, end - 1))
    bars = f"bar {bar_name(score, first)}"
    if last.index != first.index:
        bars = f"bars {bar_name(score, first)}-{bar_name(score, last)}"
    return bars if staff is None else f"{bars}, {hand_words(score, staff)}"


def address_of(score: Score, note: Note) -> str:
    """The address of a note of ``score``, which no other note has: ``bar 5, beat 2+1/2, right hand, F#4``."""
    low = bisect_left(score.notes, note.onset, key=_onset)
    high = bisect_right(score.notes, note.onset, key=_onset)
    together = score.notes[low:high]
    return dict(_chord_addresses(score, together, f"bar {bar_name(score, score.bars[note.bar])}"))[note.id]


def addresses(score: Score) -> dict[str, str]:
    """The addresses of all notes by their ids, in one pass."""
    names = bar_names(score)
    found: dict[str, str] = {}
    low = 0
    for high in range(1, len(score.notes) + 1):
        if high == len(score.notes) or score.notes[high].onset != score.notes[low].onset:
            together = score.notes[low:high]
            found.update(_chord_addresses(score, together, f"bar {names[together[0].bar]}"))
            low = high
    return found


def _chord_addresses(score: Score, together: tuple[Note, ...], bar: str) -> Iterator[tuple[str, str]]:
    """The addresses of all notes of one onset: a voice is added where two would else be the same, and then a count."""
    place = f"{bar}, beat {_beat(score.bars[together[0].bar], together[0].onset, score)}"
    plain = [(note, f"{place}, {hand_words(score, note.staff)}, {note.pitch.name}") for note in together]
    voices: dict[tuple[str, bool], set[int]] = {}
    for note, words in plain:
        voices.setdefault((words, note.grace), set()).add(_voice_in_staff(note))
    full = []
    for note, words in plain:
        if len(voices[words, note.grace]) > 1:
            words = f"{words}, voice {_voice_in_staff(note)}"
        full.append((note.id, f"{words}, grace note" if note.grace else words))
    alike = Counter(words for _, words in full)
    seen: Counter[str] = Counter()
    for id_, words in full:
        seen[words] += 1
        yield id_, _counted(words, seen[words], alike[words])


def _counted(words: str, place: int, of: int) -> str:
    return words if of == 1 else f"{words} ({ordinal(place)})"


def _voice_in_staff(note: Note) -> int:
    return (note.voice - 1) % 4 + 1


def _beat(bar: Bar, tick: int, score: Score) -> str:
    beats = Fraction(bar.lead + tick - bar.onset, score.ticks_per_quarter) / bar.metre.beat_quarters
    whole, rest = divmod(beats, 1)
    return f"{whole + 1}+{rest}" if rest else str(whole + 1)


def _onset(note: Note) -> int:
    return note.onset
