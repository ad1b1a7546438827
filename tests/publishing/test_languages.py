"""Catalogues: whatever the musical steps may say can be said in each language, with the same places filled."""

from __future__ import annotations

import re

import pytest

from sitegen.analysis.functions.table import APPROACHED, DEFINITIONS
from sitegen.analysis.reason_texts import SENTENCES as REASONS
from sitegen.checking.sentences import sentences_of_the_steps
from sitegen.publishing import Catalogue, Filling, find_theme, load_catalogue, tell
from sitegen.reduction.remarks.listen_texts import SENTENCES

_PLACE = re.compile(r"\{(\w+)\}")


def _words(language: str) -> Catalogue:
    return load_catalogue(find_theme("studio"), language)


def test_german_has_every_sentence_with_the_same_places() -> None:
    german = _words("de").messages
    missing = [key for key in sentences_of_the_steps() if key not in german]
    assert missing == [], "write them in sitegen/words/de.json"
    for key, sentence in sentences_of_the_steps().items():
        assert set(_PLACE.findall(german[key])) == set(_PLACE.findall(sentence)), key


def test_american_counts_measures_and_spells_as_americans_do() -> None:
    said = {**sentences_of_the_steps(), **_words("en-US").messages}
    british = re.compile(r"\bbars?\b|neighbour|crotchet|quaver|\bminim|breve|\blicence|passing note", re.IGNORECASE)
    # a word in braces is a place, not a word
    assert {key: text for key, text in said.items() if british.search(_PLACE.sub("", text))} == {}


@pytest.mark.parametrize(
    ("language", "said"),
    [
        ("en", "In bar 4 the melody goes down by step from B flat to F sharp."),
        ("en-US", "In measure 4 the melody goes down by step from B flat to F sharp."),
        ("de", "In Takt 4 geht die Melodie schrittweise abwärts von B bis Fis."),
    ],
)
def test_notes_have_the_names_of_the_language(language: str, said: str) -> None:
    places = (Filling("bar", "4"), Filling("first", "B flat"), Filling("last", "F sharp"))
    assert tell(_words(language), "listen.melody falls in bar", SENTENCES["melody falls in bar"], places) == said


@pytest.mark.parametrize(
    ("language", "said"),
    [
        ("en", "A4 is struck on the beat against the B minor chord, approached by leap from B3, and resolves down by "
               "step to G4."),
        ("de", "A4 wird auf dem Schlag gegen den Akkord h-Moll angeschlagen, im Sprung von H3 erreicht, und löst sich "
               "schrittweise abwärts zu G4 auf."),
    ],
)  # fmt: skip
def test_a_reason_within_a_reason_is_told_too(language: str, said: str) -> None:
    id_ = next(d.why for d in DEFINITIONS if d.function == "appoggiatura" and not d.weighty)
    places = (
        Filling("note", "A4"), Filling("accent", "on the beat"), Filling("chord", "Bm/D", "chord"),
        Filling("left", "down"), Filling("approached", APPROACHED), Filling("before", "B3"), Filling("after", "G4"),
    )  # fmt: skip
    assert tell(_words(language), f"why.{id_}", REASONS[id_], places) == said


def test_keys_in_sentences_are_named_in_german() -> None:
    places = (Filling("bar", "9"), Filling("key", "B flat minor", "key"))
    assert tell(_words("de"), "listen.new key", SENTENCES["new key"], places) == "Ab Takt 9 steht die Musik in b-Moll."


@pytest.mark.parametrize(
    ("language", "said"),
    [
        ("en", "In bars 2, 3 and 4 the first note of the bar leans: give it weight and let go."),
        ("en-US", "In measures 2, 3 and 4 the first note of the measure leans: give it weight and let go."),
        ("de", "In den Takten 2, 3 und 4 lehnt sich die erste Note an die nächste an: Gib ihr Gewicht und lass los."),
    ],
)
def test_lists_of_bars_are_joined_as_the_language_joins_them(language: str, said: str) -> None:
    places = (Filling("bars", "2, 3 and 4", "list"),)
    assert tell(_words(language), "listen.first notes lean", SENTENCES["first notes lean"], places) == said


@pytest.mark.parametrize(("language", "name"), [("en", "B natural"), ("de", "H")])
def test_a_natural_is_said_where_the_language_says_it(language: str, name: str) -> None:
    assert f" {name} " in tell(_words(language), "x", "The {note} here.", (Filling("note", "B natural"),))
