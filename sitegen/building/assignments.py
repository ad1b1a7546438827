"""Assignments made: what is set laid over its days, with links to the music; each may hurt only itself.

An assignment for another hand than a piece is made for has the piece made again for that hand, in an unlisted folder of
its own, which all assignments for this hand share.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import timedelta

from sitegen import publishing
from sitegen.building.asking import Studio, called
from sitegen.building.looking import look_at, read_score, understand
from sitegen.building.pieces import MadePiece, make_pages
from sitegen.building.plans import DAILY, timetable_of
from sitegen.building.scheduling import Plan
from sitegen.building.steps import table
from sitegen.building.steps.running import ONE, read_value
from sitegen.building.steps.table import Call
from sitegen.building.store import Damaged
from sitegen.checking import Finding
from sitegen.errors import ContentError, SitegenError, each_fault, located
from sitegen.library import Assigned, Assignment, HabitsMatter, Piece, SetMatter, slug_meant, to_html
from sitegen.library.assigning import days_between
from sitegen.places.addresses import fragment_of
from sitegen.places.bars import find_bars
from sitegen.places.parsing import parse_bars
from sitegen.places.stages import find_stage
from sitegen.planning.days import day_offset, over_days
from sitegen.planning.nouns import Habits, Study, Task
from sitegen.planning.setting import Settable
from sitegen.planning.wanted import habits_of
from sitegen.unlisted import folder_of

_TO_ROOT = "../../"


@dataclass(frozen=True, slots=True)
class ForHand:
    """A piece made again for a hand of so many semitones."""

    slug: str
    span: int


@dataclass(frozen=True, slots=True)
class MadeAssignment:
    """What became of an assignment: what was found, and its page where nothing is at fault. ``hands`` are the pieces
    that it asks to be made again."""

    name: str
    findings: tuple[Finding, ...] = ()
    page: publishing.AssignmentPage | None = None
    hands: tuple[ForHand, ...] = ()


@dataclass(slots=True)
class Desk:
    """What assignments are made from: the ``pieces`` that can be set by their slugs, and what is known of them already
    (``outlines``: the digests of what they are at a glance; ``standing``: the pieces for a hand whose pages stand). In
    ``made`` the others for a hand are gathered."""

    studio: Studio
    secret: str
    pieces: Mapping[str, Piece]
    outlines: dict[str, str] = field(default_factory=dict)
    standing: frozenset[ForHand] = frozenset()
    made: dict[ForHand, MadePiece] = field(default_factory=dict)

    def folder_for(self, hand: ForHand) -> str:
        """Where a piece made again for a hand lies below the site's root."""
        return folder_of(self.secret, "hand", hand.slug, str(hand.span))


def folder_of_assignment(secret: str, name: str) -> str:
    """Where the page of an assignment lies below the site's root."""
    return folder_of(secret, "assignment", name)


def folder_of_week(secret: str) -> str:
    """Where the page of the week lies below the site's root."""
    return folder_of(secret, "week")


def sound_assignments(assigned: Assigned, findings: Iterable[Finding]) -> tuple[Assignment, ...]:
    """Those in which nothing is at fault as they are written, where they have an address."""
    at_fault = {finding.file for finding in findings if finding.severity == "error"}
    return tuple(one for one in assigned.assignments if assigned.secret and str(one.file) not in at_fault)


def make_assignments(assignments: Sequence[Assignment], desk: Desk, with_pages: bool = True) -> Plan:
    """All of them, as a list of ``MadeAssignment``. Pieces for other hands stand in ``desk.made`` then; without their
    pages where it is only asked what is at fault."""
    wanted = dict.fromkeys(
        (slug, _span_for(one, slug, desk))
        for one in assignments
        for slug in (slug_meant(entry.piece) for entry in one.matter.set)
        if slug in desk.pieces
    )
    yield [_outlined(slug, span, desk) for slug, span in wanted]
    hands = [ForHand(slug, span) for slug, span in wanted if span is not None]
    hands = [hand for hand in hands if hand not in desk.standing]
    desk.made = dict(zip(hands, (yield [_made_for(hand, desk, with_pages) for hand in hands]), strict=True))
    try:
        return [_make(one, desk) for one in assignments]
    except Damaged:
        desk.outlines.clear()
        raise


