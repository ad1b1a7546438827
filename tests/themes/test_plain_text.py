"""A reader of plain text has the page of a piece in its order: title, sentence, stages with their links, commentary."""

from __future__ import annotations

import re
from html.parser import HTMLParser
from itertools import pairwise

import pytest

from sitegen.publishing import PublishedLibrary, render_piece
from tests.publishing.pieces import three_bars

_UNSEEN = {"script", "style", "head", "svg", "noscript"}


class _Reader(HTMLParser):
    """What a browser without pictures, styles and scripts shows: words as they come, links in brackets, a line for each
    block. It knows nothing of ARIA."""

    def __init__(self) -> None:
        super().__init__()
        self.text = ""
        self.headings: list[int] = []
        self._within: list[str] = []
        self._leads: list[str] = []

    def handle_starttag(self, tag: str, attributes: list[tuple[str, str | None]]) -> None:
        given = dict(attributes)
        if tag in _UNSEEN:
            self._within.append(tag)
        elif tag == "a":
            self._leads.append(given.get("href") or "")
        elif tag == "img":
            self.text += f"[{given.get('alt') or ''}]"
        elif re.fullmatch("h[1-6]", tag):
            self.headings.append(int(tag[1]))
        if tag in {"p", "li", "h1", "h2", "h3", "div", "section", "ol", "ul", "summary"}:
            self.text += "\n"

    def handle_endtag(self, tag: str) -> None:
        if self._within and tag == self._within[-1]:
            self._within.pop()
        elif tag == "a":
            self.text += f" <{self._leads.pop()}>"

    def handle_data(self, data: str) -> None:
        if not self._within:
            self.text += re.sub(r"\s+", " ", data)


def _read(theme: str, path: str = "pieces/three-bars/index.html") -> _Reader:
    reader = _Reader()
    piece = three_bars("<h3>Why</h3><p>The bass walks down.</p>")
    reader.feed(render_piece(PublishedLibrary("A studio", theme=theme), piece)[path].decode())
    return reader


def test_a_piece_is_read_in_its_order() -> None:
    piece = three_bars()
    lines = [line.strip() for line in _read("recital").text.split("\n") if line.strip()]
    first, second = piece.stages
    expected = [
        f"{piece.title} {first.listen}",
        f"1 {first.title} <stages/{first.slug}/index.html>",
        f"2 {second.title} <stages/{second.slug}/index.html>",
        "The bass walks down.",
    ]
    found = [lines.index(line) for line in expected]
    assert found == sorted(found)


def test_a_stage_is_named_once_in_the_list_of_stages() -> None:
    text = _read("recital").text
    assert text.count("<stages/bass-line/index.html>") == 1
    (line,) = [line for line in text.split("\n") if "<stages/bass-line/index.html>" in line]
    assert line.count(three_bars().stages[0].title) == 1


@pytest.mark.parametrize("theme", ["base", "recital", "studio"])
@pytest.mark.parametrize("path", ["index.html", "print.html", "stages/as-written/index.html"])
def test_headings_go_down_a_step_at_a_time(theme: str, path: str) -> None:
    levels = _read(theme, f"pieces/three-bars/{path}").headings
    assert levels[0] == 1
    assert [(one, other) for one, other in pairwise(levels) if other > one + 1] == []


def test_music_has_words_in_place_of_its_pictures() -> None:
    page = render_piece(PublishedLibrary("A studio", theme="recital"), three_bars())[
        "pieces/three-bars/index.html"
    ].decode()
    systems = re.findall(r'<div class="system"[^>]*>(.*?)</div>', page, re.S)
    assert systems
    for system in systems:
        assert re.search(r'alt="[^"]+"|aria-label="[^"]+"|<title>[^<]+', system), system
