"""Remarks on the chords, as the analysis has them."""

from __future__ import annotations

from collections import Counter

from sitegen.reduction.material import Material
from sitegen.reduction.nouns import Sentence, Stage
from sitegen.reduction.remarks.wording import bar_of, key_name, say


def quickening(material: Material, stage: Stage) -> list[Sentence]:
    """The first bar in which the harmony changes more often than in any before it, at least three times."""
    counts = Counter(material.score.bar_at(h.onset).index for h in material.analysis.harmonies if h.pitch_classes)
    if not counts:
        return []
    most = max(counts.values())
    bar = min(index for index, count in counts.items() if count == most)
    if most < 3 or bar == min(counts):
        return []
    return [say("harmony quickens", bar=material.score.bars[bar].number, count=str(most))]


def resting(material: Material, stage: Stage) -> list[Sentence]:
    """The longest harmony, if it lasts over two bars or more."""
    named = [h for h in material.analysis.harmonies if h.symbol]
    if not named:
        return []
    longest = max(named, key=lambda h: (h.duration, -h.onset))
    first, last = material.score.bar_at(longest.onset), material.score.bar_at(longest.end - 1)
    if last.index == first.index:
        return []
    return [say("harmony rests", bar=first.number, to_bar=last.number, chord=longest.symbol or "")]


def new_key(material: Material, stage: Stage) -> list[Sentence]:
    """Where the key first becomes another than at the beginning."""
    named = [h for h in material.analysis.harmonies if h.key]
    changed = next((h for h in named if h.key != named[0].key), None)
    if changed is None or changed.key is None:
        return []
    return [say("new key", bar=bar_of(material, changed.onset), key=key_name(changed.key))]


def tension(material: Material, stage: Stage) -> list[Sentence]:
    """The chord of the greatest tension, if it is followed by another."""
    values = {t.onset: t.value for t in material.analysis.tension}
    named = [h for h in material.analysis.harmonies[:-1] if h.symbol and h.onset in values]
    if not named:
        return []
    top = max(named, key=lambda h: (values[h.onset], -h.onset))
    return [say("tension", bar=bar_of(material, top.onset), chord=top.symbol or "")]


def returns(material: Material, stage: Stage) -> list[Sentence]:
    """The chord that comes most often."""
    counts = Counter(h.symbol for h in material.analysis.harmonies if h.symbol)
    if not counts or max(counts.values()) < 2:
        return []
    often = max(counts, key=lambda symbol: counts[symbol])
    first = next(h for h in material.analysis.harmonies if h.symbol == often)
    fields = {"chord": often or "", "count": str(counts[often]), "bar": bar_of(material, first.onset)}
    return [say("chord returns", **fields)]


def cadence(material: Material, stage: Stage) -> list[Sentence]:
    """The cadences that the analysis found at the ends of phrases, the last first."""
    phrases = [p for p in reversed(material.analysis.phrases) if p.cadence]
    return [say("cadence", bar=bar_of(material, p.end - 1), cadence=p.cadence) for p in phrases[:1]]
