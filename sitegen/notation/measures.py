"""What stands in each measure of the file: the staves of a bar one after the other, their voices, and what is between.

Where a staff has one voice, clefs and words stand among its notes; where it has several, before them, reached by steps
forward and back.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from xml.sax.saxutils import quoteattr

from sitegen.notation.musicxml import clef_xml
from sitegen.notation.written import ClefChange, Direction, Item, Leap, Plain, Written, WrittenBar
from sitegen.score import Bar, Score

#: Voices are numbered on from staff to staff, as notation programs do: 1 to 4 on the first, 5 to 8 on the second.
VOICES_A_STAFF = 4

Words = Sequence[tuple[int, Direction]]
"""What is said over or under a staff, with the tick at which it is, in order."""
_Sign = tuple[int, ClefChange | Direction]


class Measures:
    """Lays out the measures of a score; ``words`` gives what stands at each staff whatever its notes."""

    def __init__(self, score: Score, words: dict[int, Words]) -> None:
        self.score = score
        self.words = words
        self.staves = len(score.staves)

    def lay_out(self, staves: Sequence[Sequence[WrittenBar]]) -> list[list[Item]]:
        """The items of each measure in the order of the file; ``staves`` holds the bars of each staff."""
        queues = {number: list(words)[::-1] for number, words in self.words.items()}
        found = []
        for bar, written in zip(self.score.bars, zip(*staves, strict=True), strict=True):
            items: list[Item] = []
            for number, of_staff in enumerate(written, 1):
                items += [Leap(-bar.length)] if number > 1 else []
                items += self._signatures(bar, written, number)
                items += self._left_bar_line(bar) if number == 1 else ()
                words = list(_taken(queues.get(number, []), bar.end))
                items += self._of_staff(bar, of_staff, number, words)
            items += self._right_bar_line(bar)
            found.append(items)
        return found

    def in_part(self, staff: int) -> int:
        """The number of a staff as the file says it: 0 where there is no other."""
        return staff if self.staves > 1 else 0

    def _signatures(self, bar: Bar, written: Sequence[WrittenBar], staff: int) -> Iterator[Item]:
        """Key, metre and clefs that begin with a bar: those of all staves at the head of the piece."""
        before = self.score.bars[bar.index - 1] if bar.index else None
        found = ""
        if staff == 1 and (before is None or before.fifths != bar.fifths):
            found += f"<key><fifths>{bar.fifths}</fifths></key>"
        if staff == 1 and (before is None or before.metre != bar.metre):
            symbol = f" symbol={quoteattr(bar.metre.symbol)}" if bar.metre.symbol else ""
            found += (
                f"<time{symbol}><beats>{bar.metre.beats}</beats><beat-type>{bar.metre.beat_type}</beat-type></time>"
            )
        if before is None and self.staves > 1 and staff == 1:
            found += f"<staves>{self.staves}</staves>"
        of_all = before is None
        for number, of_staff in enumerate(written, 1):
            if (of_all and staff == 1) or (not of_all and number == staff):
                shown = self.in_part(number) if of_all or number > 1 else 0
                found += "".join(clef_xml(clef, shown) for tick, clef in of_staff.clefs if tick == bar.onset)
        if found:
            yield Plain(f"<attributes>{found}</attributes>")

    def _left_bar_line(self, bar: Bar) -> Iterator[Item]:
        before = self.score.bars[bar.index - 1].endings if bar.index else ()
        found = _ending(bar, "start") if bar.endings and bar.endings != before else ""
        if bar.repeat_start:
            found += '<repeat direction="forward"/>'
        if found:
            yield Plain(f'<barline location="left">{found}</barline>')

    def _right_bar_line(self, bar: Bar) -> Iterator[Item]:
        last = bar.index + 1 == len(self.score.bars)
        found = "<bar-style>light-heavy</bar-style>" if last and not bar.repeat_end else ""
        if bar.endings and (last or self.score.bars[bar.index + 1].endings != bar.endings):
            found += _ending(bar, "stop")
        if bar.repeat_end:
            found += '<repeat direction="backward"/>'
        if found:
            yield Plain(f'<barline location="right">{found}</barline>')

    def _of_staff(self, bar: Bar, written: WrittenBar, staff: int, words: Words) -> list[Item]:
        number = self.in_part(staff)
        several = len(written.voices) > 1
        for count, voice in enumerate(written.voices, 1):
            for w in voice:
                w.staff = number
                w.voice = VOICES_A_STAFF * (staff - 1) + count if several or number else 0
        signs: list[_Sign] = [*words]
        signs += [(at, ClefChange(clef, staff if staff > 1 else 0)) for at, clef in written.clefs if at > bar.onset]
        signs.sort(key=lambda sign: (sign[0], _rank(sign[1])))
        if not several:
            return _among(signs, written.voices[0], bar)
        items = _before(signs, bar, number)
        for voice in written.voices:
            if voice is not written.voices[0]:
                items.append(Leap(-bar.length))
            items += voice
        return items


def _taken(queue: list[tuple[int, Direction]], until: int) -> Iterator[tuple[int, Direction]]:
    """What comes before a tick, taken from the end of a queue."""
    while queue and queue[-1][0] < until:
        yield queue.pop()


def _rank(sign: ClefChange | Direction) -> int:
    """Words before a clef, a tempo after it."""
    return 1 if isinstance(sign, ClefChange) else 2 if sign.tempo else 0


def _among(signs: Sequence[_Sign], voice: Sequence[Written], bar: Bar) -> list[Item]:
    """Signs before the note at which they stand, or behind the one that sounds."""
    if not signs:
        return list(voice)
    items: list[Item] = []
    at, waiting = bar.onset, list(signs)
    for written in voice:
        while waiting and waiting[0][0] <= written.onset:
            items.append(_at(at, *waiting.pop(0)))
        items.append(written)
        at = written.end
    return items + [_at(at, *sign) for sign in waiting]


def _before(signs: Sequence[_Sign], bar: Bar, staff: int) -> list[Item]:
    """Signs at their place before all voices: words wherever the file has come to, a clef where it holds."""
    items: list[Item] = []
    at = bar.onset
    for tick, sign in signs:
        if tick > at and any(t == tick and isinstance(s, ClefChange) for t, s in signs):
            items.append(Leap(tick - at, staff))
            at = tick
        items.append(_at(at, tick, sign))
    return [*items, Leap(bar.onset - at)] if at > bar.onset else items


def _at(at: int, tick: int, sign: ClefChange | Direction) -> Item:
    return sign.shifted(tick - at) if isinstance(sign, Direction) else sign


def _ending(bar: Bar, way: str) -> str:
    return f'<ending number="{",".join(map(str, bar.endings))}" type="{way}"/>'
