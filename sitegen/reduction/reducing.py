"""The ladder of a piece: its stages in order, fewest notes first, the score as written last."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from sitegen.analysis import Analysis
from sitegen.reduction.adjustments import (
    NoteChanges,
    apply_changes,
    own_stage,
    resolve_notes,
    stretch_of,
    with_new_titles,
)
from sitegen.reduction.figures import find_basses, find_blocks
from sitegen.reduction.hands import Keyboard, keyboard
from sitegen.reduction.ladder import (
    Draft,
    choose,
    difficulty,
    lasting_name,
    lasting_names,
    note_codes,
    take_over,
)
from sitegen.reduction.listening import listen_for
from sitegen.reduction.material import Material, gather
from sitegen.reduction.notes import tidy
from sitegen.reduction.nouns import Sentence, Stage, StageNote
from sitegen.reduction.playing import hand_of, make_playable
from sitegen.reduction.remarks import text_of
from sitegen.reduction.techniques import Rung, find_technique, ladder_of, ladders, techniques
from sitegen.reduction.wishes import StageWish, Wishes
from sitegen.score import Score

WRITTEN = Rung("as written")
SUNG = 2  # a piece of figures has a melody above them if it is sung in one bar of so many


def build_ladder(score: Score, analysis: Analysis, wishes: Wishes | None = None) -> tuple[Stage, ...]:
    """The stages of ``score``, each nested in the next, the score as written last. Pure and deterministic.

    ``analysis`` already follows the teacher's readings (``readings_of``). Raises ``ContentError`` for a wish
    whose address matches nothing, or two things, and for one that names a stage that is not there (``FaultsError``
    for several).
    """
    wishes = wishes or Wishes()
    material = gather(score, analysis, wishes.hand)
    changes = resolve_notes(score, wishes)
    if wishes.stages:
        drafts = _wished(material, wishes, changes)
    else:
        drafts = choose(_tried(material, wishes, changes))
    drafts = apply_changes(score, drafts, wishes)
    keys = keyboard(score, wishes.hand, _essential(material))
    return _stages(material, keys, drafts, changes)


def _tried(material: Material, wishes: Wishes, changes: NoteChanges) -> list[Draft]:
    """Every rung of the ladder that fits the texture, each stage taking over what the one before it keeps."""
    analysis = material.analysis
    one_line = len(material.score.staves) == 1 and not find_basses(material)
    sung = {note.bar for note in material.line("melody")}
    is_sung = SUNG * len(sung) >= len({note.bar for note in material.sounding})
    drafts: list[Draft] = []
    before: Sequence[StageNote] = ()
    ladder = "one line" if one_line else ladder_of(analysis.passages, analysis.counterpoint is not None, is_sung)
    rungs = [*with_new_titles(ladders()[ladder], wishes), WRITTEN]
    known = [rung.called for rung in rungs]
    named = {lasting_name(change.stage, known) for change in wishes.changes if not change.leave_out}
    changes = changes.among(rungs)
    for rung in rungs:
        if changes.name(rung) or rung.called.name in named:
            rung = replace(rung, named=True)
        names, notes = _reduce(material, rung)
        if not rung.side and rung is not WRITTEN:
            notes = tidy(take_over(before, notes, material.by_id))
        notes = changes.apply(rung, notes)
        if not rung.side:
            before = notes
        drafts.append(Draft(rung, names, tuple(notes), bar_of=lambda tick: material.score.bar_at(tick).index))
    return drafts


def _reduce(material: Material, rung: Rung) -> tuple[tuple[str, ...], Sequence[StageNote]]:
    """The notes of a rung, those of its other technique where a passage is a fugato; and the names of all used."""
    table = techniques()
    notes: Sequence[StageNote] = material.once(table[rung.technique].reduce)
    if rung is WRITTEN:
        return (rung.technique,), notes
    fugatos = [passage for passage in material.analysis.passages if passage.counterpoint and rung.in_fugato]
    for passage in fugatos:
        inside = replace(material, analysis=replace(material.analysis, counterpoint=passage.counterpoint))
        others = table[rung.in_fugato].reduce(inside)
        notes = [note for note in notes if not passage.onset <= note.onset < passage.end]
        notes += [note for note in others if passage.onset <= note.onset < passage.end]
    return (rung.technique, rung.in_fugato) if fugatos else (rung.technique,), tidy(notes)


def _wished(material: Material, wishes: Wishes, changes: NoteChanges) -> list[Draft]:
    """The teacher's own list, in their order; the score as written stands last, listed or not."""
    table = techniques()
    drafts = []
    rungs = _rungs_of(material.score, wishes)
    changes = changes.among(rung for rung in rungs if rung.technique != WRITTEN.technique)
    whole = Draft(WRITTEN, (WRITTEN.technique,), tuple(table[WRITTEN.technique].reduce(material)))
    for wish, rung in zip(wishes.stages, rungs, strict=True):
        if wish.technique == WRITTEN.technique and wish.own is None:
            whole = replace(whole, rung=replace(WRITTEN, title=wish.title), listen=wish.listen)
            continue
        if wish.of:
            # its notes are known when the other stage's are
            drafts.append(_hand_of(material, wish, rung, wishes.file))
            continue
        if wish.own is not None:
            notes: Sequence[StageNote] = own_stage(material, wish, wishes.file)
        else:
            notes = tidy(table[wish.technique].reduce(material))
        notes = changes.apply(rung, notes)
        if wish.bars:
            onset, end = stretch_of(material.score, wish.bars, wishes.file, wish.line)
            notes = [note for note in notes if onset <= note.onset < end]
        # none made a stage that the teacher wrote
        named = (wish.technique,) if wish.technique else ()
        drafts.append(Draft(rung, named, tuple(notes), wish.listen))
    return [*drafts, whole]


