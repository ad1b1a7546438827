"""One chord for each harmony, as the hand comes to it: the block of its first position, held until the next."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import replace
from itertools import accumulate, groupby, pairwise

from sitegen.reduction.figures.basses import find_basses
from sitegen.reduction.figures.block_heads import is_in_octaves, struck_at, struck_in
from sitegen.reduction.figures.blocks import ROLLED, Block, anchors_of, ended, with_syncopations
from sitegen.reduction.figures.tones_of_the_tune import WHOLE, with_tones_of_the_tune
from sitegen.reduction.figures.voicing import voiced, width
from sitegen.reduction.material import STEP, Material, Window, attacks_of, find_windows
from sitegen.score import Note
from sitegen.score.metre import beat_start, beat_ticks


def chords_of_harmonies(material: Material) -> list[Block]:
    """One block for each harmony of a bar and staff, held through it, without what only doubles another tone out of
    reach. It is the hand's first position; tones that its figure brings later belong to it as far as the hand reaches
    them from there. A tune that is itself a figure, known by its repetition, is struck with it."""
    found: list[Block] = []
    number = _chord_numbers(material)
    for staff in material.score.staves:
        windows = _with_the_tune(material, staff.number) if staff.hand is not None else ()
        heads_found = struck_in(material, windows)
        chosen = [(w, _heads_of(material, w, heads)) for w, heads in zip(windows, heads_found, strict=True)]
        turns = _turns(material, windows, number)
        for _, group in groupby(enumerate(chosen), key=lambda w: turns[w[0]]):
            together = [found for _, found in group]
            place = next((k for k, (_, heads) in enumerate(together) if heads), 0)
            window, heads = together[place]
            if not heads:
                continue
            members = tuple(note for w, _ in together[place:] for note in w.notes)
            anchors = anchors_of(material, staff.number, heads, together[-1][0].end)
            held_over = _are_held_over(window, heads)
            onset = window.onset if held_over else _on_a_beat(material, window, heads, together[-1][0].end)
            before = found[-1] if found and found[-1].staff == staff.number else None
            if held_over and before is not None and {h.id for h in heads} <= {h.id for h in before.heads}:
                found[-1] = replace(before, end=together[-1][0].end, members=(*before.members, *members))
                continue
            struck_once = voiced(heads, anchors[:1], material.span)
            if window.figure and not is_in_octaves(attacks_of(window.notes)):
                sings = any(material.roles[note.id] == "melody" for note in window.notes)
                brought = (note for other, notes in together if other.figure for note in notes)
                later = [note for note in brought if sings or material.roles[note.id] == "figure"]
                left = material.score.hand_of(staff.number) == "left"
                struck_once = _filled(material, struck_once, [n for n in later if not left or n.midi > heads[0].midi])
            if not window.figure and not held_over:
                struck_once = _resolved(material, struck_once, members)
            until = together[-1][0].end
            bare = not window.figure and len({head.pitch.pitch_class for head in heads}) == 1
            wide = width(struck_once) > 2 * material.span
            after = _next_chord(material, together[place + 1 :], onset) if wide or bare else None
            if after is not None:
                bass = heads if bare else tuple(anchors[:1])
                found.append(Block(staff.number, onset, after[0], bass, window.notes, window.figure))
                onset, struck_once = after
                members = tuple(note for note in members if note.onset >= onset)
            found.append(Block(staff.number, onset, until, struck_once, members, window.figure))
    found = with_tones_of_the_tune(material, found)
    places = {(block.staff, block.onset) for block in found}
    found = [_without_the_other_hand_s(material, block, places) for block in found]
    ordered = sorted(found, key=lambda b: (b.onset, -b.staff))
    following: dict[int, int] = {}
    backwards = []
    for block in reversed(ordered):
        backwards.append(ended(material, block, following.get(block.staff)))
        following[block.staff] = block.onset
    return _left_to_the_other_hand(material, backwards[::-1])


def _turns(material: Material, windows: Sequence[Window], number: Sequence[int]) -> list[tuple[int, int, int]]:
    """For each window the number of its harmony, its bar, and how often the figure has begun again there on a bass of
    another name below all before: the hand strikes its chord on that too."""
    basses = {(bass.note.staff, bass.onset): bass.note for bass in find_basses(material)}
    found: list[tuple[int, int, int]] = []
    lowest: Note | None = None
    for window in windows:
        place = number[material.harmony_index(window.onset)], window.notes[0].bar
        low = min(window.notes, key=lambda n: n.midi)
        goes_on = bool(found) and found[-1][:2] == place
        if not goes_on or lowest is None:
            lowest = low
        turn = found[-1][2] if goes_on else 0
        if low.midi < lowest.midi:
            is_chord = window.figure and len({note.pitch.pitch_class for note in window.notes}) > 1
            is_bass = basses.get((window.staff, window.onset)) is low
            turn += is_chord and is_bass and low.pitch.pitch_class != lowest.pitch.pitch_class
            lowest = low
        found.append((*place, turn))
    return found


def _on_a_beat(material: Material, window: Window, heads: Sequence[Note], end: int) -> int:
    """Where a window is struck, or the beat after that if it is off the beat, the chord is held over that, and its
    voice strikes nothing else there: a chord that stands for a harmony has a beat."""
    onset = struck_at(material, window)
    start = beat_start(material.score, onset)
    following = start + beat_ticks(material.score, start)
    pitches, voices = {head.midi for head in heads}, {head.voice for head in heads}
    beside = (n for s in material.score.staves for n in material.struck_between(s.number, following, following + 1))
    others = [n for n in beside if n.voice in voices and n.midi not in pitches]
    return following if start < onset and following < end and not others else onset


def _are_held_over(window: Window, heads: Sequence[Note]) -> bool:
    """Whether the hand strikes nothing at the beginning of a window, but holds ``heads`` on over it."""
    return all(head.onset < window.onset for head in heads)


def _next_chord(
    material: Material, later: Sequence[tuple[Window, tuple[Note, ...]]], bass: int
) -> tuple[int, tuple[Note, ...]] | None:
    """Where a hand that has struck its bass, at the tick ``bass``, comes to the chord, and that: where it can neither
    take nor roll both at once, or where the score itself has the bass alone first."""
    for window, heads in later:
        onset = window.onset if _are_held_over(window, heads) else struck_at(material, window)
        names = {head.pitch.pitch_class for head in heads}
        if onset > bass and len(names) > 1 and width(heads) <= material.span + ROLLED:
            return onset, heads
    return None


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


def _left_to_the_other_hand(material: Material, blocks: Sequence[Block]) -> list[Block]:
    """``blocks``, those of all hands in order, without the keys that the other hand already holds in its chord, and
    figures without what lies beyond a tenth, where all of that has its name in the other hand's chord and a whole
    chord is left."""
    found: list[Block] = []
    latest: dict[int, Block] = {}
    for place, block in enumerate(blocks):
        later = blocks[place + 1 : place + len(material.score.staves)]
        near = [other for other in (*latest.values(), *later) if other.staff != block.staff]
        beside = [other for other in near if other.onset <= block.onset < other.end]
        held = {head.midi for other in beside if other.onset < block.onset for head in other.heads}
        heads = [head for head in block.heads if head.midi not in held] or list(block.heads)
        names = {head.pitch.pitch_class for other in beside for head in other.heads}
        anchor = heads[0 if material.score.hand_of(block.staff) == "left" else -1].midi
        reach = material.span + ROLLED
        within = [h for h in heads if abs(h.midi - anchor) <= reach or h.pitch.pitch_class not in names]
        heads = within if block.figure and len(within) >= WHOLE and width(within) <= reach else heads
        latest[block.staff] = replace(block, heads=tuple(heads))
        found.append(latest[block.staff])
    return found


def _resolved(material: Material, heads: Sequence[Note], members: Sequence[Note]) -> tuple[Note, ...]:
    """``heads`` of a chord that moves, not of a figure, each that leans replaced by the chord tone a step from it to
    which its voice goes on among ``members``: the harmony that it comes to. The left hand's bass stays."""
    found = []
    for head in heads:
        after = (n for n in members if n.voice == head.voice and n.onset == head.end)
        goal = next((n for n in after if 0 < abs(n.midi - head.midi) <= STEP and material.is_chord_tone(n)), None)
        bass = head is heads[0] and material.score.hand_of(head.staff) == "left"
        leans = goal is not None and not bass and not material.is_chord_tone(head)
        found.append(goal if goal is not None and leans and all(h.midi != goal.midi for h in heads) else head)
    return tuple(sorted(dict.fromkeys(found), key=lambda n: n.midi))


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
    """The windows of a staff's accompaniment, and, in place of what they cover, those of figures that hold the tune:
    where that is a broken chord itself, or the accompaniment no whole chord."""
    notes = [note for note in material.of_staff(staff) if note.id not in material.ornaments]
    if not any(material.roles[note.id] == "melody" for note in notes):
        return list(material.windows[staff])
    sung = [
        window
        for window in find_windows(material.score, material.analysis, staff, notes)
        if window.figure
        and (len(_under(material, window)) < WHOLE or _is_broken_chord(material, window))
        and any(material.roles[note.id] == "melody" for note in window.notes)
        and not _is_trill(attacks_of(window.notes))
    ]
    taken = {note.id for window in sung for note in window.notes}
    rest = [window for window in material.windows[staff] if not any(note.id in taken for note in window.notes)]
    return sorted([*sung, *rest], key=lambda window: window.onset)


