"""Measures of what one staff does in a stretch of half a bar or a bar: how many attacks, how they move, who is busy.

Shares lie from 0 to 1, distances are in semitones. An attack is all that is struck on the staff at one tick; graces do
not count. ``table`` says what the measures of each texture are.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from itertools import pairwise

from sitegen.score import Note

Attack = tuple[int, ...]  # pitches as MIDI numbers, from the lowest


def measure_stretch(notes: Sequence[Note], tones: set[str], beats: float, triple: bool, left: bool) -> dict[str, float]:
    """The measures of the ``notes`` that begin in a stretch of ``beats`` felt beats, in order of onset.

    ``tones`` are the ids of those that belong to their chord; ``triple`` is whether the metre has three beats,
    ``left`` whether the left hand plays. Empty for a stretch in which nothing begins.
    """
    struck: dict[int, list[Note]] = {}
    for note in notes:
        struck.setdefault(note.onset, []).append(note)
    if not struck:
        return {}
    attacks = [tuple(sorted({n.midi for n in group})) for group in struck.values()]
    count = len(attacks)
    single = [len(a) == 1 for a in attacks]
    octaves = [len(a) > 1 and len({p % 12 for p in a}) == 1 for a in attacks]
    chords = [not one and not eight for one, eight in zip(single, octaves, strict=True)]
    found = {
        "attacks": float(count),
        "attacks a beat": count / beats,
        "single": sum(single) / count,
        "double": sum(len(a) == 2 for a in attacks) / count,
        "octaves": sum(octaves) / count,
        "chords": sum(chords) / count,
        "chord tones": sum(n.id in tones for n in notes) / len(notes),
        "span": float(max(a[-1] for a in attacks) - min(a[0] for a in attacks)),
        "triple": float(triple),
        "left hand": float(left),
        "tremolo signs": sum(n.tremolo for n in notes) / len(notes),
        "even": _evenness(list(struck)),
        "alternating": _alternating(attacks),
        "Alberti": _alberti(attacks),
        "same chord": _same_chord(attacks),
    }
    found |= _moves(attacks)
    found |= _bass_then_chord(attacks)
    found |= _voices(notes, tones, beats)
    return found


def _evenness(onsets: list[int]) -> float:
    gaps = Counter(b - a for a, b in pairwise(onsets))
    return max(gaps.values()) / sum(gaps.values()) if gaps else 1.0


def _alternating(attacks: list[Attack]) -> float:
    """Of all attacks but two, those that repeat the one before the last and differ from the last."""
    hits = sum(c == a and c != b for a, b, c in zip(attacks, attacks[1:], attacks[2:], strict=False))
    return hits / (len(attacks) - 2) if len(attacks) > 2 else 0.0


def _alberti(attacks: list[Attack]) -> float:
    """Of the groups of four, those that go lowest, highest, middle, highest."""
    groups = [attacks[i : i + 4] for i in range(0, len(attacks) - 3, 4)]
    hits = sum(
        all(len(a) == 1 for a in (low, high, middle, again)) and high == again and low[0] < middle[0] < high[0]
        for low, high, middle, again in groups
    )
    return hits / len(groups) if groups else 0.0


def _same_chord(attacks: list[Attack]) -> float:
    return sum(a == b and len(a) > 1 for a, b in pairwise(attacks)) / max(1, len(attacks) - 1)


def _moves(attacks: list[Attack]) -> dict[str, float]:
    """How the line moves from one single note to the next, and its longest ways in one direction: ``run`` and ``sweep``
    in notes, ``reach`` in semitones from one end of a sweep of three notes or more to the other."""
    moves = [b[0] - a[0] for a, b in pairwise(attacks) if len(a) == 1 == len(b)]
    longest = {"run": 0, "sweep": 0}
    length, distance, reach, kind, way = 0, 0, 0, "", False
    for move in moves:
        here = "run" if 0 < abs(move) <= 2 else "sweep" if move else ""
        goes_on = bool(here) and here == kind and way == (move > 0)
        length, distance = (length + 1, distance + abs(move)) if goes_on else (1, abs(move))
        kind, way = here, move > 0
        if kind:
            longest[kind] = max(longest[kind], length + 1)
        if kind == "sweep" and length > 1:
            reach = max(reach, distance)
    count = max(1, len(moves))
    return {
        "steps": sum(0 < abs(m) <= 2 for m in moves) / count,
        "leaps": sum(abs(m) > 2 for m in moves) / count,
        "run": float(longest["run"]),
        "sweep": float(longest["sweep"]),
        "reach": float(reach),
    }


def _bass_then_chord(attacks: list[Attack]) -> dict[str, float]:
    """How much of the stretch is low notes (or octaves) that chords above them follow."""
    taken, basses, after, distance = 0, 0, 0, 0
    bass: Attack | None = None
    for i, attack in enumerate(attacks):
        following = attacks[i + 1] if i + 1 < len(attacks) else None
        plain = len({p % 12 for p in attack}) == 1
        if plain and following is not None and len({p % 12 for p in following}) > 1 and following[0] - attack[0] > 2:
            bass = attack
            basses += 1
            taken += 1
            distance += following[0] - attack[0]
        elif bass is not None and not plain and attack[0] > bass[0] + 2:
            after += 1
            taken += 1
        else:
            bass = None
    return {
        "bass then chord": taken / len(attacks) if basses else 0.0,
        "chords a bass": after / basses if basses else 0.0,
        "bass to chord": distance / basses if basses else 0.0,
    }


def _voices(notes: Sequence[Note], tones: set[str], beats: float) -> dict[str, float]:
    """Which voices the staff is written in, and how they differ in rhythm."""
    voices: dict[int, list[Note]] = {}
    for note in notes:
        voices.setdefault(note.voice, []).append(note)
    ranked = sorted(voices.values(), key=lambda v: (-len({n.onset for n in v}), v[0].voice))
    if len(ranked) < 2:
        return {"voices": 1.0, "busier": 1.0, "least voice": 0.0, "own onsets": 0.0}
    busy, other = ranked[0], ranked[1]
    own, others = {n.onset for n in busy}, {n.onset for n in other}
    tops = {n.onset: n.midi for n in busy}
    line = [tops[t] for t in sorted(tops)]
    moves = [abs(b.midi - a.midi) for v in (busy, other) for a, b in pairwise(v) if b.onset > a.onset]
    leaps = sum(abs(b - a) != 1 and abs(b - a) != 2 for a, b in pairwise(line)) / max(1, len(line) - 1)
    return {
        "voices": float(len(ranked)),
        "busier": len(own) / len(others),
        "busier below": float(sum(n.midi for n in busy) / len(busy) < sum(n.midi for n in other) / len(other)),
        "figure tones": min(sum(n.id in tones for n in busy) / len(busy), leaps),
        "figure rate": len(own) / beats,
        "own onsets": len(own ^ others) / len(own | others),
        "voice steps": sum(m <= 2 for m in moves) / max(1, len(moves)),
        "least voice": float(len(others)),
    }
