"""A page taken apart as a browser takes it apart, without anything of the program."""

from __future__ import annotations

from html.parser import HTMLParser


def elements_of(html: str) -> list[tuple[str, dict[str, str]]]:
    """The elements of a page in order, each with its attributes."""
    page = _Page()
    page.feed(html)
    page.close()
    return page.found


class _Page(HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.found: list[tuple[str, dict[str, str]]] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.found.append((tag, {name: value or "" for name, value in attrs}))
