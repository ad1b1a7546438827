"""Words in drawings: whole within their system, no sign that text fonts do not have, apart from each other."""

from __future__ import annotations

import re
from xml.etree import ElementTree

import pytest

from sitegen.engraving.beat_units import runs, width_of_run
from sitegen.engraving.room import Room
from sitegen.engraving.texts import plain_text

END = 5000


def _text(x: int, *words: str, y: int = 300) -> str:
    spans = "".join(f'<tspan class="text"><tspan font-size="400px">{part}</tspan></tspan>' for part in words)
    return f'<text x="{x}" y="{y}" font-size="0px">{spans}</text>'


def _drawn(text: str, room: Room | None = None, kind: str = "dir") -> list[str]:
    return plain_text(text, frozenset({kind}), lambda code, size, x, y: f"<use {code} {x}/>", room or Room(0, END))


def _placed(drawn: str) -> tuple[float, float, float]:
    """Where words begin and end, and their size."""
    text = ElementTree.fromstring(drawn)
    x = float(text.attrib["x"])
    return x, x + sum(map(width_of_run, runs(text))), float(text.attrib["font-size"])


def test_words_that_have_room_stay_as_they_are() -> None:
    assert _drawn(_text(3000, "dolce")) == ['<text x="3000" y="300" font-size="400" font-style="italic">dolce</text>']


def test_words_that_reach_a_little_beyond_the_end_are_smaller_in_their_place() -> None:
    x, to_x, size = _placed(_drawn(_text(4300, "dolce"))[0])
    assert x == 4300
    assert 300 <= size < 400
    assert END - 60 < to_x <= END + 10


@pytest.mark.parametrize("kind", ["dir", "tempo"])
def test_words_that_would_be_too_small_begin_further_left(kind: str) -> None:
    x, to_x, size = _placed(_drawn(_text(4000, "brillante, la melodia"), kind=kind)[0])
    assert x < 4000
    assert size == 300
    assert END - 60 < to_x <= END + 10


def test_words_go_no_further_left_than_to_others_on_their_line() -> None:
    room = Room(0, END)
    _, before, _ = _placed(_drawn(_text(1900, "Andante"), room)[0])
    _drawn(_text(2800, "sempre", y=900), room)
    x, to_x, size = _placed(_drawn(_text(4300, "quasi recitativo"), room)[0])
    assert before < x < 4300
    assert to_x <= END + 10
    assert size < 300


def test_words_that_are_fitted_are_told_their_width_and_others_are_not() -> None:
    """The font of a page is another, and often a wider one."""
    assert 'textLength="' not in _drawn(_text(3000, "dolce"))[0]
    x, to_x, _ = _placed(fitted := _drawn(_text(4300, "dolce"))[0])
    (told,) = re.findall('textLength="(.*?)"', fitted)
    assert abs(float(told) - (to_x - x)) < 10
    *_, last = _drawn(_text(3000, "Andante \ueca3 = 60, vivace"))
    (told,) = re.findall('textLength="(.*?)"', last)
    assert float(told) < 1600


def test_words_wider_than_the_system_are_as_wide_as_it_is() -> None:
    sentence = "si deve suonare tutto questo pezzo delicatissimamente e senza sordini"
    x, to_x, _ = _placed(_drawn(_text(3900, sentence))[0])
    assert x == 0
    assert END - 100 < to_x <= END + 50


def test_each_line_of_words_is_a_text_of_its_own_in_its_place() -> None:
    two = _text(3000, "Allegro").replace(
        "</text>",
        '<tspan class="lb"/><tspan class="text" x="3000" y="690">'
        '<tspan font-size="400px">vivace</tspan></tspan></text>',
    )
    assert [re.sub(r" font-.*?>", ">", line) for line in _drawn(two)] == [
        '<text x="3000" y="300">Allegro</text>',
        '<text x="3000" y="690">vivace</text>',
    ]


@pytest.mark.parametrize(
    ("words", "read"),
    [
        ("\ue522\ue520", "fp"),
        ("sempre \ue520", "sempre p"),
        ("(\ue522) cresc.", "(f) cresc."),
        ("\U0001d15f = 60", "\u2669 = 60"),
        ("dolce \uf0ff", "dolce "),
        ("dolce \U0001d1ab", "dolce "),
    ],
)
def test_signs_that_only_a_music_font_has_are_none_of_another_font(words: str, read: str) -> None:
    """A score's words may hold them as letters of its own font, of which a page or a picture has none."""
    (drawn,) = _drawn(_text(100, words))
    assert "".join(ElementTree.fromstring(drawn).itertext()).replace("\u00a0", " ") == read


@pytest.mark.parametrize(
    ("words", "code"),
    [("\U0001d15e = 60", "ECA3"), ("D.S. \U0001d10b", "E047"), ("al Coda \ue048", "E048"), ("\U0001d10c", "E048")],
)
def test_a_half_note_a_segno_and_a_coda_among_words_are_glyphs(words: str, code: str) -> None:
    drawn = _drawn(_text(100, words))
    assert [part for part in drawn if part.startswith(f"<use {code} ")]
    assert not re.search("[\ue000-\uf8ff\U0001d100-\U0001d1ff]", "".join(drawn))


@pytest.mark.parametrize(
    ("parts", "read"),
    [
        (("SCHERZO", "Allegretto vivace"), "SCHERZO Allegretto vivace"),
        (("Abwesenheit", "In gehender Bewegung"), "Abwesenheit In gehender Bewegung"),
        (("A", "ndante"), "Andante"),
        (("Andante ", "Molto"), "Andante Molto"),
    ],
)
def test_headings_that_a_score_sets_one_after_the_other_do_not_run_together(parts: tuple[str, ...], read: str) -> None:
    (drawn,) = _drawn(_text(100, *parts))
    assert "".join(ElementTree.fromstring(drawn).itertext()).replace("\u00a0", " ") == read


def test_words_in_italics_have_a_width() -> None:
    """The metrics of the italics tell of most signs only how wide their ink is."""
    plain = width_of_run(("dolce 1", {"font-size": "400px"}))
    assert 0.8 < width_of_run(("dolce 1", {"font-size": "400px", "font-style": "italic"})) / plain < 1.1