def _span_for(one: Assignment, slug: str, desk: Desk) -> int | None:
    """The hand for which a piece is to be made again; None where it is made for that hand already."""
    span, piece = one.matter.hand, desk.pieces[slug]
    return None if span is None or span == (piece.matter.hand or desk.studio.matter.hand) else span


def _for_hand(piece: Piece, span: int | None, desk: Desk) -> Piece:
    if span is None:
        return piece
    place = desk.folder_for(ForHand(piece.slug, span))
    return replace(piece, matter=piece.matter.model_copy(update={"hand": span}), place=place)


def _key(slug: str, span: int | None) -> str:
    return slug if span is None else f"{slug} {span}"


def _outlined(slug: str, span: int | None, desk: Desk) -> Plan:
    """Puts the digest of what a piece is at a glance into ``desk``; of one that is at fault nothing."""
    if _key(slug, span) in desk.outlines:
        return
    studio, piece = desk.studio, _for_hand(desk.pieces[slug], span, desk)
    try:
        read = yield from read_score(piece, piece.matter.score, studio)
        known = yield from understand(piece, read, studio)
        inputs = {"score": read.score, "analysis": known.analysis, "stages": known.stages, "notes": known.notes,
                  "words": studio.put(studio.teller.words)}  # fmt: skip
        title = "" if piece.bare else piece.matter.title
        made = yield from called(Call(table.OUTLINE, inputs, {"title": title}), piece)
    except Damaged:
        raise
    except Exception:
        return  # what is wrong with the piece is told where it is made
    desk.outlines[_key(slug, span)] = made[ONE]


def _made_for(hand: ForHand, desk: Desk, with_pages: bool) -> Plan:
    """A piece made for a hand, as ``MadePiece``."""
    piece = _for_hand(desk.pieces[hand.slug], hand.span, desk)
    looked = yield from look_at(piece, desk.studio)
    if not with_pages:
        return MadePiece(looked.findings, {"index.html": ""} if looked.is_publishable else {})
    made = yield from make_pages(piece, desk.studio, looked)
    return replace(made, findings=(*looked.findings, *made.findings))


def _make(one: Assignment, desk: Desk) -> MadeAssignment:
    try:
        hands = tuple(dict.fromkeys(_hands_of(one, desk)))
        page = _page(one, desk)
        for hand in hands:
            if hand not in desk.standing:
                _refuse_unmade(one, hand, desk.made[hand])
    except SitegenError as error:
        told = [Finding("error", e.what, e.remedy, str(one.file), e.line) for e in each_fault(error)]
        return MadeAssignment(one.name, tuple(told))
    return MadeAssignment(one.name, page=page, hands=hands)


def _hands_of(one: Assignment, desk: Desk) -> Iterable[ForHand]:
    for entry in one.matter.set:
        slug = slug_meant(entry.piece)
        span = _span_for(one, slug, desk) if slug in desk.pieces else None
        if span is not None:
            yield ForHand(slug, span)


def _refuse_unmade(one: Assignment, hand: ForHand, made: MadePiece) -> None:
    if not made.is_published:
        why = next((f.what for f in made.findings if f.severity == "error"), "it cannot be made")
        what = f"the piece '{hand.slug}' cannot be made for this hand: {why}"
        raise ContentError(what, "Set it without 'hand', or mend it.", line=one.lines.get("hand"))


@dataclass(frozen=True, slots=True)
class _Set:
    """A line of what is set, found in its piece."""

    entry: SetMatter
    piece: Settable
    folder: str
    place: int
    study: Study


