"""The ladders, laid out from what each technique says of its place.

A rung stands after the one that it names. Of several that name the same one, side studies come first, for they stand
beside it; then those come first that fewest others build on, so that a new rung goes in between two that were there.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from functools import cache

from sitegen.reduction.techniques.registry import techniques
from sitegen.reduction.techniques.rungs import LADDERS, Rung


@cache
def ladders() -> Mapping[str, tuple[Rung, ...]]:
    """The rungs of each ladder, by its name, fewest notes first. Raises ``ValueError`` for a technique that stands
    on a ladder that there is not, or after one that the ladder does not have."""
    found: dict[str, list[Rung]] = {name: [] for name in LADDERS}
    for rung in (rung for row in techniques().values() for rung in row.on):
        if rung.ladder not in found:
            raise ValueError(f"'{rung.technique}' is for the ladder '{rung.ladder}'; there are {', '.join(LADDERS)}")
        found[rung.ladder].append(rung)
    return {name: laid_out(rungs) for name, rungs in found.items()}


def laid_out(rungs: Iterable[Rung]) -> tuple[Rung, ...]:
    """The rungs of one ladder in their order, whatever order they come in. Raises ``ValueError`` where one stands after
    none of them, or after itself."""
    following: dict[str, list[Rung]] = {}
    for rung in rungs:
        following.setdefault(rung.after, []).append(rung)
    found = [rung for branch in _branches(following, "") for rung in branch]
    for rung in (rung for after in following.values() for rung in after):
        if rung not in found:
            raise ValueError(
                f"'{rung.technique}' stands after '{rung.after}', which ladder '{rung.ladder}' does not have"
            )
    return tuple(found)


def _branches(following: Mapping[str, Sequence[Rung]], name: str) -> Iterator[list[Rung]]:
    """What follows the rung called ``name``: each rung with all that builds on it."""
    branches = [
        [rung, *(other for branch in _branches(following, rung.technique) for other in branch)]
        for rung in following.get(name, ())
    ]
    yield from sorted(branches, key=lambda branch: (not branch[0].side, len(branch), branch[0].technique))
