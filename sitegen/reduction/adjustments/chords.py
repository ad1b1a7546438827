"""A chord as a teacher writes it, a numeral in the key or a lead-sheet symbol: every name that the analysis gives is
read as the chord that it gave it to; what else there is to write is spelled by music21."""

from __future__ import annotations

from dataclasses import dataclass

from sitegen.analysis.chord_names import chord_named
from sitegen.errors import ContentError

_REMEDY = "write a numeral of the key such as V65/V, or a chord symbol such as D7/F#"


@dataclass(frozen=True, slots=True)
class Spelled:
    """A chord's tones, bass and root as pitch classes (C = 0), with the name that it was given."""

    pitch_classes: frozenset[int]
    bass: int
    root: int
    numeral: str | None = None
    symbol: str | None = None


def spell_chord(name: str, key: str | None, file: str, line: int) -> Spelled:
    """The chord called ``name``; a numeral counts in ``key`` (``F# minor``; C major where it is None).

    Raises ``ContentError`` where it is neither a numeral nor a symbol.
    """
    known = chord_named(name, key)
    is_numeral = name.lstrip("#b♭♯")[:1] in ("I", "V", "i", "v") or name.startswith(("N6", "It", "Ger", "Fr", "Cad"))
    if known is not None:
        numeral, symbol = (name, None) if is_numeral else (None, name)
        return Spelled(known.pitch_classes, known.bass, known.root, numeral, symbol)
    from music21 import harmony, roman
    from music21 import key as keys
    from music21.exceptions21 import Music21Exception

    tonic, _, mode = (key or "C major").partition(" ")
    try:
        if is_numeral:
            chord = roman.RomanNumeral(name, keys.Key(tonic.replace("b", "-"), mode))
        else:
            chord = harmony.ChordSymbol(name[:1] + name[1:].replace("b", "-", 1) if name[1:2] == "b" else name)
        classes = frozenset(int(p.pitchClass) for p in chord.pitches)
        if not classes:
            raise ValueError(name)
        bass, root = int(chord.bass().pitchClass), int(chord.root().pitchClass)
    except (Music21Exception, ValueError, KeyError, IndexError, AttributeError, TypeError):
        raise ContentError(f"'{name}' is no chord", _REMEDY, file, line) from None
    return Spelled(classes, bass, root, name if is_numeral else None, None if is_numeral else name)
