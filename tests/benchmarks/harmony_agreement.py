"""How far the harmonies agree with human analysts, in one process.

    python -m tests.benchmarks.harmony_agreement [FOLDER] [--only k545 wtc1] [--pieces]
        [--cross-validate [--divide-composers]]

FOLDER (``../shared/harmony``) holds ``score.py``, whose measures are used, and ``pieces/``. ``--cross-validate`` fits
the weights anew for each fifth of the pieces, without any by the composers of that fifth (preludes of one composer
are divided), and measures on it; sonatas are measured with weights fitted to all that is not a sonata, as always.
With ``--divide-composers`` the pieces are dealt out in turn, so that a piece is unknown but its composer is not.
With a second analyst's file at hand, the last lines tell how much of the disagreement that analyst shares.
"""

from __future__ import annotations

import argparse
from collections import defaultdict
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path
from types import ModuleType

from sitegen.analysis import Harmony, analyse
from sitegen.analysis.harmony.finding import hear
from sitegen.analysis.harmony.weights import Fitted
from sitegen.score import Score, read_score
from tests.benchmarks.annotated import fold_of, load
from tests.benchmarks.chorales import chorales
from tests.benchmarks.fit_harmony import begin_without, fit_without
from tests.benchmarks.shared import measures_in, places_in

GROUPS = {"k": "sonata movements", "w": "preludes", "s": "songs", "v": "variations"}


def report_of(score: Score, harmonies: tuple[Harmony, ...], foreign: Callable[[str], bool]) -> dict:
    """The fields of the contract that the measures read."""

    def place(tick: int) -> dict:
        bar = score.bar_at(tick)
        return {"bar": bar.index, "onset": str(score.quarters(tick - bar.onset))}

    return {
        "bars": [{"index": b.index, "number": b.number, "length": str(score.quarters(b.length))} for b in score.bars],
        "harmonies": [
            {**place(h.onset), "pitch_classes": sorted(h.pitch_classes), "bass": h.bass, "root": h.root}
            for h in harmonies
        ],
        "notes": [
            {
                **place(n.onset), "midi": n.midi, "grace": n.grace,
                "function": "free" if foreign(n.id) else "chord tone",
            }
            for n in score.notes
        ],
    }  # fmt: skip


def analysed(score: Score) -> dict:
    """The report of the whole analysis as it is."""
    analysis = analyse(score)
    return report_of(score, analysis.harmonies, lambda note: analysis.notes[note].function != "chord tone")


def heard_with(score: Score, model: Fitted) -> dict:
    """The report of harmonies alone with other weights: notes are foreign when their pitch class is."""
    harmonies = hear(score, model)
    own: dict[str, bool] = {}
    position = 0
    for note in score.notes:
        while position + 1 < len(harmonies) and harmonies[position].end <= note.onset:
            position += 1
        own[note.id] = note.grace or note.midi % 12 not in harmonies[position].pitch_classes
    return report_of(score, harmonies, own.__getitem__)


def grids_of(measures: ModuleType, place: Path, report: dict) -> tuple[dict, dict, dict | None, list]:
    """By cell what a report, the analyst and the second analyst (None without one) hear; and the report's notes."""
    lengths, rows, notes = measures.read(report)
    other = place / "second-analysis.json"
    return (
        measures.spread(rows, lengths),
        measures.spread(measures.human(place / "analysis.json"), lengths),
        measures.spread(measures.human(other), lengths) if other.exists() else None,
        notes,
    )


def each_heard(measures: ModuleType, folder: Path, only: Sequence[str]) -> Iterator[tuple[Path, str, tuple]]:
    """Each piece of ``folder`` whose name begins as one of ``only``, with its collection and the ``grids_of`` it as it
    is analysed."""
    for place in places_in(folder / "pieces", only):
        group = GROUPS.get(place.name[0], place.name[0])
        yield place, group, grids_of(measures, place, analysed(read_score(next(place.glob("score.*")))))


def measure(measures: ModuleType, place: Path, report: dict) -> tuple[dict, dict | None, tuple[int, int]]:
    """Agreement of a report, and of the second analyst, with the first; cells of disagreement, and those shared."""
    grid, truth, second, notes = grids_of(measures, place, report)
    mine = measures.compare(grid, truth, notes, lambda m, o, pc, own, grace: own)
    if second is None:
        return mine, None, (0, 0)

    def foreign(bar: int, onset: object, pc: int, _own: bool, grace: bool) -> bool:
        cell = (bar, int(onset / measures.CELL))
        return grace or (cell in second and pc not in second[cell][0])

    wrong = [c for c in truth if c in grid and c in second and grid[c][0] != truth[c][0]]
    shared = sum(second[c][0] != truth[c][0] for c in wrong)
    return mine, measures.compare(second, truth, notes, foreign), (len(wrong), shared)


def cross_validated(folder: Path, scores: dict[str, Score], divide: bool) -> dict[str, dict]:
    """A report of each piece but sonatas by weights fitted without its composer, or without its work alone if composers
    are to be divided. Chorales are dealt out in turn.

    Each fold is begun with weights of its own, fitted to nothing of the fold. What is heard at first in the pieces that
    are fitted to comes from weights that may know pieces of the fold that is left out: it decides nothing but how much
    a piece's own rhythm weighs.
    """
    names = [name for name in scores if not name.startswith("k")]
    pieces = [*load(folder / "pieces", tuple(names)), *chorales()]
    folds = fold_of(pieces, divide)
    models = fit_without(pieces, folds, begin_without(pieces, folds))
    fold_by_name = {piece.name: fold for piece, fold in zip(pieces, folds, strict=True)}
    # what could not be fitted to is in no fold, and may be measured with any
    return {name: heard_with(scores[name], models[fold_by_name.get(name, 0)]) for name in names}


def show(title: str, rows: list[dict], fields: tuple[str, ...]) -> None:
    """One line: the mean of ``rows`` weighted by their length."""
    total = sum(r["n"] for r in rows)
    print(f"{title:34}", *(f"{field} {sum(r[field] * r['n'] for r in rows) / total:.3f}" for field in fields))


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("folder", nargs="?", type=Path, default=Path("../shared/harmony"))
    parser.add_argument("--only", nargs="*", default=[""])
    parser.add_argument("--pieces", action="store_true")
    parser.add_argument("--cross-validate", action="store_true")
    parser.add_argument("--divide-composers", action="store_true")
    options = parser.parse_args()
    measures = measures_in(options.folder)
    places = places_in(options.folder / "pieces", options.only)
    scores = {place.name: read_score(next(place.glob("score.*"))) for place in places}
    reports = cross_validated(options.folder, scores, options.divide_composers) if options.cross_validate else {}
    groups: dict[str, list] = defaultdict(list)
    for place in places:
        report = reports.get(place.name) or analysed(scores[place.name])
        result = measure(measures, place, report)
        groups[place.name[0]].append(result)
        if options.pieces:
            show(place.name, [result[0]], measures.FIELDS)
    kind = "cross-validated" if options.cross_validate else "weights as they are"
    for letter, results in sorted(groups.items()):
        title = GROUPS.get(letter, letter)
        show(f"{title}, {kind if letter != 'k' else 'not fitted to'}", [r[0] for r in results], measures.FIELDS)
        if others := [r[1] for r in results if r[1]]:
            show(f"{title}, second analyst", others, measures.FIELDS)
        if wrong := sum(r[2][0] for r in results):
            shared = sum(r[2][1] for r in results)
            print(f"{title}: the second analyst also differs in {shared / wrong:.0%} of the cells where we do")


if __name__ == "__main__":
    main()
