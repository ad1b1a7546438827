"""From the name of a chord back to its tones: every name that ``naming`` gives in a key is read as the same chord."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache

from sitegen.analysis.naming import key_of, names_of
from sitegen.analysis.naming_tables import PLACES, QUALITIES, Quality, degree_of


@dataclass(frozen=True, slots=True)
class NamedChord:
    """Tones, bass and root as pitch classes (C = 0)."""

    pitch_classes: frozenset[int]
    bass: int
    root: int


def chord_named(name: str, key: str | None) -> NamedChord | None:
    """The chord that ``naming`` calls ``name`` in ``key`` (C major where it is None), by numeral or by symbol; the
    plainest where several are called so, None where none is."""
    numerals, symbols = _names_in(key or "C major")
    return numerals.get(name) or symbols.get(name)


@lru_cache(maxsize=64)
def _names_in(key: str) -> tuple[dict[str, NamedChord], dict[str, NamedChord]]:
    numerals: dict[str, NamedChord] = {}
    symbols: dict[str, NamedChord] = {}
    of_the_key = "m" if key_of(key)[1] == "minor" else "M"
    for quality in sorted(QUALITIES, key=lambda quality: quality.name != of_the_key):
        for root in range(12):
            tones = [(root + tone) % 12 for tone in (fifth * 7 % 12 for fifth in quality.fifths)]
            for bass in (*tones, *(other for other in range(12) if other not in tones)):
                chord = NamedChord(frozenset(tones), bass, root)
                for degree, dominant in _readings(key, quality, root):
                    _, numeral, symbol = names_of(chord.pitch_classes, bass, root, key, degree, dominant)
                    # the numeral says nothing of a bass that is no tone of its chord
                    if numeral is not None and bass in tones:
                        numerals.setdefault(numeral, chord)
                    if symbol is not None:
                        symbols.setdefault(symbol, chord)
    return numerals, symbols


def _readings(key: str, quality: Quality, root: int) -> Iterator[tuple[str, bool]]:
    """The degrees as which a key can hear a chord, and whether the dominant follows."""
    tonic, mode = key_of(key)
    yield "", False
    yield "Cad", True
    for place in PLACES[mode].get(((root - tonic * 7) % 12, quality.stands_for or quality.name), ()):
        yield degree_of(place, quality), False
