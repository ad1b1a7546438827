"""A chord as a teacher writes it, a numeral in the key or a lead-sheet symbol: every name that ``naming`` gives is read
as the chord that it gave it to; what else there is to write is spelled by music21."""

from __future__ import annotations

from dataclasses import dataclass

from sitegen.analysis.chords.named import chord_named
from sitegen.analysis.chords.naming_tables import CADENTIAL

_NUMERALS = ("I", "V", "i", "v")
_BY_NAME = ("N6", "It", "Ger", "Fr", "Cad")
_FORMER = {"Cad64": CADENTIAL}


@dataclass(frozen=True, slots=True)
class Spelled:
    """A chord's tones, bass and root as pitch classes (C = 0), the one name that it was given, and its ``degree`` (as
    ``Harmony.degree``; empty where the name does not tell)."""

    pitch_classes: frozenset[int]
    bass: int
    root: int
    numeral: str | None = None
    symbol: str | None = None
    degree: str = ""


def today(name: str) -> str:
    """The name as ``naming`` gives it now, for one that it gave formerly."""
    return _FORMER.get(name, name)


def is_numeral(name: str) -> bool:
    """Whether a chord's name counts in a key."""
    # Cad is the cadential six-four, and Cadd9 the chord of C with a ninth
    named = name.startswith(_BY_NAME) and not name.startswith("Cadd")
    return named or name.lstrip("#b♭♯")[:1] in _NUMERALS


def spell(name: str, key: str | None = None) -> Spelled | None:
    """The chord called ``name``; a numeral counts in ``key`` (``F# minor``; C major where it is None). None where it is
    neither a numeral nor a symbol; which that is does not hang on the key."""
    name = today(name)
    tonic, _, mode = (key or "C major").partition(" ")
    numeral, symbol = (name, None) if is_numeral(name) else (None, name)
    known = chord_named(name, f"{tonic} {mode}")
    known = known or chord_named(name, f"{tonic} {'major' if mode == 'minor' else 'minor'}")
    if known is not None:
        return Spelled(known.pitch_classes, known.bass, known.root, numeral, symbol, known.degree if numeral else "")
    tones = _by_music21(name, tonic, mode)
    return None if tones is None else Spelled(*tones, numeral, symbol)


def _by_music21(name: str, tonic: str, mode: str) -> tuple[frozenset[int], int, int] | None:
    """Tones, bass and root; None for what music21 does not know either."""
    from music21 import harmony, roman
    from music21 import key as keys
    from music21.exceptions21 import Music21Exception

    try:
        if is_numeral(name):
            chord = roman.RomanNumeral(name, keys.Key(tonic.replace("b", "-"), mode))
        else:
            chord = harmony.ChordSymbol(name[:1] + name[1:].replace("b", "-", 1) if name[1:2] == "b" else name)
        classes = frozenset(int(p.pitchClass) for p in chord.pitches)
        return (classes, int(chord.bass().pitchClass), int(chord.root().pitchClass)) if classes else None
    except (Music21Exception, ValueError, KeyError, IndexError, AttributeError, TypeError):
        return None
