"""Links from the commentary into the music."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest

from sitegen.errors import ContentError
from sitegen.publishing import excerpt_links
from sitegen.publishing.commentary import publish_commentary
from tests.publishing.pieces import three_bars


def test_a_link_leads_to_its_bars_in_the_stage_it_names() -> None:
    html = publish_commentary(three_bars('<a href="bars:1-2/bass-line">hear it</a>'), "../../")
    assert 'href="../../stages/bass-line/index.html#bars-1-2"' in html
    assert 'data-stage="bass-line"' in html
    assert ">hear it</a>" in html


def test_a_link_without_a_stage_stays_in_the_open_one() -> None:
    html = publish_commentary(three_bars('<a href="bars:0">upbeat</a>'), "")
    assert 'href="index.html#bar-0"' in html
    assert "data-stage" not in html


def test_an_excerpt_is_drawn_with_room_kept_for_it() -> None:
    html = publish_commentary(three_bars('<p><img alt="The bass" src="bars:1-2/bass-line"></p>'), "")
    assert '<img src="excerpts/1.svg" width="300" height="80"' in html
    assert ">The bass</a>" in html


@pytest.mark.parametrize("words", ["<script>alert(1)</script>", "&lt;script&gt;alert(1)&lt;/script&gt;"])
def test_the_words_of_an_excerpt_are_words_however_they_were_written(words: str) -> None:
    """Sanitisers differ in whether they escape these signs in an attribute, where they are harmless."""
    for attributes in (f'alt="{words}" src="bars:1"', f'src="bars:1" alt="{words}"', f'src="bars:1/x" alt="{words}"'):
        html = publish_commentary(three_bars(f"<p><img {attributes}></p>".replace("/x", "/bass-line")), "")
        assert "<script" not in html
        assert ">&lt;script&gt;alert(1)&lt;/script&gt;</a>" in html


def test_the_title_of_a_link_to_bars_does_not_end_it() -> None:
    html = publish_commentary(three_bars('<a href="bars:1" title="a><script>x</script>">hear</a>'), "")
    assert html.endswith('data-last="1">hear</a>')
    assert "<script" not in html


def test_the_excerpts_to_engrave_are_the_pictures_of_music_each_once() -> None:
    text = '<a href="bars:1">a</a><img src="bars:2/x"><img src="cat.png"><img src="bars:2/x">'
    assert excerpt_links(text) == ("bars:2/x",)


@pytest.mark.parametrize(
    ("link", "place", "stage"),
    [
        ("bars:1-2/bass-line", "#bars-1-2", "bass-line"),
        ("bars:1-2/Bass line", "#bars-1-2", "bass-line"),
        ("bars:1-2/BASS LINE", "#bars-1-2", "bass-line"),
        ("bars:1-2/Bass%20line", "#bars-1-2", "bass-line"),
        ("bars:1-2/lowest part", "#bars-1-2", "bass-line"),
        ("bars:1–2", "#bars-1-2", ""),
        ("bars:1-1", "#bar-1", ""),
        ("bar:2", "#bar-2", ""),
        ("bar:1-2", "#bars-1-2", ""),
        ("Bars:1", "#bar-1", ""),
        ("bars:upbeat", "#bar-0", ""),
        ("bars:upbeat-1", "#bars-0-1", ""),
    ],
)
def test_a_link_is_understood_as_a_teacher_writes_it(link: str, place: str, stage: str) -> None:
    piece = three_bars(f'<a href="{link}">hear</a>')
    bass = replace(piece.stages[0], also=("lowest part",))
    html = publish_commentary(replace(piece, stages=(bass, *piece.stages[1:])), "")
    page = f"stages/{stage}/index.html" if stage else "index.html"
    assert f'href="{page}{place}"' in html
    assert (f'data-stage="{stage}"' in html) is bool(stage)


def test_a_bar_that_a_repeat_sign_divides_is_opened_whole() -> None:
    piece = three_bars('<a href="bar:1">hear</a>')
    halves = (replace(piece.bars[1], length=Fraction(2)), replace(piece.bars[1], own="X1", lead=Fraction(2)))
    html = publish_commentary(replace(piece, bars=(piece.bars[0], *halves, piece.bars[2])), "")
    assert '#bar-1" data-first="1" data-last="2"' in html


@pytest.mark.parametrize(
    ("link", "fault"),
    [
        ("bars:", "'bars:' names no bars. Write bars:5-8, bar:4, or bars:5-8/bass-line for a stage"),
        ("bars:1-2-3", "names no bars"),
        ("bars:1, left hand", "names no bars"),
        ("bars:9", "the score has no bar 9. Its bars are 0 to 2"),
        (
            "bars:1/inner-line",
            "the ladder has no stage 'inner-line'. The stages are: Bass line, As written",
        ),
    ],
)
def test_a_link_to_nowhere_is_one_line_that_says_what_there_is(link: str, fault: str) -> None:
    with pytest.raises(ContentError) as raised:
        publish_commentary(three_bars(f'<a href="{link}">hear</a>'), "")
    assert fault in str(raised.value)
