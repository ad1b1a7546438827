"""What is said about a harmony: its tones, its degree, its key's name, and why it was heard."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from sitegen.analysis.harmony.beliefs import Beliefs
from sitegen.analysis.harmony.choosing import SAME_CHORD
from sitegen.analysis.harmony.chords import CHORDS, INSIDE, KEYS, MODES, QUALITIES, Floats, Ints
from sitegen.analysis.harmony.evidence import Evidence
from sitegen.analysis.harmony.grid import Grid
from sitegen.analysis.harmony.lattice import DEGREE_OF, KNOWN
from sitegen.analysis.reasons import Reason, because
from sitegen.fifths import spelled
from sitegen.score import Score

_FLATTEST_KEY, _SHARPEST_KEY = -9, 11
"""Bbb and E#: what is spelled further than that is called by the simpler name, as a page would."""
_FLATTEST, _SHARPEST = -15, 19
"""Fbb and B##: a note is never called by a name with three signs."""


def _spellings(fewest: int, most: int) -> tuple[tuple[int, ...], ...]:
    """For each pitch class its places on the line of fifths between two places."""
    return tuple(tuple(place for place in range(fewest, most + 1) if 7 * place % 12 == pc) for pc in range(12))


_KEYS_SPELLED = _spellings(_FLATTEST_KEY, _SHARPEST_KEY)
_SPELLED = _spellings(_FLATTEST, _SHARPEST)


def tones_of(chord: int) -> tuple[int, frozenset[int]]:
    """Root and pitch classes of a chord."""
    quality, root = CHORDS[chord]
    return root, frozenset((root + tone) % 12 for tone in QUALITIES[quality].tones)


def degree_of(key: int, chord: int) -> str:
    """What ``key`` calls the chord, without figures; empty where it has no name for it."""
    return MODES[KEYS[key][0]][int(DEGREE_OF[key, chord])].name if KNOWN[key, chord] else ""


def key_names(score: Score, grid: Grid, evidence: Evidence, keys: Ints) -> list[str]:
    """The key of each atom by name, such as ``Eb major``, spelled as the notes of its stretch are."""
    names: list[str] = []
    start = 0
    for atom in range(1, len(keys) + 1):
        if atom < len(keys) and keys[atom] == keys[start]:
            continue
        weight = evidence.sounding[start:atom]
        line = (np.nan_to_num(evidence.fifths[start:atom]) * weight).sum()
        signature = score.bars[int(grid.bar[start])].fifths
        centre = line / weight.sum() if weight.sum() else signature + 2.0
        mode, tonic = KEYS[int(keys[start])]
        middle = 0 if mode else 2
        place = min(_KEYS_SPELLED[tonic], key=lambda f: (abs(f + middle - centre), abs(f - signature)))
        names += [f"{spelled(place)} {'minor' if mode else 'major'}"] * (atom - start)
        start = atom
    return names


def explain(evidence: Evidence, beliefs: Beliefs, chord: int, bass: int, start: int, stop: int) -> tuple[Reason, ...]:
    """Why it is this chord: what sounds of it, how sure that is, and what else it may be."""
    quality, root = CHORDS[chord]
    sounding = evidence.sounding[start:stop].sum(axis=0)
    place_of = _placer(evidence, start, stop)

    def called(chord: int) -> dict[str, str]:
        quality, root = CHORDS[chord]
        return {"quality": f"{_plain(quality)} chord", "root": spelled(place_of(root))}

    total = sounding.sum()
    if total:
        found = [because("heard", **called(chord), bass=spelled(place_of(bass)))]
    else:
        found = [because("heard over a rest", **called(chord))]
    if _plain(quality) != QUALITIES[quality].name:
        found.append(because("six-four"))
    tones = {
        (root + tone) % 12: spelled(_nearest((root + tone) % 12, place_of(root) + fifths))
        for tone, fifths in zip(QUALITIES[quality].tones, QUALITIES[quality].fifths, strict=True)
    }
    found.append(because("notes", tones=", ".join(tones.values())))
    if total:
        found.append(because("share", percent=_percent(float(sounding @ INSIDE[:, chord]) / total)))
    missing = [name for pc, name in tones.items() if not sounding[pc]]
    if missing and total:
        found.append(because("without", tones=", ".join(missing)))
    shares: Floats = beliefs.chord[start:stop].mean(axis=0)
    alike = SAME_CHORD[chord] > 0
    found.append(because("sure", percent=_percent(float(shares[alike].sum()))))
    rivals = np.where(alike, 0.0, shares)
    rival = int(rivals.argmax())
    if rivals[rival] >= 0.1:
        found.append(because("otherwise", **called(rival)))
    return tuple(found)


def _plain(quality: int) -> str:
    return QUALITIES[quality].name.removeprefix("cadential ")


def _percent(share: float) -> str:
    return f"{100 * min(1.0, share):.0f}"


def _nearest(pc: int, goal: float) -> int:
    """The place of a pitch class on the line of fifths that is nearest to ``goal``; of two the flatter."""
    return min(_SPELLED[pc], key=lambda f: (abs(f - goal), f))


def _placer(evidence: Evidence, start: int, stop: int) -> Callable[[int], int]:
    """A place for each pitch class: as spelled in the stretch, else as near to the stretch's notes as can be."""
    weight = evidence.sounding[start:stop]
    line = np.nan_to_num(evidence.fifths[start:stop]) * weight
    centre = line.sum() / weight.sum() if weight.sum() else 2.0

    def place(pc: int) -> int:
        own = weight[:, pc].sum()
        return _nearest(pc, float(line[:, pc].sum() / own if own else centre))

    return place
