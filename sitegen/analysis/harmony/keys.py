"""Which chords are heard in a key of their own, and which are applied to a degree of the key around them.

A key is left when a cadence confirms another, or when the music stays there; a dominant that leads to a degree and the
degree itself, between chords of one key, are chords of that key, ``V7/V`` and ``V`` (Kostka and Payne, Tonal Harmony,
ch. 16 and 18: tonicization and modulation; Aldwell and Schachter, ch. 14).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from sitegen.analysis.chords import BY_TONES, PLACES, key_of, tonic_of
from sitegen.analysis.nouns import Harmony
from sitegen.analysis.readings import KeyReading
from sitegen.analysis.reasons import TEACHERS_READING
from sitegen.score import Score
from sitegen.score.metre import HALF_BAR, bar_ticks, metrical_level

LASTING = 3  # bars, most of a phrase: what lasts as long is a key without a cadence
CONFIRMED = 1.5  # bars: what is shorter is no key with one either, for its cadence is all that it has
_FIFTH, _LEADING = 7, 11


@dataclass(frozen=True, slots=True)
class _Region:
    """The harmonies from ``first`` up to ``last`` (not with it), which are all of one key."""

    first: int
    last: int
    key: str


def settle_keys(score: Score, harmonies: Sequence[Harmony], said: Sequence[KeyReading] = ()) -> tuple[Harmony, ...]:
    """The harmonies, not yet named, with those of a passing key given to the key before and after, if that has names
    for all of them. What the teacher has ``said`` of keys and chords stays."""
    found = list(harmonies)
    # what is shortest passes first, and may join what lies about it to one key
    while (passing := _shortest_passing(score, found, said)) is not None:
        region, key = passing
        for place in range(region.first, region.last):
            if found[place].key is not None:
                found[place] = replace(found[place], key=key, degree="")
    return tuple(found)


def _shortest_passing(
    score: Score, harmonies: Sequence[Harmony], said: Sequence[KeyReading]
) -> tuple[_Region, str] | None:
    """The shortest region that is no key of its own, and the key to which its chords belong."""
    regions = _regions(harmonies)
    best: tuple[int, int, _Region, str] | None = None
    for place, region in enumerate(regions):
        around = {region.key for region in regions[max(0, place - 1) : place + 2]} - {region.key}
        between = 0 < place < len(regions) - 1 and len(around) == 1
        if not between or _stands(score, harmonies, region) or _is_said(harmonies, region, said):
            continue
        [key] = around
        known = all(_is_known(harmony, key) for harmony in harmonies[region.first : region.last])
        length = harmonies[region.last - 1].end - harmonies[region.first].onset
        if known and (best is None or (length, place) < best[:2]):
            best = (length, place, region, key)
    return None if best is None else best[2:]


def _regions(harmonies: Sequence[Harmony]) -> list[_Region]:
    """The stretches of one key; a harmony without a key belongs to what comes before it."""
    starts = [i for i, harmony in enumerate(harmonies) if harmony.key is not None]
    begins = [i for n, i in enumerate(starts) if not n or harmonies[i].key != harmonies[starts[n - 1]].key]
    return [_Region(a, b, harmonies[a].key or "") for a, b in pairwise([*begins, len(harmonies)])]


def _stands(score: Score, harmonies: Sequence[Harmony], region: _Region) -> bool:
    """Whether a region is a key: it lasts for most of a phrase, or a cadence confirms it."""
    start, end = harmonies[region.first].onset, harmonies[region.last - 1].end
    bars = (end - start) / bar_ticks(score, start)
    if bars >= LASTING:
        return True
    chords = harmonies[region.first : region.last]
    return bars >= CONFIRMED and (
        any(chord.degree == "Cad" for chord in chords)
        or any(_closes(score, one, other) for one, other in pairwise(chords))
    )


def _closes(score: Score, dominant: Harmony, tonic: Harmony) -> bool:
    """Whether two chords are an authentic cadence with both on their roots, whose tonic comes on a strong beat."""
    if tonic.key is None or tonic.root != tonic_of(tonic.key) or dominant.root is None:
        return False
    above = (dominant.root - tonic.root) % 12
    leading = (tonic.root + _LEADING) % 12 in dominant.pitch_classes
    on_roots = dominant.bass == dominant.root and tonic.bass == tonic.root
    return above == _FIFTH and leading and on_roots and metrical_level(score, tonic.onset) >= HALF_BAR


def _is_said(harmonies: Sequence[Harmony], region: _Region, said: Sequence[KeyReading]) -> bool:
    start, end = harmonies[region.first].onset, harmonies[region.last - 1].end
    return any(harmonies[i].reasons == TEACHERS_READING for i in range(region.first, region.last)) or any(
        one.onset < end and start < one.end for one in said
    )


def _is_known(harmony: Harmony, key: str) -> bool:
    """Whether a key has a chord, of its own or applied to one of its degrees."""
    if harmony.root is None:
        return True
    tonic, mode = key_of(key)
    quality = BY_TONES.get(frozenset((pc - harmony.root) % 12 for pc in harmony.pitch_classes))
    return quality is not None and ((harmony.root - 7 * tonic) % 12, quality.stands_for or quality.name) in PLACES[mode]
