"""How many of a score's signs its reduced stages keep, of those whose notes they keep.

    python -m tests.benchmarks.signs_kept [--files] [--lost KIND] [NAME ...]

Reads ../shared/scores and the studio's pieces in content/; builds each ladder, writes each stage but the last as
MusicXML, reads that file again, and compares it with the score by onset, pitch and text alone. A sign counts where the
stage strikes the notes it belongs to at their onsets and pitches:

slur          its first and its last note
dynamic       a note struck at its place, on its staff or across the space between the staves in which it stands
words         the same
hairpin       the first and the last note struck from its beginning to its end, on the same staves, at least two
articulation  its note; "short" where it shortens (staccato ...), of a note that is not held longer than in the score
              or not beyond its beat: that is a value which it can belong to; "short, longer" of one that is
fermata       its note
fingering     its note, and all that its hand strikes then, before and after
pedal         the lowest note that sounds where it goes down
octave        at least one of the notes under it, on its staff: all of them that are struck there are under one
metre         C and C with a stroke, one for each change of metre
"""

from __future__ import annotations

import argparse
from collections import Counter, defaultdict
from collections.abc import Iterator
from fractions import Fraction
from pathlib import Path
from tempfile import TemporaryDirectory

from sitegen.analysis.analysing import analyse
from sitegen.errors import SitegenError
from sitegen.notation import write_stage
from sitegen.reduction import Stage, build_ladder
from sitegen.score import Note, Score, Sign, read_score
from tests.benchmarks.shared import SHARED

SHORT = {"staccato", "staccatissimo", "spiccato", "detached-legato"}
ROUNDING = Fraction(1, 8)  # of a quarter: a stage without triplets counts in coarser ticks
Struck = tuple[Fraction, int]


