"""From the name of a chord back to its tones: every name that ``naming`` gives in a key is read as the same chord."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache

from sitegen.analysis.chords.naming import key_of, names_of
from sitegen.analysis.chords.naming_tables import PLACES, Mode, degree_of
from sitegen.analysis.chords.qualities import QUALITIES, Quality
from sitegen.fifths import fifths_of

_SYMBOL = re.compile(r"(?P<root>[A-G](?:#+|b+)?)(?P<suffix>[^/]*)(?:/(?P<bass>[A-G](?:#+|b+)?))?")
_BY_SUFFIX = {quality.symbol: quality for quality in reversed(QUALITIES) if quality.symbol or quality.name == "M"}
_FRENCH = "7b5"
"""What a French sixth looks like as a symbol, whose head is the lowered fifth above its root."""
_TRITONE = 6


@dataclass(frozen=True, slots=True)
class NamedChord:
    """Tones, bass and root as pitch classes (C = 0); ``degree`` is how the key hears it, as ``Harmony.degree``."""

    pitch_classes: frozenset[int]
    bass: int
    root: int
    degree: str = ""


def chord_named(name: str, key: str | None) -> NamedChord | None:
    """The chord that ``naming`` calls ``name`` in ``key`` (C major where it is None), by numeral or by symbol; the
    plainest where several are called so, None where none is."""
    tonic, mode = key_of(key or "C major")
    relative = _numerals_in(mode).get(name)
    if relative is None:
        return _by_symbol(name)
    up = tonic * 7
    tones = frozenset((pc + up) % 12 for pc in relative.pitch_classes)
    return NamedChord(tones, (relative.bass + up) % 12, (relative.root + up) % 12, relative.degree)


@cache
def _numerals_in(mode: Mode) -> dict[str, NamedChord]:
    """The chord of each numeral in C; a numeral says nothing of a bass that is no tone of its chord."""
    found: dict[str, NamedChord] = {}
    plainest = "m" if mode == "minor" else "M"
    for quality in sorted(QUALITIES, key=lambda quality: quality.name != plainest):
        for root in range(12):
            tones = [(root + fifth * 7) % 12 for fifth in quality.fifths]
            for bass in tones:
                for degree, dominant in _readings(mode, quality, root):
                    chord = NamedChord(frozenset(tones), bass, root, degree)
                    _, numeral, _ = names_of(chord.pitch_classes, bass, root, f"C {mode}", degree, dominant)
                    if numeral is not None:
                        found.setdefault(numeral, chord)
    return found


def _readings(mode: Mode, quality: Quality, root: int) -> Iterator[tuple[str, bool]]:
    """The degrees as which a key on C can hear a chord, and whether the dominant follows."""
    yield "", False
    yield "Cad", True
    for place in PLACES[mode].get((root, quality.stands_for or quality.name), ()):
        yield degree_of(place, quality), False


def _by_symbol(name: str) -> NamedChord | None:
    found = _SYMBOL.fullmatch(name)
    if found is None:
        return None
    head = fifths_of(found["root"]) * 7 % 12
    root, fifths = head, tuple[int, ...]()
    if found["suffix"] == _FRENCH:
        root, fifths = (head + _TRITONE) % 12, next(q.fifths for q in QUALITIES if q.name == "Fr")
    elif found["suffix"] in _BY_SUFFIX:
        fifths = _BY_SUFFIX[found["suffix"]].fifths
    else:
        return None
    tones = frozenset((root + fifth * 7) % 12 for fifth in fifths)
    return NamedChord(tones, fifths_of(found["bass"]) * 7 % 12 if found["bass"] else head, root)
