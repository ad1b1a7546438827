"""Commentary is Markdown, and nothing in it can run, style or load from elsewhere."""

from __future__ import annotations

import re

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sitegen.errors import ContentError
from sitegen.library import to_html
from tests.elements import elements_of

HOSTILE = [
    "<script>alert(1)</script>",
    "<img src=x onerror=alert(1)>",
    "[x](javascript:alert(1))",
    "[x](JaVaScRiPt:alert(1))",
    "![x](data:image/svg+xml;base64,PHN2Zz4=)",
    '<a href="data:text/html,x">x</a>',
    "<iframe src='https://example.org'></iframe>",
    "<svg onload=alert(1)><script>1</script></svg>",
    "<p style='position:fixed'>x</p>",
    "<style>p { display: none }</style>",
    "<form action='https://example.org'><input></form>",
    "<object data=x></object><embed src=x><base href='//example.org'>",
    "<math><mtext><style><img src onerror=alert(1)></style></mtext></math>",
    "<!-- --><script>1</script -->",
    "<p id='player' class='x' name='y'>x</p>",
    "<meta http-equiv=refresh content='0;url=https://example.org'>",
]


def _is_harmless(html: str) -> bool:
    allowed = {"a": {"href", "title", "rel"}, "img": {"src", "alt", "title"}, "abbr": {"title"}, "ol": {"start"}}
    forbidden = {"script", "style", "iframe", "svg", "math", "object", "embed", "base", "form", "input", "meta", "link"}
    for tag, attributes in elements_of(html):
        schemes = {re.match(r"\s*([a-z]+):", attributes.get(name, "").lower()) for name in ("href", "src")}
        if tag in forbidden or attributes.keys() - allowed.get(tag, set()):
            return False
        if {match[1] for match in schemes if match} - {"http", "https", "mailto", "bars"}:
            return False
    return True


@pytest.mark.parametrize("text", HOSTILE)
def test_hostile_commentary_is_made_harmless(text: str) -> None:
    # Markdown's own links are hostile only once they are HTML
    assert not _is_harmless(text) or text.startswith(("[", "!["))
    assert _is_harmless(to_html(text))


@settings(max_examples=60, deadline=None)
@given(st.lists(st.sampled_from([*HOSTILE, "**", "`", "> ", "\n\n", "* a", "<", ">", '"', "[a](", ")"]), max_size=8))
def test_pieces_of_hostile_commentary_together_are_harmless(parts: list[str]) -> None:
    assert _is_harmless(to_html("".join(parts)))


def test_ordinary_markdown_is_kept() -> None:
    html = to_html("## The bass\n\nIt *falls*, **slowly**.\n\n1. Sing\n2. Play\n\n| a | b |\n|---|---|\n| c | d |\n")
    for wanted in ("<h2>The bass</h2>", "<em>falls</em>", "<strong>slowly</strong>", "<ol>", "<table>"):
        assert wanted in html


def test_headings_begin_below_that_of_the_page() -> None:
    assert to_html("# The bass\n\n## Its end") == "<h2>The bass</h2>\n<h2>Its end</h2>"


def test_links_to_bars_the_web_and_files_are_kept() -> None:
    html = to_html("[bars](bars:5-8) [web](https://example.org/a) [file](notes.pdf) [mail](mailto:a@example.org)")
    assert re.findall(r'href="([^"]*)"', html) == ["bars:5-8", "https://example.org/a", "notes.pdf",
                                                   "mailto:a@example.org"]  # fmt: skip


@pytest.mark.parametrize("address", ["https://example.org/a.png", "//example.org/a.png", r"\\example.org\a.png"])
def test_a_picture_of_another_site_is_not_shown(address: str) -> None:
    assert "src=" not in to_html(f"![x]({address})")
    assert "src=" not in to_html(f"<img src='{address}' alt='x'>")
    assert 'src="a/hand.png"' in to_html("![x](a/hand.png)")


@pytest.mark.parametrize("text", ["> " * 3000 + "x", "[" * 50, "*" * 5000, "`" * 5000], ids=lambda text: text[:2])
def test_deep_nesting_is_survived(text: str) -> None:
    assert _is_harmless(to_html(text))


def test_lists_nested_out_of_all_reason_are_refused() -> None:
    with pytest.raises(ContentError, match="nested too deeply"):
        to_html("* " * 2000 + "x")


def test_much_that_is_begun_and_nothing_that_ends_is_refused_with_its_line() -> None:
    with pytest.raises(ContentError, match="more than 50 square brackets") as raised:
        to_html("Words.\n\n" + "[" * 20_000)
    assert raised.value.line == 3


def test_a_long_list_of_links_is_no_matter() -> None:
    assert to_html("".join(f"* [bar {n}](bars:{n}) (again)\n" for n in range(300))).count("<li>") == 300
