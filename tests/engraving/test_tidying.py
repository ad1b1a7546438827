"""What tidying takes out of a page of verovio's, and what it leaves."""

from __future__ import annotations

from sitegen.engraving.svg import Tidied, tidy

_PAGE = (
    '<svg viewBox="0 0 76 40"><desc>x</desc><defs><g id="E0A4-abc"><path transform="scale(1,-1)" d="M0 -39c0 68 z"/>'
    '</g></defs><style type="text/css">g.tempo {{font-weight:bold;}}</style><svg class="definition-scale" '
    'font-family="Times, serif" viewBox="0 0 760 400"><g class="page-margin" transform="translate(400, 120)">{}</g>'
    "</svg></svg>"
)
_HEAD = '<use href="#E0A4-abc" transform="translate({}, 90) scale(0.72, 0.72)"/>'


def _tidied(inside: str) -> Tidied:
    return tidy(_PAGE.format(inside), {"m1": 4}, frozenset({"a", "b"}))


def _bar(inside: str) -> str:
    """What stays of the content of a staff."""
    body = _tidied(f'<g id="m1" class="measure"><g id="s1" class="staff">{inside}</g></g>').body
    return body.removeprefix('<g class="measure" data-bar="4"><g class="staff">').removesuffix("</g></g>")


def _note(name: str, inside: str, more: str = "") -> str:
    return f'<g id="{name}" class="note"{more}>{inside}</g>'


def test_a_note_that_is_a_head_and_no_more_is_its_glyph() -> None:
    head = f'<g class="notehead">{_HEAD.format(5)}</g>'
    stem = '<g id="x1" class="stem"><path d="M9 90 L9 30" stroke-width="18"/></g>'
    drawn = _bar(_note("a", f'{head}{stem}<g id="x2" class="accid"/>'))
    assert drawn == '<g><path stroke-width="18" d="M9 90V30"/><use id="a" href="#E0A4" x="5" y="90"/></g>'


def test_a_note_with_a_dot_is_a_group_that_its_head_begins() -> None:
    dot = '<g id="x3" class="dots"><ellipse cx="7" cy="90" rx="3" ry="3"/></g>'
    drawn = _bar(_note("a", f'<g class="notehead">{_HEAD.format(5)}</g>{dot}'))
    assert drawn == '<g><g id="a"><use href="#E0A4" x="5" y="90"/><ellipse cx="7" cy="90" rx="3" ry="3"/></g></g>'


def test_an_accidental_given_twice_is_drawn_once() -> None:
    twice = f'<g id="x4" class="accid">{_HEAD.format(1)}</g>' * 2
    assert _bar(twice) == '<g><use href="#E0A4" x="1" y="90"/></g>'


def test_what_is_hidden_stays_hidden_with_its_stem() -> None:
    stem = '<g id="x1" class="stem"><path d="M9 90 L9 30" stroke-width="18"/></g>'
    drawn = _bar(_note("b", f'<g class="notehead">{_HEAD.format(5)}</g>{stem}', ' visibility="hidden"'))
    assert drawn == (
        '<g><g id="b" visibility="hidden"><path stroke-width="18" d="M9 90V30"/>'
        '<use href="#E0A4" x="5" y="90"/></g></g>'
    )


def test_a_note_that_shows_nothing_keeps_its_id() -> None:
    assert _bar('<g id="a" class="note"/><g id="x5" class="space"/>') == '<g><g id="a"/></g>'


def test_a_glyph_that_is_turned_is_defined() -> None:
    found = _tidied('<use href="#E0A4-abc" transform="translate(1, 2) rotate(90)"/>')
    assert found.body == '<use href="#E0A4-1" transform="translate(1, 2) rotate(90)"/>'
    assert found.glyphs == {"E0A4-1": '<g id="E0A4-1"><path transform="scale(1,-1)" d="M0-39c0 68z"/></g>'}


def test_what_is_only_a_mark_in_the_score_is_not_drawn() -> None:
    assert _tidied('<g id="x6" class="sb placeholder"><ellipse cx="0" cy="0" rx="9" ry="9"/></g>').body == ""


def test_beams_of_a_staff_have_one_direction_whichever_side_is_drawn_first() -> None:
    """Where two overlap, a path that goes round the other way would leave a hole."""
    downward = '<polygon points="0,0 9,3 9,12 0,9"/>'
    upward = '<polygon points="0,9 9,12 9,3 0,0"/>'
    assert _bar(downward) == _bar(upward) == '<g><path d="M0 0L9 3V12L0 9z"/></g>'
    assert _bar('<polygon points="0,0 9,0 9,9 0,9"/>') == '<g><path d="M0 0H9V9H0z"/></g>'


def test_words_are_one_element_with_the_style_of_their_kind() -> None:
    words = '<tspan id="t1" class="rend"><tspan font-size="405px">dolce</tspan></tspan>'
    nested = f'<text x="1" y="2" font-size="0px">{words}</text>'
    found = _tidied(f'<g id="m1" class="measure"><g id="x7" class="dir">{nested}</g></g>')
    assert found.body == (
        '<g class="measure" data-bar="4"><text x="1" y="2" font-size="405px" font-style="italic">dolce</text></g>'
    )
    assert found.bars == (4,)
