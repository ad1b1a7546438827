"""Links from the commentary into the music."""

from __future__ import annotations

import pytest

from sitegen.errors import ContentError
from sitegen.publishing import excerpt_links, music_links, read_address
from sitegen.publishing.commentary import publish_commentary
from tests.publishing.pieces import three_bars


def test_a_link_leads_to_its_bars_in_the_stage_it_names() -> None:
    html = publish_commentary(three_bars('<a href="bars:1-2/bass-line">hear it</a>'), "../../")
    assert 'href="../../stages/bass-line/index.html#bars-1-2"' in html
    assert 'data-stage="bass-line"' in html
    assert ">hear it</a>" in html


def test_a_link_without_a_stage_stays_in_the_open_one() -> None:
    html = publish_commentary(three_bars('<a href="bars:0">upbeat</a>'), "")
    assert 'href="index.html#bars-0-0"' in html
    assert "data-stage" not in html


def test_an_excerpt_is_drawn_with_room_kept_for_it() -> None:
    html = publish_commentary(three_bars('<p><img alt="The bass" src="bars:1-2/bass-line"></p>'), "")
    assert '<img src="excerpts/1.svg" width="300" height="80"' in html
    assert ">The bass</a>" in html


def test_all_links_and_excerpts_are_found_for_checking() -> None:
    text = '<a href="bars:1">a</a><img src="bars:2/x"><a href="https://example.org">b</a><img src="bars:2/x">'
    assert list(music_links(text)) == ["bars:1", "bars:2/x", "bars:2/x"]
    assert excerpt_links(text) == ("bars:2/x",)


@pytest.mark.parametrize(
    ("link", "fault"),
    [
        ("bars:", "names no bars"),
        ("bars:1-2-3", "names no bars"),
        ("bars:9", "names bar 9, which the score has not. Its bars are 0 to 2"),
        (
            "bars:1/inner-line",
            "the stage 'inner-line', which the ladder has not. Its stages are: bass-line, as-written",
        ),
    ],
)
def test_a_link_to_nowhere_is_one_line_that_says_what_there_is(link: str, fault: str) -> None:
    with pytest.raises(ContentError) as raised:
        publish_commentary(three_bars(f'<a href="{link}">hear</a>'), "")
    assert fault in str(raised.value)


def test_bars_are_named_as_printed() -> None:
    address = read_address("bars:12a-14/as-written")
    assert (address.first, address.last, address.stage) == ("12a", "14", "as-written")
