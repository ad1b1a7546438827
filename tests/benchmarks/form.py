"""How far phrases and their cadences agree with what returns in variations, and keys with the analysts'.

    python -m tests.benchmarks.form [--works]

Reads the themes and variations of ../shared/harmony (TAVERN, CC BY-SA 4.0: see ../shared/README.md). ``THEMES`` says
for each work where the phrases of its theme begin, as a reader of the theme writes them down; each returns in every
variation that has as many bars. The start of the piece is not counted; a start counts for its bar, or as an upbeat for
the next (``phrase_starts``). Bars in brackets may begin a phrase or not, and are not judged. Slurs and all signs are
seen, for there are few.

starts    precision, recall and F1 of the phrases' starts
alike     F1 of the starts of two variations of a theme, one against the other, over all pairs
cadences  of the phrases that both the theme and the analysis end at a place: the share whose kind is that which the
          last two chords of the analyst make (authentic, half, deceptive, plagal, none); and the same for authentic
          and half cadences one by one, as precision and recall over all ends of the theme
keys      changes of key in the analyses, by the tool and by the analysts (all annotated pieces), and the share of time
          in the analyst's key
"""

from __future__ import annotations

import argparse
import json
from bisect import bisect_right
from collections import Counter, defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import combinations, pairwise
from pathlib import Path

from sitegen.analysis.analysing import analyse
from sitegen.analysis.chords.naming import key_of
from sitegen.analysis.chords.naming_tables import CADENTIAL, target_fifths
from sitegen.analysis.form.cadences import IMPERFECT, PERFECT, cadence_at
from sitegen.analysis.nouns import Analysis, Harmony
from sitegen.fifths import spelled
from sitegen.score import Score, read_score
from tests.benchmarks.phrase_starts import Count, Truth, bar_of_start, starts_of
from tests.benchmarks.shared import SHARED

THEMES = {
    "b063": (16, "5 9 13"),
    "b064": (11, "4 7 9"),
    "b066": (37, "5 9 13 17 (21) (23) (24) 28 (30) 32"),
    "b068": (16, "5 9 13"),
    "b070": (20, "5 9 13 17"),
    "b071": (19, "6 11 15"),
    "b073": (15, "5 9 11 (13)"),
    "b075": (49, "5 9 13 (17) 21 25 (29) 33 37 41 45"),
    "b077": (16, "5 9 13"),
    "b078": (14, "(3) (5) 7 (11)"),
    "bo34": (22, "5 9 (13) 15 19"),
    "bo76": (16, "5 9 13"),
    "m179": (25, "5 9 (12) (14) 18 22"),
    "m265": (24, "(5) 9 13 17 (21)"),
    "m354": (22, "5 9 13 18"),
    "m398": (22, "5 9 13 17 (21)"),
    "m573": (24, "5 9 13 17 21"),
    "m613": (44, "5 9 13 17 (21) 25 (29) 33 37 41"),
}
"""Bars of a theme, and the bars in which its phrases begin."""

FAMILIES = {PERFECT: "authentic", IMPERFECT: "authentic", "half cadence": "half", "": "none"}
"""Kinds that an analyst's chords can tell; where the melody ends they do not say."""


@dataclass(frozen=True, slots=True)
class Variation:
    """A variation, what is found in it, and what is known of it: the rows of its analyst."""

    name: str
    score: Score
    analysis: Analysis
    rows: list

    @property
    def work(self) -> str:
        return self.name.split("-")[1]

    @property
    def is_whole(self) -> bool:
        """Whether it has as many bars as its theme."""
        return self.work in THEMES and max(self.indices) == THEMES[self.work][0]

    @property
    def indices(self) -> dict[int, int]:
        """The index of each bar by its number, as analysts count."""
        shift = int(self.score.bars[0].lead > 0 and self.score.bars[0].number == "1")
        found: dict[int, int] = {}
        for bar in self.score.bars:
            if bar.number.isdigit():
                found.setdefault(int(bar.number) - shift, bar.index)
        return found


