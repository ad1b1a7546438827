"""Name harmonies: a numeral in the current key with figures, and a lead-sheet symbol, spelled as the key spells.

The tables (``naming_tables``) say what is called what; a test compares every name with the chord that music21's
``RomanNumeral`` and ``ChordSymbol`` make of it. A name depends on pitch classes, bass, root, key and degree only, and
on whether a dominant follows (for the cadential six-four), so it is worked out once for each of these.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from functools import lru_cache

from sitegen.analysis.chords.naming_tables import CADENTIAL, NEAREST_FIFTHS, KeyDegree, Mode, place_of
from sitegen.analysis.chords.qualities import BY_TONES, Quality
from sitegen.analysis.nouns import Harmony
from sitegen.fifths import fifths_of, spelled
from sitegen.score import Score

_TONE_NAMES = {1: "root", 3: "third", 4: "fourth", 5: "fifth", 7: "seventh", 9: "ninth"}


def name_harmonies(score: Score, harmonies: Sequence[Harmony]) -> tuple[Harmony, ...]:
    """The same harmonies with ``numeral`` and ``symbol``; a missing root is filled where the tones tell it. A name that
    is there already stays.

    A chord without pitch classes stays without names, as does one that is no chord of the tables (``numeral`` and
    ``symbol`` None). Without a key there is a symbol only. ``Harmony.degree`` chooses between two names of one chord.
    """
    named: list[Harmony] = []
    for i, harmony in enumerate(harmonies):
        if not harmony.pitch_classes:
            named.append(harmony)
            continue
        following = harmonies[i + 1] if i + 1 < len(harmonies) else None
        root, numeral, symbol = names_of(
            harmony.pitch_classes, harmony.bass, harmony.root, harmony.key, harmony.degree,
            following is not None and _dominant_follows(harmony, following),
        )  # fmt: skip
        named.append(replace(harmony, root=root, numeral=harmony.numeral or numeral, symbol=harmony.symbol or symbol))
    return tuple(named)


def key_of(name: str) -> tuple[int, Mode]:
    """The tonic on the line of fifths, and the mode, of a key such as ``F# minor``."""
    tonic, mode = name.split()
    return fifths_of(tonic), "minor" if mode == "minor" else "major"


def tonic_of(name: str) -> int:
    """The tonic's pitch class of a key such as ``F# minor``."""
    return key_of(name)[0] * 7 % 12


@lru_cache(maxsize=4096)
def tone_names(pitch_classes: frozenset[int], root: int | None) -> dict[int, str]:
    """What each tone is in its chord: pitch class to ``root``, ``third`` ...; empty for a chord that is not known."""
    found = _quality(pitch_classes, root)
    if found is None:
        return {}
    quality, root = found
    if quality.name in ("It", "Ger", "Fr"):
        return {}
    tones = ((root + fifth * 7) % 12 for fifth in quality.fifths)
    return {tone: _TONE_NAMES[step] for tone, step in zip(tones, quality.steps, strict=True)}


def _dominant_follows(harmony: Harmony, following: Harmony) -> bool:
    if harmony.key is None or following.root is None or following.key != harmony.key:
        return False
    dominant = (tonic_of(harmony.key) + 7) % 12
    if following.root == dominant:
        return following.bass == dominant or following.bass is None
    return following.bass == dominant and following.degree == "Cad"


def _quality(pitch_classes: frozenset[int], root: int | None) -> tuple[Quality, int] | None:
    """The quality of a chord and its root; where the root is not given, one on which the tones make a chord."""
    for candidate in range(12) if root is None else (root,):
        quality = BY_TONES.get(frozenset((pc - candidate) % 12 for pc in pitch_classes))
        if quality is not None:
            return quality, candidate
    return None


@lru_cache(maxsize=8192)
def names_of(
    pitch_classes: frozenset[int], bass: int | None, root: int | None, key: str | None, degree: str, dominant: bool
) -> tuple[int | None, str | None, str | None]:
    """Root, numeral and symbol of one chord; ``dominant`` says that the dominant follows."""
    found = _quality(pitch_classes, root)
    if found is None:
        return root, None, None
    quality, root = found
    tonic, mode = key_of(key or "C major")
    interval = (root - tonic * 7) % 12
    place = place_of(mode, interval, quality, degree) if key is not None else None
    symbol = _symbol(quality, tonic + (place.fifths if place else NEAREST_FIFTHS[interval]), bass, tonic)
    if place is None:
        return root, None, symbol
    if quality.name in "Mm" and place.fifths == 0 and bass == (root + 7) % 12 and (dominant or degree == "Cad"):
        return root, CADENTIAL, symbol
    return root, _numeral(quality, place, bass, root, mode), symbol


def _numeral(quality: Quality, place: KeyDegree, bass: int | None, root: int, mode: Mode) -> str:
    tones = [(root + fifth * 7) % 12 for fifth in quality.fifths]
    inversion = tones.index(bass) if bass in tones else 0
    figure, added = quality.figures[inversion], quality.added
    if len(quality.fifths) == 5:
        figure, added = _ninth(quality, place, figure, mode)
    applied = f"/{place.target}" if place.target else ""
    return f"{place.numeral}{quality.sign}{figure}{added}{applied}"


def _ninth(quality: Quality, place: KeyDegree, figure: str, mode: Mode) -> tuple[str, str]:
    """The figure of a ninth chord: an inverted one shows the ninth in brackets, as does one that the key has not."""
    minor = place.target.lstrip("b#").islower() if place.target else mode == "minor"
    if place.numeral != "V" or (quality.name == "b9") == minor:
        return (figure, "") if figure == "9" else (figure, "[add9]")
    return "7" if figure == "9" else figure, "[addb9]" if quality.name == "b9" else "[add#9]"


def _symbol(quality: Quality, root: int, bass: int | None, tonic: int) -> str:
    """The lead-sheet symbol; augmented sixths are written as the seventh chords that they sound like."""
    tones = [root + fifth for fifth in quality.fifths]
    head, suffix = root, quality.symbol
    if quality.name in ("It", "Ger", "Fr"):
        head = tones[2] if quality.name == "Fr" else tones[1]
        suffix = {"It": "7(no5)", "Ger": "7", "Fr": "7b5"}[quality.name]
    if bass is None or bass == head * 7 % 12:
        return spelled(head) + suffix
    lowest = next((tone for tone in tones if tone * 7 % 12 == bass), None)
    if lowest is None:
        lowest = tonic + NEAREST_FIFTHS[(bass - tonic * 7) % 12]
    return f"{spelled(head)}{suffix}/{spelled(lowest)}"
