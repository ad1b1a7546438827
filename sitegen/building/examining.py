"""A piece looked at with every validation: the same for ``check``, ``preview`` and ``build``."""

from __future__ import annotations

from dataclasses import dataclass

from sitegen.building.cache import Cache
from sitegen.building.faults import fault_of
from sitegen.building.paging import plan_of
from sitegen.building.preparing import Understood, understand, without_effect_of
from sitegen.building.telling import Teller
from sitegen.checking import Case, Draft, Finding, check_case, check_draft, findings_of
from sitegen.errors import ScoreError
from sitegen.library import Piece, StudioMatter
from sitegen.score import open_source, read_score
from sitegen.score.rights import rights_of


@dataclass(frozen=True, slots=True)
class Examined:
    """What was found in a piece, and its music where it could be understood."""

    findings: tuple[Finding, ...]
    understood: Understood | None
    at_fault: bool = False  # in a field of its piece, told with the library's

    @property
    def is_publishable(self) -> bool:
        """Whether nothing keeps it from being published."""
        return (
            not self.at_fault
            and self.understood is not None
            and all(finding.severity != "error" for finding in self.findings)
        )


def examine(piece: Piece, studio: StudioMatter, neighbours: frozenset[str], cache: Cache, teller: Teller) -> Examined:
    """Everything that can be said of ``piece``, whatever else is at fault. Raises nothing: what goes wrong is found."""
    looked = look_at(piece, studio, neighbours, cache, teller)
    found = (*looked.findings, *idle_wishes(piece, studio, looked, cache, teller))
    return Examined(found, looked.understood, looked.at_fault)


def idle_wishes(
    piece: Piece, studio: StudioMatter, looked: Examined, cache: Cache, teller: Teller
) -> tuple[Finding, ...]:
    """A warning for each adjustment that changes nothing. It costs an analysis or a ladder for each that may be so: a
    preview asks for it when the page is there."""
    if looked.understood is None or not piece.adjustments:
        return ()
    try:
        told = without_effect_of(piece, looked.understood, piece.matter.hand or studio.hand, cache, teller)
    except Exception as error:
        found = findings_of(fault_of(error, piece), "error", piece.slug)
        return tuple(finding for finding in found if finding not in looked.findings)
    return tuple(f for error in told for f in findings_of(error, "warning", piece.slug, piece.file))


def look_at(piece: Piece, studio: StudioMatter, neighbours: frozenset[str], cache: Cache, teller: Teller) -> Examined:
    """What ``examine`` says, but for adjustments that change nothing."""
    draft = Draft(piece, studio, neighbours)
    found = list(check_draft(draft))
    span = piece.matter.hand or studio.hand
    understood: Understood | None = None
    try:
        understood = understand(piece, span, cache, teller)
        plan_of(piece, understood, teller)
    except Exception as error:
        found += findings_of(fault_of(error, piece), "error", piece.slug)
        if isinstance(error, ScoreError) and understood is None:
            return Examined(tuple(found), None, piece.at_fault)
    try:
        source = understood.source if understood else open_source(piece.score)
        score = understood.score if understood else read_score(source)
        stages = understood.stages if understood else ()
        names = tuple(teller.called(stage) for stage in stages)
        found += check_case(Case(draft, score, stages, span, rights_of(source), names))
    except Exception as error:
        found += (f for f in findings_of(fault_of(error, piece), "error", piece.slug) if f not in found)
    return Examined(tuple(found), understood, piece.at_fault)
