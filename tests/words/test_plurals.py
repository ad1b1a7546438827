"""How languages count, which way they are written, and what lies over what."""

from __future__ import annotations

import pytest

from sitegen.publishing import Catalogue
from sitegen.words import amended, direction_of, form_of, forms_of, lacking, laid_over, wrong_with

ENGLISH = {"bars.one": "{count} bar", "bars.other": "{count} bars", "gains": "Bar {bar} gains {count} notes.",
           "chord.other": "the {chord} chord", "chord.minor": "the {root} minor chord", "play": "Play"}  # fmt: skip


@pytest.mark.parametrize(
    ("language", "forms"),
    [
        ("en", ["one", "other", "other", "other", "other"]),
        ("pl", ["one", "few", "many", "few", "many"]),
        ("ar", ["one", "two", "few", "many", "other"]),
        ("ja", ["other", "other", "other", "other", "other"]),
        ("xx", ["one", "other", "other", "other", "other"]),
    ],
)
def test_numbers_have_the_forms_that_their_language_has(language: str, forms: list[str]) -> None:
    assert [form_of(language, count) for count in (1, 2, 5, 22, 100)] == forms


def test_a_language_needs_the_forms_that_it_has() -> None:
    assert forms_of("de") == ("one", "other")
    assert forms_of("pl") == ("one", "few", "many", "other")
    assert forms_of("ja") == ("other",)
    assert forms_of("fr") == ("one", "other")  # the one for millions is not asked for


def test_languages_are_written_their_way() -> None:
    assert [direction_of(tag) for tag in ("he", "ar-EG", "dv", "de", "en-US", "xx")] == ["rtl"] * 3 + ["ltr"] * 3


def test_a_form_that_is_wanting_gives_way_to_other() -> None:
    words = Catalogue("pl", {"bars.one": "{count} takt", "bars.other": "{count} taktu"})
    assert [words("bars", count=count) for count in (1, 2, 5)] == ["1 takt", "2 taktu", "5 taktu"]


def test_forms_of_two_languages_are_not_mixed() -> None:
    over = laid_over(ENGLISH, {"bars.few": "{count} takty", "bars.other": "{count} taktu"})
    assert {key: text for key, text in over.items() if key.startswith("bars")} == {
        "bars.few": "{count} takty", "bars.other": "{count} taktu"
    }  # fmt: skip
    without = laid_over(ENGLISH, {"bars": "小節 {count}"})
    assert Catalogue("ja", without)("bars", count=3) == "小節 3"
    # but in one language they are of one piece
    assert amended(ENGLISH, {"bars.one": "one bar"})["bars.other"] == "{count} bars"


def test_a_sentence_of_the_steps_has_forms_where_a_language_wants_them() -> None:
    given = {
        "gains.few": "{bar}: {count} nuty",
        "gains.many": "{bar}: {count} nut",
        "gains.other": "{bar}: {count} nuty",
    }
    words = Catalogue("pl", laid_over(ENGLISH, given))
    said = [words.sentence("gains", ENGLISH["gains"], {"bar": "4", "count": count}) for count in ("2", "5")]
    assert said == ["4: 2 nuty", "4: 5 nut"]


def test_what_is_lacking_is_named_form_by_form() -> None:
    words = {"bars.one": "takt", "bars.many": "{count} taktów", "chord.other": "akord {chord}"}
    assert lacking(ENGLISH, words, "pl") == ["bars.few", "bars.other", "gains", "chord.minor", "play"]
    assert lacking(ENGLISH, {**words, "bars": "takty"}, "pl") == ["gains", "chord.minor", "play"]


@pytest.mark.parametrize(
    ("key", "text"),
    [
        ("bars.one", "jeden takt"), ("bars.few", "{count} takty"), ("bars", "takty: {count}"), ("pitch.F#", "fis"),
        ("gains.few", "Takt {bar} zyskuje {count} nuty."), ("chord.minor", "{small}-Moll"), ("play", "<b>Graj</b>"),
    ],
)  # fmt: skip
def test_sound_sentences(key: str, text: str) -> None:
    assert wrong_with(key, text, ENGLISH, "pl") is None


@pytest.mark.parametrize(
    ("key", "text", "what", "remedy"),
    [
        ("paly", "Graj", "no sentence is called 'paly'", "Perhaps 'play'."),
        ("play.few", "Graj", "no sentence is called 'play.few'", "Perhaps 'play'."),
        ("play", 4, "'play' is no text", "Put the sentence in quotation marks."),
        ("bars.two", "{count} takty", "'bars.two': 'pl' has no form 'two'", "It has: one, few, many, other."),
        ("gains", "{count} nut", "'gains' lacks the place {bar}", "English says: Bar {bar} gains {count} notes."),
        ("play", "{this}", "'play' has the place {this}, which nothing fills", "It has none."),
        (
            "gains",
            "{bar} {count} {x}",
            "'gains' has the place {x}, which nothing fills",
            "It may have: {bar}, {count}.",
        ),
    ],
)
def test_sentences_at_fault(key: str, text: object, what: str, remedy: str) -> None:
    assert wrong_with(key, text, ENGLISH, "pl") == (what, remedy)


@pytest.mark.parametrize(
    "text", ["{bar", "{bar.__class__} {count}", "{bar!r} {count}", "{0} {count}", "{bar:>9} {count}"]
)
def test_a_place_is_a_name_and_nothing_else(text: str) -> None:
    wrong = wrong_with("gains", text, ENGLISH, "pl")
    assert wrong is not None
    assert wrong[0] == "'gains' has a brace that is none of a place"
