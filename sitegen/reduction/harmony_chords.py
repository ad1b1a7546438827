"""One chord for each harmony, as the hand comes to it: the block of its first position, held until the next."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import replace
from itertools import accumulate, groupby, pairwise

from sitegen.reduction.block_heads import STEP, is_in_octaves, struck_at, struck_in
from sitegen.reduction.blocks import Block, anchors_of, ended
from sitegen.reduction.material import Material
from sitegen.reduction.voicing import voiced, width
from sitegen.reduction.windows import Window, attacks_of, find_windows
from sitegen.score import Note


def chords_of_harmonies(material: Material) -> list[Block]:
    """One block for each harmony of a bar and staff, held through it, without what only doubles another tone out of
    reach. It is the hand's first position; tones that its figure brings later belong to it as far as the hand reaches
    them from there. A tune that is itself a figure, known by its repetition, is struck with it."""
    found = []
    number = _chord_numbers(material)
    for staff in material.score.staves:
        windows = _with_the_tune(material, staff.number) if staff.hand is not None else ()
        chosen = zip(windows, struck_in(material, windows), strict=True)
        for _, group in groupby(chosen, key=lambda w: (number[material.harmony_index(w[0].onset)], w[0].notes[0].bar)):
            together = list(group)
            place = next((k for k, (_, heads) in enumerate(together) if heads), 0)
            window, heads = together[place]
            if not heads:
                continue
            members = tuple(note for w, _ in together for note in w.notes)
            anchors = anchors_of(material, staff.number, heads, together[-1][0].end)
            onset = struck_at(material, window)
            struck_once = voiced(heads, anchors[:1], material.span)
            if window.figure and not is_in_octaves(attacks_of(window.notes)):
                later = [note for other, notes in together if other.figure for note in notes]
                left = material.score.hand_of(staff.number) == "left"
                struck_once = _filled(material, struck_once, [n for n in later if not left or n.midi > heads[0].midi])
            found.append(Block(staff.number, onset, together[-1][0].end, struck_once, members, window.figure))
    places = {(block.staff, block.onset) for block in found}
    found = [_without_the_other_hand_s(material, block, places) for block in found]
    ordered = sorted(found, key=lambda b: (b.onset, -b.staff))
    following: dict[int, int] = {}
    backwards = []
    for block in reversed(ordered):
        backwards.append(ended(material, block, following.get(block.staff)))
        following[block.staff] = block.onset
    return backwards[::-1]


def _chord_numbers(material: Material) -> list[int]:
    """A number for each harmony: the same as that before it where only the key is another."""
    chords = [(harmony.pitch_classes, harmony.bass) for harmony in material.analysis.harmonies]
    return [0, *accumulate(one != other or not one[0] for one, other in pairwise(chords))]


def _without_the_other_hand_s(material: Material, block: Block, places: Collection[tuple[int, int]]) -> Block:
    """A block without what a voice brings to it that still plays in a hand which holds its chord on: which strikes
    none of the blocks at ``places``, staff and onset, with it."""
    away = {
        note.voice
        for staff in material.score.staves
        if staff.number != block.staff and (staff.number, block.onset) not in places
        for note in material.struck_between(staff.number, block.onset, block.onset + 1)
    }
    stays = tuple(head for head in block.heads if head.voice not in away)
    return replace(block, heads=stays) if stays and block.figure else block


def _filled(material: Material, heads: Sequence[Note], later: Sequence[Note]) -> tuple[Note, ...]:
    """``heads``, and the chord tones of other names that the figure brings ``later`` within reach of them all; none
    that a foreign note among them leads to."""
    found = list(heads)
    for note in later:
        beside = [head for head in found if abs(head.midi - note.midi) <= STEP and not material.is_chord_tone(head)]
        named = any(head.midi % 12 == note.midi % 12 for head in found)
        if not named and not beside and material.is_chord_tone(note) and width([*found, note]) <= material.span:
            found.append(note)
    return tuple(sorted(found, key=lambda n: n.midi))


def _with_the_tune(material: Material, staff: int) -> list[Window]:
    """The windows of a staff's accompaniment, and those of figures that hold the tune in place of what they cover."""
    notes = [note for note in material.of_staff(staff) if note.id not in material.ornaments]
    sung = [
        window
        for window in find_windows(material.score, material.analysis, staff, notes)
        if window.figure
        and any(material.roles[note.id] == "melody" for note in window.notes)
        and not _is_trill(attacks_of(window.notes))
    ]
    taken = {note.id for window in sung for note in window.notes}
    rest = [window for window in material.windows[staff] if not any(note.id in taken for note in window.notes)]
    return sorted([*sung, *rest], key=lambda window: window.onset)


def _is_trill(attacks: Sequence[Sequence[Note]]) -> bool:
    """Whether strokes mostly go to the step beside and back: such a tune is a trill, and no chord."""
    tops = [max(note.midi for note in chord) for chord in attacks]
    turns = [
        one == other and 0 < abs(one - between) <= STEP
        for one, between, other in zip(tops, tops[1:], tops[2:], strict=False)
    ]
    return any(turns) and 2 * sum(turns) >= len(turns)
