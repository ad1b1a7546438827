"""Commentary: telling front matter from Markdown, and Markdown as HTML that is safe to publish."""

from __future__ import annotations

import re
from functools import lru_cache
from pathlib import Path

import markdown
import nh3

from sitegen.errors import ContentError
from sitegen.library.limits import check_commentary

TAGS = {"a", "abbr", "b", "blockquote", "br", "code", "dd", "del", "dl", "dt", "em", "h2", "h3", "h4", "h5", "hr", "i",
         "img", "li", "ol", "p", "pre", "q", "s", "strong", "sub", "sup", "table", "tbody", "td", "th", "thead", "tr",
         "ul"}  # fmt: skip
ATTRIBUTES = {"a": {"href", "title"}, "img": {"src", "alt", "title"}, "abbr": {"title"}, "ol": {"start"}}
#: What a block of code says of its language, which no page shows.
_LANGUAGE = re.compile(r'<code class="language-[^"]*">')
SCHEMES = {"http", "https", "mailto", "bars", "bar", "piece"}


def split_front_matter(text: str, file: Path) -> tuple[str, int, str, int]:
    """Front matter, its first line, commentary, its first line.

    Raises ``ContentError`` where the text does not begin with front matter between two lines of ``---``.
    """
    lines = text.split("\n")
    if lines[0].strip() != "---":
        raise ContentError(
            "begins without front matter", "Begin with a line '---', the fields, and '---'.", file, line=1
        )
    end = next((i for i, line in enumerate(lines[1:], 1) if line.strip() == "---"), None)
    if end is None:
        raise ContentError("its front matter has no end", "Put a line '---' after the last field.", file, line=1)
    return "\n".join(lines[1:end]), 2, "\n".join(lines[end + 1 :]), end + 2


@lru_cache(maxsize=8)
def to_raw_html(text: str) -> str:
    """Markdown as HTML, whatever its author wrote: not to be published. Raises ``ContentError``, whose line counts from
    1 within ``text``, for what is longer, or nested deeper, than may be (``limits.py``)."""
    check_commentary(text)
    try:
        html = markdown.markdown(text, extensions=["tables", "sane_lists", "smarty", "abbr", "def_list", "fenced_code"])
    except RecursionError as error:
        raise ContentError("lists or quotations are nested too deeply", "Write them in fewer levels.") from error
    html = html.replace("<h1>", "<h2>").replace("</h1>", "</h2>")
    return _LANGUAGE.sub("<code>", html)


def to_html(text: str) -> str:
    """Markdown as HTML in which nothing can run: only text, lists, tables, pictures and links.

    Headings begin at the second level, since the page has one of its own. Links may lead to web pages, mail, other
    pieces and files beside the page, and bars (``bars:5-8``); pictures are files beside the page, or bars. Raises
    ``ContentError`` as ``to_raw_html`` does.
    """
    return nh3.clean(
        to_raw_html(text),
        tags=TAGS,
        attributes=ATTRIBUTES,
        attribute_filter=_kept,
        url_schemes=SCHEMES,
        link_rel="noopener",
    )


def is_shown(address: str) -> bool:
    """Whether a picture has an address of which it is shown: a file beside the page, or bars. A picture of another
    site would tell that site of every reader."""
    return bool(re.match(r"bars?:|[^:/\\][^:]*$", address.strip(), re.IGNORECASE))


def _kept(tag: str, attribute: str, value: str) -> str | None:
    return None if tag == "img" and attribute == "src" and not is_shown(value) else value