def _rungs_of(score: Score, wishes: Wishes) -> list[Rung]:
    """A rung for each stage of the teacher's list, with its lasting name."""
    table = techniques()
    rungs = []
    for wish, lasting in zip(wishes.stages, lasting_names(score, wishes.stages, wishes.file), strict=True):
        as_usual = wish.own is None and (bool(wish.of) or table[wish.technique].side_study)
        side = as_usual if wish.side_study is None else wish.side_study
        title = wish.title or (f"{wish.technique}: {wish.of}" if wish.of else "")
        rungs.append(Rung(wish.technique, side=side, title=title, lasting=lasting))
    return with_new_titles(rungs, wishes)


def _hand_of(material: Material, wish: StageWish, rung: Rung, file: str) -> Draft:
    """A hand of another stage, for now with the notes of the technique that ``wish`` may mean."""
    row = techniques().get(find_technique(wish.of))
    notes = tidy(row.reduce(material)) if row is not None else ()
    bars = stretch_of(material.score, wish.bars, file, wish.line) if wish.bars else None
    return Draft(rung, (wish.technique, row.name if row else wish.of), tuple(notes), wish.listen, wish.of, bars)


def _stages(material: Material, keys: Keyboard, drafts: Sequence[Draft], changes: NoteChanges) -> tuple[Stage, ...]:
    """The drafts made playable, named and described."""
    played = make_playable(keys, drafts, changes.among(draft.rung for draft in drafts))
    codes = note_codes((draft.rung.called.name for draft in drafts), material.score)
    stages: list[tuple[Draft, Stage]] = []
    for draft, made in zip(reversed(drafts), reversed(played), strict=True):
        written = draft.rung.technique == WRITTEN.technique
        called = draft.rung.called
        slug, title = called.name, called.titles[0]
        named = tuple(
            note.played(note.sources[0] if written else f"{codes[slug]}{number}", hand_of(keys, note))
            for number, note in enumerate(made.notes, 1)
        )
        stage = Stage(
            slug, title[:1].upper() + title[1:], draft.techniques, named, draft.listen, draft.rung.side, written,
            difficulty(material.score, named), made.hands, also=called.also,
        )  # fmt: skip
        stages.append((draft, stage))
    stages.reverse()
    return _described(material, stages)


def _described(material: Material, playable: Sequence[tuple[Draft, Stage]]) -> tuple[Stage, ...]:
    said: set[Sentence] = set()
    before: Stage | None = None
    stages = []
    for draft, stage in playable:
        if not draft.listen and stage.notes:
            sentence = listen_for(material, stage, before, said)
            if sentence is not None:
                said.add(sentence)
                stage = replace(stage, listen=text_of(sentence), sentence=sentence)
        if not stage.side_study:
            before = stage
        stages.append(stage)
    return tuple(stages)


def _essential(material: Material) -> set[str]:
    """The notes that no hand leaves out: the melody, each bass as often as it is struck, and the lowest note of each
    block of the left hand."""
    basses = {n.id for bass in find_basses(material) for n in bass.members if n.midi == bass.note.midi}
    blocks = (block for block in find_blocks(material) if material.score.hand_of(block.staff) == "left")
    basses |= {n.id for block in blocks for n in block.members if n.midi == block.heads[0].midi}
    return basses | {id for id, role in material.roles.items() if role == "melody"}