def truth_of(variation: Variation) -> Truth:
    """Where phrases begin, and all bars in which none does."""
    _, words = THEMES[variation.work]
    starts = {variation.indices[int(word)] for word in words.split() if "(" not in word}
    open_bars = {variation.indices[int(word.strip("()"))] for word in words.split() if "(" in word}
    bars = {bar.index for bar in variation.score.bars}
    return Truth(frozenset(starts), frozenset(bars - open_bars - {0}))


def heard(score: Score, rows: list, indices: dict[int, int]) -> list[Harmony]:
    """The analyst's rows as harmonies in ticks; those of no bar of the score are left out."""
    ticks = []
    for number, onset, tones, bass, root, numeral, key in rows:
        if number in indices:
            bar = score.bars[indices[number]]
            tick = bar.onset + min(max(0, bar.length - 1), int(Fraction(onset) * score.ticks_per_quarter))
            ticks.append((tick, tones, bass, root, numeral, name_of(key)))
    ticks.sort(key=lambda row: row[0])
    ends = [*[row[0] for row in ticks[1:]], score.end]
    return [
        Harmony(row[0], end - row[0], frozenset(row[1]), row[2], row[3], row[5], cadential(row[4]))
        for row, end in zip(ticks, ends, strict=True)
        if end > row[0]
    ]


def cadential(numeral: str) -> str:
    """An analyst's numeral as we write it."""
    return numeral.replace("Cad64", CADENTIAL)


def name_of(key: str) -> str:
    """``E-`` as we write it: ``Eb major``."""
    return f"{key[0].upper()}{key[1:].replace('-', 'b')} {'minor' if key[0].islower() else 'major'}"


def family_of(harmonies: list[Harmony], start: int, end: int) -> str:
    """The kind of cadence that the last chords of an analyst before ``end`` make; ``none`` for two that make none. The
    last chord may be struck again, or be followed by the one that leads on. ``open`` for an applied dominant and its V:
    a half cadence, or an authentic one in the key of the dominant."""
    last = bisect_right([h.onset for h in harmonies], end - 1) - 1
    for place in (last, last - 1, last - 2):
        if place > 0 and harmonies[place].onset >= start:
            key = local_key(harmonies[place])
            pair = [replace(h, key=key) for h in harmonies[place - 1 : place + 1]]
            found = cadence_at(pair, 1, None)
            if (harmonies[place - 1].numeral or "").endswith("/V") and harmonies[place].numeral == "V":
                return "open"
            if found is not None:
                return family(found.kind)
    return "none"


def local_key(harmony: Harmony) -> str:
    """The key of an analyst's chord: ``I/V`` is a tonic, in the key of the dominant."""
    numeral, _, target = (harmony.numeral or "").partition("/")
    tonic, mode = key_of(harmony.key or "C major")
    above = target_fifths(mode, target)
    if not numeral.startswith(("I", "i")) or above is None:
        return harmony.key or "C major"
    return f"{spelled(tonic + above)} {'minor' if target.islower() else 'major'}"


def family(kind: str) -> str:
    return FAMILIES.get(kind, kind.partition(" ")[0])


def ends_of(variation: Variation) -> Iterator[tuple[str, str | None]]:
    """For each phrase of the theme the kind in which the analyst ends it, and that of the phrase that is found to end
    there: None where none does."""
    score, truth = variation.score, sorted(truth_of(variation).starts)
    theirs = heard(score, variation.rows, variation.indices)
    found = {
        len(score.bars) if phrase.end == score.end else bar_of_start(score, phrase.end): phrase
        for phrase in variation.analysis.phrases
    }
    start, upbeat = 0, score.bars[0].length if score.bars[0].lead else 0
    for bar in [*truth, len(score.bars)]:
        line = score.end if bar == len(score.bars) else score.bars[bar].onset
        phrase = found.get(bar)
        # without the upbeat of the next, which is as long as the first
        end = line if line == score.end else line - upbeat
        yield family_of(theirs, start, end), None if phrase is None else family(phrase.cadence)
        start = line


def changes(harmonies: Sequence[Harmony]) -> int:
    """How often the key changes."""
    keys = [harmony.key for harmony in harmonies if harmony.key]
    return sum(a != b for a, b in pairwise(keys))


