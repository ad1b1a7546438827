"""Find the harmonies of a score: which chord sounds when, over which bass, in which key."""

from __future__ import annotations

import numpy as np

from sitegen.analysis.harmony.choosing import Beliefs, beliefs_of, choose
from sitegen.analysis.harmony.chords import CHORDS, KEYS, MODES, QUALITIES, Floats, Ints
from sitegen.analysis.harmony.evidence import Evidence, evidence_of
from sitegen.analysis.harmony.grid import Grid, grid_of
from sitegen.analysis.harmony.lattice import DEGREE_OF, KNOWN, lattice_of
from sitegen.analysis.harmony.stretches import stretches_of
from sitegen.analysis.harmony.weights import fitted
from sitegen.analysis.nouns import Harmony
from sitegen.score import Score

_SPELLED = ("Fb", "Cb", "Gb", "Db", "Ab", "Eb", "Bb", "F", "C", "G", "D", "A", "E", "B", "F#", "C#", "G#", "D#", "A#")
_KEY_STAYS = 3.0
"""How many beats of belief a change of key must earn."""


def find_harmonies(score: Score) -> tuple[Harmony, ...]:
    """The harmonies of ``score`` in order, covering it from 0 to ``score.end`` without gap or overlap.

    Where nothing sounds the chord before goes on; where nothing has sounded yet, or the notes fit no chord, the
    harmony's ``pitch_classes`` are empty. A score without bars has no harmonies.
    """
    if score.end <= 0:
        return ()
    grid = grid_of(score)
    evidence = evidence_of(score, grid)
    if not evidence.sounding.any():
        return (Harmony(0, score.end, why="nothing sounds"),)
    model = fitted()
    stretches = stretches_of(score, grid, evidence)
    beliefs = beliefs_of(lattice_of(grid, evidence, stretches, model.weights))
    beats = np.diff(grid.edges) / grid.beat
    chords = choose(beliefs, beats, 0.5, 0.4, 0.2)
    silent = np.cumsum(evidence.sounding.sum(axis=1)) == 0
    chords[silent] = -1
    keys = _keys(beliefs, chords, beats)
    return _harmonies(score, grid, evidence, beliefs, chords, keys)


def _keys(beliefs: Beliefs, chords: Ints, beats: Floats) -> Ints:
    """The key of each atom: most belief in time, changes of key kept few."""
    worth = beliefs.state.sum(axis=2) * beats[:, None]
    worth -= np.where(KNOWN[:, np.maximum(chords, 0)].T > 0, 0.0, beats[:, None])
    best, back = worth[0], []
    for row in worth[1:]:
        jump = best.max() - _KEY_STAYS
        back.append(np.where(best >= jump, np.arange(24), best.argmax()))
        best = np.maximum(best, jump) + row
    path = [int(best.argmax())]
    for pointers in reversed(back):
        path.append(int(pointers[path[-1]]))
    return np.array(path[::-1])


def _harmonies(
    score: Score, grid: Grid, evidence: Evidence, beliefs: Beliefs, chords: Ints, keys: Ints
) -> tuple[Harmony, ...]:
    found: list[Harmony] = []
    start = 0
    for atom in range(1, len(grid) + 1):
        if atom < len(grid) and chords[atom] == chords[start] and keys[atom] == keys[start] and not grid.joint[atom]:
            continue
        onset, duration = int(grid.edges[start]), int(grid.edges[atom] - grid.edges[start])
        chord, key = int(chords[start]), int(keys[start])
        if chord < 0:
            found.append(Harmony(onset, duration, why="nothing has sounded yet"))
        else:
            quality, root = CHORDS[chord]
            tones = frozenset((root + t) % 12 for t in QUALITIES[quality].tones)
            low = evidence.lowest[start:atom].sum(axis=0)
            bass = max(sorted(tones), key=lambda pc: (low[pc], pc == root))
            sure = beliefs.chord[start:atom, chord].mean()
            degree = MODES[KEYS[key][0]][DEGREE_OF[key, chord]].name if KNOWN[key, chord] else ""
            found.append(
                Harmony(
                    onset, duration, tones, bass, root, _key_name(key, score.bars[int(grid.bar[start])].fifths),
                    degree=degree, why=f"{QUALITIES[quality].name} chord, {sure:.0%} sure",
                )
            )  # fmt: skip
        start = atom
    return _joined(found)


def _joined(found: list[Harmony]) -> tuple[Harmony, ...]:
    out: list[Harmony] = []
    for harmony in found:
        if out and (out[-1].pitch_classes, out[-1].bass, out[-1].key, out[-1].degree, out[-1].root) == (
            harmony.pitch_classes, harmony.bass, harmony.key, harmony.degree, harmony.root,
        ):  # fmt: skip
            last = out.pop()
            harmony = Harmony(
                last.onset, harmony.end - last.onset, last.pitch_classes, last.bass, last.root, last.key,
                degree=last.degree, why=last.why,
            )  # fmt: skip
        out.append(harmony)
    return tuple(out)


def _key_name(key: int, fifths: int) -> str:
    """The key's name, spelled on the side of the line of fifths nearest the signature."""
    mode, tonic = KEYS[key]
    home = 8 + 3 * mode + fifths
    places = [p for p in range(len(_SPELLED)) if (p - 8) * 7 % 12 == tonic]
    place = min(places, key=lambda p: (abs(p - home), p))
    return f"{_SPELLED[place]} {'minor' if mode else 'major'}"