def main() -> int:
    """Print the share of each kind."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("names", nargs="*", help="only scores whose path holds one of these")
    parser.add_argument("--files", action="store_true", help="a line for each score too")
    parser.add_argument("--lost", metavar="KIND", help="list the signs of this kind that are lost")
    options = parser.parse_args()
    root = Path(__file__).parents[2]
    files = sorted((SHARED / "scores").glob("*")) + sorted((root / "content").glob("*/score.*"))
    files = [file for file in files if not options.names or any(name in str(file) for name in options.names)]
    due: Counter[str] = Counter()
    kept: Counter[str] = Counter()
    for file in files:
        try:
            score = read_score(file)
        except SitegenError as error:
            print(f"{file}: cannot be read: {error}")
            continue
        here_due: Counter[str] = Counter()
        here: Counter[str] = Counter()
        for stage in build_ladder(score, analyse(score)):
            if stage.as_written:
                continue
            written = _reread(score, stage)
            for kind, what, stays in signs_due(score, written):
                here_due[kind] += 1
                here[kind] += stays
                if kind == options.lost and not stays:
                    print(f"{file.name}, {stage.slug}: {what}")
        if options.files:
            print(file.name, {kind: f"{here[kind]}/{n}" for kind, n in sorted(here_due.items())})
        due += here_due
        kept += here
    for kind, number in sorted(due.items()):
        print(f"{kind:28s}{kept[kind] / number:7.3f}   {kept[kind]} of {number}")
    return 0


def _reread(score: Score, stage: Stage) -> Score:
    with TemporaryDirectory() as folder:
        path = Path(folder) / "stage.musicxml"
        path.write_text(write_stage(score, stage), encoding="utf-8")
        return read_score(path)


class _Notes:
    """Notes by where they are struck, all in quarters."""

    def __init__(self, score: Score) -> None:
        self.score = score
        self.struck: dict[Struck, list[Note]] = defaultdict(list)
        for n in score.notes:
            self.struck[self.key(n)].append(n)
        self.onsets: dict[int, dict[Fraction, set[int]]] = defaultdict(lambda: defaultdict(set))
        for n in score.notes:
            self.onsets[n.staff][score.quarters(n.onset)].add(n.midi)

    def key(self, note: Note) -> Struck:
        return self.score.quarters(note.onset), note.midi


def signs_due(score: Score, written: Score) -> Iterator[tuple[str, str, bool]]:
    """Each sign whose notes ``written`` keeps: its kind, what it is, whether it is there."""
    ours, theirs = _Notes(score), _Notes(written)
    q, p = score.quarters, written.quarters
    by_id, new_by_id = ({n.id: n for n in s.notes} for s in (score, written))
    slurs = {(p(new_by_id[s.first].onset), p(new_by_id[s.last].onset)) for s in written.slurs}
    for slur in score.slurs:
        first, last = ours.key(by_id[slur.first]), ours.key(by_id[slur.last])
        if first in theirs.struck and last in theirs.struck:
            yield "slur", f"{first} to {last}", (first[0], last[0]) in slurs
    yield from _marks(score, ours, theirs)
    places: dict[tuple[str, str], list[tuple[Fraction, Fraction]]] = defaultdict(list)
    for sign in written.signs:
        places[sign.kind, sign.text].append((p(sign.onset), p(sign.end)))
    for sign in score.signs:
        what = f"{sign.text!r} in bar {score.bar_at(sign.onset).number}, {q(sign.onset)} to {q(sign.end)}"
        if sign.kind == "octave":
            left = _left_under(sign, score, ours, theirs)
            if left:
                signs = [s for s in written.signs if (s.kind, s.staff, s.text) == ("octave", sign.staff, sign.text)]
                yield sign.kind, what, all(any(p(s.onset) <= at < p(s.end) for s in signs) for at in left)
        elif sign.kind != "fermata" and _stays(sign, score, ours, theirs):
            stays = any(
                abs(onset - q(sign.onset)) <= ROUNDING and abs(end - q(sign.end)) <= ROUNDING
                for onset, end in places[sign.kind, sign.text]
            )
            yield sign.kind, what, stays
    before = ""
    for one, other in zip(score.bars, written.bars, strict=True):
        if one.metre.symbol and one.metre.symbol != before:
            yield "metre", f"{one.metre.symbol} in bar {one.number}", other.metre.symbol == one.metre.symbol
        before = one.metre.symbol


def _marks(score: Score, ours: _Notes, theirs: _Notes) -> Iterator[tuple[str, str, bool]]:
    for note in score.notes:
        there = [n for n in theirs.struck.get(ours.key(note), ()) if n.grace == note.grace]
        if not there:
            continue
        what = f"{note.pitch.name} in bar {score.bars[note.bar].number}, {ours.key(note)[0]}"
        held = theirs.score.quarters(max(n.duration for n in there))
        longer = held > max(score.quarters(note.duration), score.bars[note.bar].metre.beat_quarters)
        for name in note.articulations:
            kind = "articulation" + (f": short{', longer' if longer else ''}" if name in SHORT else "")
            yield kind, f"{name} of {what}", any(name in n.articulations for n in there)
        if note.fermata:
            yield "fermata", what, any(n.fermata for n in there)
        for finger in note.fingerings:
            if _hand_as_it_was(note, score, ours, theirs):
                yield "fingering", f"{finger} of {what}", any(finger in n.fingerings for n in there)


def _hand_as_it_was(note: Note, score: Score, ours: _Notes, theirs: _Notes) -> bool:
    onsets = sorted(ours.onsets[note.staff])
    at = onsets.index(score.quarters(note.onset))
    around = onsets[max(0, at - 1) : at + 2]
    return all(ours.onsets[note.staff][o] == theirs.onsets[note.staff].get(o) for o in around)


def _left_under(sign: Sign, score: Score, ours: _Notes, theirs: _Notes) -> list[Fraction]:
    """Where the stage strikes notes that stand under an octave sign of the score, on its staff."""
    under = [n for n in score.notes if n.staff == sign.staff and sign.onset <= n.onset < sign.end]
    keys = [ours.key(n) for n in under if ours.key(n)[1] in theirs.onsets[sign.staff].get(ours.key(n)[0], ())]
    return sorted({onset for onset, _ in keys})


def _stays(sign: Sign, score: Score, ours: _Notes, theirs: _Notes) -> bool:
    """Whether the notes that a sign belongs to stay."""
    below = sign.placement == "below" or (not sign.placement and score.hand_of(sign.staff) == "right")
    staves = {sign.staff, sign.staff + (1 if below else -1)}
    staves = {s for s in staves if 0 < s <= len(score.staves) and score.hand_of(s) is not None} | {sign.staff}
    if sign.kind == "pedal":
        sounding = [n for n in score.notes if not n.grace and n.onset <= sign.onset < n.end]
        bass = min(sounding, key=lambda n: n.midi, default=None)
        return bass is not None and ours.key(bass) in theirs.struck
    last = sign.end if sign.kind == "hairpin" else sign.onset
    onsets = sorted({n.onset for n in score.notes if n.staff in staves and sign.onset <= n.onset <= last})
    if not onsets or (sign.kind == "hairpin" and len(onsets) < 2):
        return False
    return all(
        any(ours.key(n) in theirs.struck for n in score.notes if n.onset == onset and n.staff in staves)
        for onset in {onsets[0], onsets[-1]}
        if sign.kind == "hairpin" or onset == sign.onset
    )


if __name__ == "__main__":
    raise SystemExit(main())