def _page(one: Assignment, desk: Desk) -> publishing.AssignmentPage:
    """The page data. Raises ``ContentError`` for a stage or bars that are not there, with the line."""
    matter, studio = one.matter, desk.studio.matter
    found = {it.study.name: it for it in _found(one, desk)}
    given = any(it.entry.day is not None for it in found.values())
    habits = _habits(matter.plan, studio.plan, given)
    whole = days_between(matter.begins, matter.ends)
    count = max(1, sum(day_offset(habits, number) < whole for number in range(1, whole + 1)))
    spread = [it.study for it in found.values() if it.entry.day is None]
    days: dict[int, list[publishing.SetTask]] = {number: [] for number in range(1, count + 1)}
    for day in over_days(spread, habits, count):
        days[day.number] += [_told(task, found, desk) for task in day.tasks]
    for it in found.values():
        if it.entry.day is not None:
            if it.entry.day > count:
                what = f"day {it.entry.day} is after the last day of practice, which is day {count}"
                raise ContentError(what, "Give it an earlier day.", line=one.lines.get("set"))
            days[it.entry.day].append(_as_given(it, desk))
    timetable = timetable_of(matter.plan, studio, habits, matter.begins)
    assert timetable is not None, "an assignment says when it begins"
    return publishing.AssignmentPage(
        one.code,
        folder_of_assignment(desk.secret, one.name),
        matter.begins.isoformat(),
        matter.ends.isoformat(),
        to_html(one.word) if one.word.strip() else "",
        tuple(
            publishing.SetDay(
                number, (matter.begins + timedelta(days=day_offset(habits, number))).isoformat(), tuple(tasks)
            )
            for number, tasks in days.items()
        ),
        timetable,
    )


def _habits(plan: HabitsMatter, studio: HabitsMatter, given: bool) -> Habits:
    """Days that a teacher counts herself come one after the other, unless something is said of the days of a week."""
    habits = habits_of(plan, studio)
    return replace(habits, days=DAILY) if given and plan.days is None and studio.days is None else habits


def _found(one: Assignment, desk: Desk) -> Iterable[_Set]:
    """What is set, each line found in its piece; a line without a stage stands for all main stages of the ladder."""
    for number, (entry, line) in enumerate(zip(one.matter.set, one.set_lines, strict=True)):
        slug = slug_meant(entry.piece)
        span = _span_for(one, slug, desk) if slug in desk.pieces else None
        digest = desk.outlines.get(_key(slug, span))
        if digest is None:
            what, remedy = f"the piece '{entry.piece}' is at fault, and cannot be set", "Mend the piece first."
            raise ContentError(what, remedy, one.file, line=line)
        piece: Settable = read_value(desk.studio.store, digest, Settable)
        folder = f"pieces/{slug}/" if span is None else desk.folder_for(ForHand(slug, span))
        with located(one.file, line):
            if entry.stage is None:
                places = [place for place, is_main in enumerate(piece.is_main) if is_main]
            else:
                places = [find_stage(entry.stage, piece.called)]
            bars = find_bars(piece.bars, parse_bars(entry.bars)) if entry.bars else None
        for place in places:
            yield _Set(entry, piece, folder, place, piece.study(place, f"{number} {place}", bars))


def _told(task: Task, found: Mapping[str, _Set], desk: Desk) -> publishing.SetTask:
    it, words = found[task.study], desk.studio.teller.words
    text = words(
        f"plan.{task.kind}",
        stage=it.piece.called[it.place].titles[0],
        minutes=words("plan.minutes", count=task.minutes),
    )
    bars = (task.first, task.last) if not task.whole or it.entry.bars else None
    return _task(it, _with_note(text, it.entry), bars)


def _as_given(it: _Set, desk: Desk) -> publishing.SetTask:
    bars = (it.study.first, it.study.last) if it.entry.bars else None
    return _task(it, _with_note(it.piece.called[it.place].titles[0], it.entry), bars)


def _with_note(text: str, entry: SetMatter) -> str:
    return f"{text}, {entry.note}" if entry.note else text


def _task(it: _Set, text: str, bars: tuple[int, int] | None) -> publishing.SetTask:
    named = tuple(dict.fromkeys(it.piece.bars[place].whole for place in bars)) if bars else ()
    fragment = fragment_of(named[0], named[-1]) if named else ""
    url = f"{_TO_ROOT}{it.folder}stages/{it.piece.called[it.place].name}/index.html{fragment}"
    return publishing.SetTask(it.piece.title, text, named, url)
