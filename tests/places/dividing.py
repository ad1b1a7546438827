"""A bar divided by a repeat sign, as files have it."""

from __future__ import annotations

from dataclasses import replace

from sitegen.score import Score


def divided(score: Score, bar: int, beats: int, second: str, *, first: str = "", repeat: bool = True) -> Score:
    """``score`` with the bar at this index divided after so many quarters; its second half has the number ``second``,
    and its first one ``first`` where that is given."""
    whole = score.bars[bar]
    length = beats * score.ticks_per_quarter
    head = replace(whole, number=first or whole.number, length=length, repeat_end=repeat)
    tail = replace(whole, number=second, onset=whole.onset + length, length=whole.length - length, lead=length)
    bars = [*score.bars[:bar], head, replace(tail, repeat_start=repeat), *score.bars[bar + 1 :]]
    bars = [replace(one, index=index) for index, one in enumerate(bars)]

    def bar_at(tick: int) -> int:
        return next(one.index for one in reversed(bars) if one.onset <= tick)

    notes = tuple(
        replace(
            note,
            bar=bar_at(note.onset),
            noteheads=tuple(replace(head, bar=bar_at(head.onset)) for head in note.noteheads),
        )
        for note in score.notes
    )
    return replace(score, bars=tuple(bars), notes=notes)
