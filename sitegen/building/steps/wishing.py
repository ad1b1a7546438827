"""What the teacher asks for, understood and found in the score."""

from __future__ import annotations

from sitegen.analysis import NONE_GIVEN
from sitegen.building.steps.nouns import Asked, Outputs
from sitegen.errors import FaultsError, SitegenError
from sitegen.places.stages import plain
from sitegen.reduction import Wish, Wishes
from sitegen.reduction.adjustments import parse_what_can_be, readings_of, unmatched
from sitegen.score.nouns import Score


def wish(score: Score, asked: Asked, own: tuple[Score, ...]) -> Outputs:
    """``wishes``, and the ``readings`` among them by ticks and ids. Raises ``ContentError`` for what is not understood
    or matches nothing, ``FaultsError`` for several."""
    wishes, told = wishes_in(asked, own)
    told += unmatched(score, wishes)
    if told:
        told.sort(key=lambda fault: fault.line or 0)
        raise told[0] if len(told) == 1 else FaultsError(told)
    return Outputs(wishes=wishes, readings=readings_of(score, wishes) if wishes.readings else NONE_GIVEN)


def wishes_in(asked: Asked, own: tuple[Score, ...]) -> tuple[Wishes, list[SitegenError]]:
    """The wishes that are in good form, and a fault for each that is not."""

    def in_english(name: str) -> str:
        return next((term for term, told in asked.terms.items() if plain(told) == plain(name)), name)

    wishes, faults = parse_what_can_be(
        [Wish(*entry) for entry in asked.adjustments],
        asked.file,
        [Wish(*entry) for entry in asked.stages],
        dict(zip(asked.own, own, strict=True)),
        asked.span,
        in_english,
    )
    return wishes, list(faults.found)
