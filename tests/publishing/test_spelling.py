"""Pitches, keys and beats in words."""

from __future__ import annotations

from fractions import Fraction

import pytest

from sitegen.publishing import BarInfo
from sitegen.publishing.messages import Catalogue, load_catalogue
from sitegen.publishing.spelling import beat_in_words, key_in_words, pitch_in_words, symbol_in_words, value_in_words
from sitegen.publishing.theme import find_theme


def words_of(language: str) -> Catalogue:
    return load_catalogue(find_theme("studio"), language)


@pytest.mark.parametrize(
    ("language", "pitch", "spoken"),
    [("en", "F#4", "F♯4"), ("en", "Bb3", "B♭3"), ("en", "Ebb2", "E♭♭2"), ("de", "B4", "H4"), ("de", "Bb3", "B3"),
     ("de", "F#4", "Fis4"), ("en", "rest", "rest")],
)  # fmt: skip
def test_pitches_are_named_as_the_language_names_them(language: str, pitch: str, spoken: str) -> None:
    assert pitch_in_words(pitch, words_of(language)) == spoken


@pytest.mark.parametrize(
    ("language", "key", "spoken"),
    [("en", "F# minor", "F♯ minor"), ("de", "Bb major", "B-Dur"), ("de", "B minor", "h-Moll"), ("en", "", "")],
)
def test_keys_are_named_as_the_language_names_them(language: str, key: str, spoken: str) -> None:
    assert key_in_words(key, words_of(language)) == spoken


@pytest.mark.parametrize(
    ("bar", "onset", "beat"),
    [
        (BarInfo("1", Fraction(3)), Fraction(0), "1"),
        (BarInfo("1", Fraction(3)), Fraction(3, 2), "2½"),
        (BarInfo("0", Fraction(1), lead=Fraction(2)), Fraction(0), "3"),
        (BarInfo("1", Fraction(3), beat=Fraction(3, 2)), Fraction(2), "2⅓"),
        (BarInfo("1", Fraction(4)), Fraction(1, 8), "1+1/8"),
    ],
)
def test_beats_are_counted_from_the_bar_line(bar: BarInfo, onset: Fraction, beat: str) -> None:
    assert beat_in_words(bar, onset) == beat


@pytest.mark.parametrize(
    ("language", "symbol", "shown"),
    [("en", "F#m7b5/A#", "F♯m7♭5/A♯"), ("de", "B7", "H7"), ("de", "Bb/D", "B/D"), ("de", "Am/B", "Am/H"),
     ("de", "F#dim", "F♯dim"), ("en", "", "")],
)  # fmt: skip
def test_symbols_have_printed_signs_and_german_letters(language: str, symbol: str, shown: str) -> None:
    assert symbol_in_words(symbol, words_of(language)) == shown


@pytest.mark.parametrize(
    ("language", "duration", "said"),
    [
        ("en", Fraction(1), "crotchet"),
        ("en-US", Fraction(3, 2), "dotted quarter note"),
        ("de", Fraction(3), "punktierte Halbe"),
        ("en", Fraction(1, 3), "triplet quaver"),
        ("en", Fraction(5, 2), "minim tied to quaver"),
        ("en", Fraction(0), "grace note"),
        ("en", Fraction(1, 5), ""),
    ],
)
def test_values_are_british_american_or_german(language: str, duration: Fraction, said: str) -> None:
    assert value_in_words(duration, words_of(language)) == said
