"""A piece looked at with every validation: the same for ``check``, ``preview`` and ``build``."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from sitegen.building.asking import (
    Studio,
    asked_of,
    called,
    lines_of,
    own_files,
    placed,
    placed_finding,
    without_place,
)
from sitegen.building.faults import fault_of, is_passing
from sitegen.building.scheduling import Plan
from sitegen.building.steps.faults import Fault, error_of
from sitegen.building.steps.nouns import Opened, ScoreOutline
from sitegen.building.steps.running import ONE, read_value
from sitegen.building.steps.stages import StageAtAGlance
from sitegen.building.steps.table import ANALYSIS, EXAMINATION, IDLE_WISHES, LADDER, OPENING, READING, WISHES, Call
from sitegen.checking import Finding, findings_of
from sitegen.checking.cases import WrittenPiece
from sitegen.checking.validations import check_draft
from sitegen.errors import ContentError, FaultsError, ScoreError, SitegenError, each_fault
from sitegen.library import Piece
from sitegen.library.folders import is_file_of
from sitegen.score.formats import read_bytes
from sitegen.score.lengths import refuse_beyond_memory

FIRST = 1_000_000  # the weight of what all else of a piece waits for


@dataclass(frozen=True, slots=True)
class Read:
    """A score that was read: the digests of its text, its rights, the ``Score`` and the ids of its notes."""

    about: Opened
    outline: ScoreOutline
    text: str
    rights: str
    score: str
    heads: str


@dataclass(frozen=True, slots=True)
class Understood:
    """A piece that is understood: its score, and the digests of wishes, analysis and stages."""

    read: Read
    wishes: str
    analysis: str
    rungs: tuple[StageAtAGlance, ...]
    ladder: Mapping[str, str]

    @property
    def stages(self) -> tuple[str, ...]:
        """The digest of each stage, without its notes."""
        return tuple(self.ladder[f"{rung.slug}/stage"] for rung in self.rungs)

    @property
    def notes(self) -> tuple[str, ...]:
        """The digest of the notes of each stage."""
        return tuple(self.ladder[f"{rung.slug}/notes"] for rung in self.rungs)


@dataclass(frozen=True, slots=True)
class Looked:
    """What was found in a piece, and its music where it could be understood."""

    findings: tuple[Finding, ...]
    understood: Understood | None
    at_fault: bool = False  # in a field of its piece, told with the library's
    passing: bool = False  # as of ``Outcome``

    @property
    def is_publishable(self) -> bool:
        """Whether nothing keeps it from being published."""
        return (
            not self.at_fault
            and self.understood is not None
            and all(finding.severity != "error" for finding in self.findings)
        )


def look_at(piece: Piece, studio: Studio) -> Plan:
    """Everything that can be said of ``piece`` (``Looked``) but for wishes that change nothing. What goes wrong is
    found, not raised."""
    found: list[Finding] = []
    read: Read | None = None
    understood: Understood | None = None
    passing = False
    try:
        found += check_draft(WrittenPiece(piece, studio.matter, studio.neighbours))
    except Exception as error:
        found += findings_of(fault_of(error, piece), "error", piece.slug)
    try:
        read = yield from read_score(piece, piece.matter.score, studio)
        understood = yield from understand(piece, read, studio)
    except Exception as error:
        found += findings_of(fault_of(error, piece), "error", piece.slug)
        passing = is_passing(error)
        if isinstance(error, ScoreError) or read is None:
            return Looked(tuple(found), None, piece.at_fault, passing)
    try:
        inputs: dict[str, Any] = {
            "piece": studio.put(without_place(piece)),
            "studio": studio.put(studio.matter),
            "score": read.score,
            "stages": understood.stages if understood else (),
            "notes": understood.notes if understood else (),
            "rights": read.rights,
            "words": studio.put(studio.teller.words),
        }
        examined = yield from called(Call(EXAMINATION, inputs), piece)
        told: tuple[Finding, ...] = read_value(studio.store, examined[ONE], tuple[Finding, ...])
        found += (f for f in (placed_finding(one, piece) for one in told) if f not in found)
    except Exception as error:
        found += (f for f in findings_of(fault_of(error, piece), "error", piece.slug) if f not in found)
        passing |= is_passing(error)
    return Looked(tuple(found), understood, piece.at_fault, passing)


def read_score(piece: Piece, name: str, studio: Studio) -> Plan:
    """The score called ``name`` in the folder of ``piece``, as ``Read``. Raises ``ScoreError``."""
    data = read_bytes(piece.folder / name)
    weight = FIRST + len(data)
    file = {"data": studio.store.put(data)}
    opened = yield from called(Call(OPENING, file, {"name": name}, weight=weight), piece)
    about = read_value(studio.store, opened["about"], Opened)
    refuse_beyond_memory(about.counted, studio.limits, piece.folder / name)
    inputs = {"text": opened["text"], "about": opened["about"]}
    read = yield from called(Call(READING, inputs, weight=weight), piece)
    outline = read_value(studio.store, read["outline"], ScoreOutline)
    return Read(about, outline, opened["text"], opened["rights"], read["score"], read["heads"])


def understand(piece: Piece, read: Read, studio: Studio) -> Plan:
    """A piece as ``Understood``, with what its teacher asks for. Raises ``ScoreError`` or ``ContentError`` naming file
    and place, or ``FaultsError`` where several wishes are not understood, or match nothing, or two things."""
    if not read.outline.notes:
        raise ScoreError("holds no notes", "Check the export: only rests were found.", piece.score)
    lines, weight = lines_of(piece), FIRST + read.outline.notes
    own, told, own_lines = yield from _own_scores(piece, studio)
    asked = studio.put(asked_of(piece, own, studio))
    inputs: dict[str, Any] = {"score": read.score, "asked": asked, "own": tuple(own.values())}
    try:
        wished = yield from called(Call(WISHES, inputs, weight=weight), piece, lines)
    except SitegenError as error:
        _raise_all([*told, *(fault for fault in each_fault(error) if fault.line not in own_lines)])
    _raise_all(told)
    inputs = {"score": read.score, "readings": wished["readings"]}
    analysed = yield from called(Call(ANALYSIS, inputs, weight=weight), piece, lines)
    inputs = {"score": read.score, "analysis": analysed[ONE], "wishes": wished["wishes"]}
    ladder = yield from called(Call(LADDER, inputs, weight=weight), piece, lines)
    rungs = read_value(studio.store, ladder["outline"], tuple[StageAtAGlance, ...])
    return Understood(read, wished["wishes"], analysed[ONE], rungs, ladder)


def idle_wishes(piece: Piece, studio: Studio, looked: Looked) -> Plan:
    """A warning for each adjustment that changes nothing. It costs an analysis or a ladder for each that may be so: a
    preview asks for it when the page is there."""
    if looked.understood is None or not piece.adjustments:
        return ()
    try:
        inputs = {"score": looked.understood.read.score, "wishes": looked.understood.wishes}
        idle = yield from called(Call(IDLE_WISHES, inputs), piece, lines_of(piece))
        told = read_value(studio.store, idle[ONE], tuple[Fault, ...])
    except Exception as error:
        found = findings_of(fault_of(error, piece), "error", piece.slug)
        return tuple(finding for finding in found if finding not in looked.findings)
    errors = [placed(error_of((fault,)), piece, lines_of(piece)) for fault in told]
    return tuple(finding for error in errors for finding in findings_of(error, "warning", piece.slug))


def _own_scores(piece: Piece, studio: Studio) -> Plan:
    """The digests of the scores that the teacher gives as stages, by name; a fault for each that cannot be read, and
    the lines on which these are named."""
    own: dict[str, str] = {}
    lines: set[int] = set()
    told: list[SitegenError] = []
    for name, line in own_files(piece):
        try:
            if not is_file_of(piece.folder, name):
                remedy = "Put it in the folder of the piece."
                raise ContentError(f"'{name}' is not there", remedy, piece.file, line=line)
            own[name] = (yield from read_score(piece, name, studio)).score
        except SitegenError as error:
            told += each_fault(error)
            lines.add(line)
    return own, told, lines


def _raise_all(told: list[SitegenError]) -> None:
    if told:
        told.sort(key=lambda fault: fault.line or 0)
        raise told[0] if len(told) == 1 else FaultsError(told)