def _under(material: Material, window: Window) -> set[int]:
    """The pitch classes that accompany the melody during the harmony and the bar in which a window begins."""
    first = window.notes[0]
    bar, harmony = material.score.bars[first.bar], material.harmony(first.onset)
    start, end = max(bar.onset, harmony.onset), min(bar.end, harmony.end)
    return {
        note.pitch.pitch_class
        for staff in material.score.staves
        for note in (*material.sounding_at(staff.number, start), *material.struck_between(staff.number, start, end))
        if material.roles[note.id] == "figure"
    }


def _heads_of(material: Material, window: Window, heads: tuple[Note, ...]) -> tuple[Note, ...]:
    """``heads``, or where there are none what the hand holds over the beat; not what comes late over a note that is
    held and is no bass of the bass line. Of a tune that is a figure only the tones of its harmony; none where they make
    no chord."""
    if not heads and not window.figure and beat_start(material.score, window.onset) == window.onset:
        early = with_syncopations(material, window, (), (), ())
        held = [
            note for note in material.sounding_at(window.staff, window.onset) if early and note.midi < early[0].midi
        ]
        return early if {note.id for note in held} <= material.once(_ids_of_the_basses) else ()
    if not any(material.roles[note.id] == "melody" for note in window.notes):
        return heads
    classes = material.harmony(window.notes[0].onset).pitch_classes
    tones = tuple(head for head in heads if head.pitch.pitch_class in classes)
    if _is_broken_chord(material, window) and len({head.pitch.pitch_class for head in heads}) >= WHOLE:
        return heads
    return tones if len({tone.pitch.pitch_class for tone in tones}) > 1 else ()


def _ids_of_the_basses(material: Material) -> frozenset[str]:
    return frozenset(bass.note.id for bass in find_basses(material))


def _is_broken_chord(material: Material, window: Window) -> bool:
    """Whether a window has nothing but tones of its harmony: three or more, not all of one name."""
    names = {note.pitch.pitch_class for note in window.notes}
    heights = {note.midi for note in window.notes}
    return len(heights) >= WHOLE and len(names) > 1 and all(material.is_chord_tone(note) for note in window.notes)


def _is_trill(attacks: Sequence[Sequence[Note]]) -> bool:
    """Whether strokes mostly go to the step beside and back: such a tune is a trill, and no chord."""
    tops = [max(note.midi for note in chord) for chord in attacks]
    turns = [
        one == other and 0 < abs(one - between) <= STEP
        for one, between, other in zip(tops, tops[1:], tops[2:], strict=False)
    ]
    return any(turns) and 2 * sum(turns) >= len(turns)