def in_key(mine: Sequence[Harmony], theirs: Sequence[Harmony]) -> tuple[int, int]:
    """Ticks in which both have the same key (by tonic and mode), and all ticks of the analyst."""
    onsets = [harmony.onset for harmony in mine]
    same = whole = 0
    for harmony in theirs:
        edges = sorted({harmony.onset, harmony.end, *(o for o in onsets if harmony.onset < o < harmony.end)})
        for start, end in pairwise(edges):
            own = mine[max(0, bisect_right(onsets, start) - 1)].key
            whole += end - start
            same += (end - start) * (own is not None and sound_of(own) == sound_of(harmony.key or ""))
    return same, whole


def sound_of(key: str) -> tuple[int, str]:
    fifths, mode = key_of(key)
    return 7 * fifths % 12, mode


def kinds_table(pairs: Sequence[tuple[str, str | None]]) -> Iterator[str]:
    """How the kinds agree, in lines."""
    pairs = [(theirs, own) for theirs, own in pairs if theirs != "open"]
    both = [(theirs, own) for theirs, own in pairs if own is not None]
    same = sum(theirs == own for theirs, own in both)
    yield f"cadences     same kind {same / max(1, len(both)):.3f} of {len(both)} ends"
    for kind in ("authentic", "half"):
        hit = sum(theirs == own == kind for theirs, own in pairs)
        named, true = sum(own == kind for _, own in pairs), sum(theirs == kind for theirs, _ in pairs)
        yield f"  {kind:10} precision {hit / max(1, named):.3f}  recall {hit / max(1, true):.3f}  ({true})"
    for (theirs, own), count in Counter(both).most_common():
        if theirs != own:
            yield f"  {theirs} taken for {own}: {count}"


def read(name: str, file: Path) -> Variation:
    """A piece, analysed."""
    score = read_score(file)
    rows = json.loads((file.parent / "analysis.json").read_text())
    return Variation(name, score, analyse(score), rows)


def report(found: Sequence[Variation], works: bool) -> None:
    """Print all measures."""
    whole = [one for one in found if one.is_whole]
    by_work: dict[str, list[Variation]] = defaultdict(list)
    for one in whole:
        by_work[one.work].append(one)
    total, alike, pairs = Count(), Count(), []
    for work, variations in by_work.items():
        count = Count()
        for one in variations:
            count.add(starts_of(one.score, one.analysis), truth_of(one))
            total.add(starts_of(one.score, one.analysis), truth_of(one))
            pairs += list(ends_of(one))
        for one, other in combinations(variations, 2):
            alike.add(numbers(one), Truth(frozenset(numbers(other))))
        if works:
            print(f"  {work:10} {count}  {len(variations)} variations")
    print(f"starts       {total}")
    print(f"alike        F1 {alike.f1:.3f}")
    print("\n".join(kinds_table(pairs)))
    for group, prefix in (("sonatas", "k"), ("preludes", "wtc"), ("variations", "var")):
        some = [one for one in found if one.name.startswith(prefix)]
        theirs = [heard(one.score, one.rows, one.indices) for one in some]
        ours = sum(changes(one.analysis.harmonies) for one in some)
        shares = [in_key(one.analysis.harmonies, rows) for one, rows in zip(some, theirs, strict=True)]
        same, ticks = (
            sum(share[i] / one.score.ticks_per_quarter for share, one in zip(shares, some, strict=True)) for i in (0, 1)
        )
        if some:
            print(
                f"keys {group:12} changes {ours}, the analysts' {sum(map(changes, theirs))}; "
                f"same key {same / ticks:.3f}"
            )


def numbers(variation: Variation) -> set[int]:
    """The numbers of the bars in which phrases are found to begin."""
    by_index = {index: number for number, index in variation.indices.items()}
    return {by_index[bar] for bar in starts_of(variation.score, variation.analysis) if bar in by_index}


def main() -> None:
    """Print the measures."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--works", action="store_true", help="starts of each work")
    options = parser.parse_args()
    if not SHARED.exists():
        print(f"skipped: no scores in {SHARED}")
        return
    folders = [f for f in sorted((SHARED / "harmony/pieces").iterdir()) if f.name.startswith(("k", "var", "wtc"))]
    report([read(folder.name, next(folder.glob("score.*"))) for folder in folders], options.works)


if __name__ == "__main__":
    main()
