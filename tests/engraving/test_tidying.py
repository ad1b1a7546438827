"""What tidying takes out of a page of verovio's, and what it leaves."""

from __future__ import annotations

from sitegen.engraving.svg import Tidied, tidy

_PAGE = (
    '<svg viewBox="0 0 76 40"><desc>x</desc><defs><g id="E0A4-abc">'
    '<path transform="scale(1,-1)" d="M0 -39c0 68 1 90 2 91z"/></g></defs>'
    '<style type="text/css">g.tempo {{font-weight:bold;}}</style><svg class="definition-scale" '
    'font-family="Times, serif" viewBox="0 0 760 400"><g class="page-margin" transform="translate(400, 120)">{}</g>'
    "</svg></svg>"
)
_HEAD = '<use href="#E0A4-abc" transform="translate({}, 90) scale(0.72, 0.72)"/>'


def _tidied(inside: str) -> Tidied:
    return tidy(_PAGE.format(inside), {"m1": 4}, frozenset({"a", "b"}))


def _bar(inside: str) -> str:
    """What stays of the content of a staff."""
    body = _tidied(f'<g id="m1" class="measure"><g id="s1" class="staff">{inside}</g></g>').body
    return body.removeprefix('<g data-bar="4"><g class="staff">').removesuffix("</g></g>")


def _note(name: str, inside: str, more: str = "") -> str:
    return f'<g id="{name}" class="note"{more}>{inside}</g>'


def test_a_note_that_is_a_head_and_no_more_is_its_glyph() -> None:
    head = f'<g class="notehead">{_HEAD.format(5)}</g>'
    stem = '<g id="x1" class="stem"><path d="M9 90 L9 30" stroke-width="18"/></g>'
    drawn = _bar(_note("a", f'{head}{stem}<g id="x2" class="accid"/>'))
    assert drawn == '<g><path stroke-width="18" d="M9 90v-60"/><use id="a" href="#0A4" x="5" y="90"/></g>'


def test_a_note_with_an_accidental_is_a_group_that_its_head_begins() -> None:
    sharp = f'<g id="x3" class="accid">{_HEAD.format(1)}</g>'
    drawn = _bar(_note("a", f'<g class="notehead">{_HEAD.format(5)}</g>{sharp}'))
    assert drawn == '<g><g id="a"><use href="#0A4" x="5" y="90"/><use href="#0A4" x="1" y="90"/></g></g>'


def test_dots_of_a_staff_are_one_path() -> None:
    dot = '<g id="x3" class="dots"><ellipse cx="{}" cy="90" rx="3" ry="3"/></g>'
    head = f'<g class="notehead">{_HEAD.format(5)}</g>'
    drawn = _bar(_note("a", head + dot.format(7)) + _note("b", head + dot.format(20)))
    assert drawn == (
        '<g><path stroke-width="6" stroke-linecap="round" d="M7 90h1m12 0h1"/>'
        '<use id="a" href="#0A4" x="5" y="90"/><use id="b" href="#0A4" x="5" y="90"/></g>'
    )


def test_an_accidental_given_twice_is_drawn_once() -> None:
    twice = f'<g id="x4" class="accid">{_HEAD.format(1)}</g>' * 2
    assert _bar(twice) == '<g><use href="#0A4" x="1" y="90"/></g>'


def test_what_is_hidden_stays_hidden_with_its_stem() -> None:
    stem = '<g id="x1" class="stem"><path d="M9 90 L9 30" stroke-width="18"/></g>'
    drawn = _bar(_note("b", f'<g class="notehead">{_HEAD.format(5)}</g>{stem}', ' visibility="hidden"'))
    assert drawn == (
        '<g><g id="b" visibility="hidden"><path stroke-width="18" d="M9 90v-60"/>'
        '<use href="#0A4" x="5" y="90"/></g></g>'
    )


def test_a_note_that_shows_nothing_keeps_its_id() -> None:
    assert _bar('<g id="a" class="note"/><g id="x5" class="space"/>') == '<g><g id="a"/></g>'


def test_a_glyph_that_is_turned_is_defined() -> None:
    found = _tidied('<use href="#E0A4-abc" transform="translate(1, 2) rotate(90)"/>')
    assert found.body == '<use href="#0A4-1" transform="translate(1, 2) rotate(90)"/>'
    assert found.glyphs == {"0A4-1": '<path id="0A4-1" d="M0 39c0-68 1-90 2-91z"/>'}


def test_what_is_only_a_mark_in_the_score_is_not_drawn() -> None:
    assert _tidied('<g id="x6" class="sb placeholder"><ellipse cx="0" cy="0" rx="9" ry="9"/></g>').body == ""


def test_beams_of_a_staff_have_one_direction_whichever_side_is_drawn_first() -> None:
    """Where two overlap, a path that goes round the other way would leave a hole."""
    downward = '<polygon points="0,0 9,3 9,12 0,9"/>'
    upward = '<polygon points="0,9 9,12 9,3 0,0"/>'
    backward = '<polygon points="9,3 0,0 0,9 9,12"/>'
    assert _bar(downward) == _bar(upward) == _bar(backward) == '<g><path d="M0 0v9l9 3v-9z"/></g>'
    assert _bar('<polygon points="0,0 9,0 9,9 0,9"/>') == '<g><path d="M0 0v9h9v-9z"/></g>'
    assert _bar(downward + '<polygon points="20,5 29,5 29,14 20,14"/>') == (
        '<g><path d="M0 0v9l9 3v-9zm20 5v9h9v-9z"/></g>'
    )


def test_words_are_one_element_with_the_style_of_their_kind() -> None:
    words = '<tspan id="t1" class="rend"><tspan font-size="45px">dolce</tspan></tspan>'
    nested = f'<text x="1" y="2" font-size="0px">{words}</text>'
    found = _tidied(f'<g id="m1" class="measure"><g id="x7" class="dir">{nested}</g></g>')
    assert found.body == ('<g data-bar="4"><text x="1" y="2" font-size="45" font-style="italic">dolce</text></g>')
    assert found.bars == (4,)


def test_the_lines_of_a_staff_are_those_of_the_sheet_stretched() -> None:
    lines = "".join(f'<path d="M60 {y} L560 {y}" stroke-width="13"/>' for y in range(100, 1000, 180))
    found = _tidied(f'<g id="m1" class="measure"><g id="s1" class="staff">{lines}</g></g>')
    assert found.body == '<g data-bar="4"><g><use href="#5" transform="matrix(500 0 0 1 60 100)"/></g></g>'
    assert found.glyphs["5"].count("h1v13h-1z") == 5


def test_a_clef_and_its_signature_are_one_glyph_made_of_several() -> None:
    clef = '<g class="clef"><use href="#E050-abc" transform="translate(100, 90) scale(0.72, 0.72)"/></g>'
    sharps = "".join(f'<g class="keyAccid">{_HEAD.format(x)}</g>' for x in (200, 250))
    drawn = _PAGE.replace(
        '<g id="E0A4', '<g id="E050-abc"><path transform="scale(1,-1)" d="M0 0h10v10z"/></g><g id="E0A4'
    )
    inside = f'<g id="m1" class="measure"><g id="s1" class="staff">{clef}<g class="keySig">{sharps}</g></g></g>'
    found = tidy(drawn.format(inside), {"m1": 4}, frozenset())
    (name,) = (name for name in found.glyphs if name not in ("0A4", "050"))
    assert found.body == f'<g data-bar="4"><g class="staff"><g><use href="#{name}" x="100" y="90"/></g></g></g>'
    assert found.glyphs[name] == (
        f'<g id="{name}"><use href="#050" x="0" y="0"/>'
        '<use href="#0A4" x="100" y="0"/><use href="#0A4" x="150" y="0"/></g>'
    )


def test_a_bar_line_through_the_staves_is_one_stroke() -> None:
    parts = "".join(f'<path d="M9 {y} L9 {to}" stroke-width="27"/>' for y, to in ((0, 72), (90, 162), (72, 90)))
    found = _tidied(f'<g id="m1" class="measure"><g id="x1" class="barLine">{parts}</g></g>')
    assert found.body == '<g data-bar="4"><path class="barLine" stroke-width="27" d="M9 0v162"/></g>'


def test_the_fingering_of_a_staff_is_one_text() -> None:
    """A figure belongs to the staff that is nearer, above it or below."""
    staves = "".join(
        f'<g id="s{top}" class="staff">'
        + "".join(f'<path d="M0 {top + y} L90 {top + y}" stroke-width="13"/>' for y in range(0, 900, 180))
        + "</g>"
        for top in (1000, 3000)
    )
    figures = "".join(
        f'<g class="fing"><text x="{x}" y="{y}" text-anchor="middle" font-size="0px">'
        f'<tspan class="text"><tspan font-size="303px">{figure}</tspan></tspan></text></g>'
        for x, y, figure in ((10, 900, "1"), (10, 2900, "5"), (40, 2200, "2"))
    )
    body = _tidied(f'<g id="m1" class="measure">{staves}{figures}</g>').body
    style = 'text-anchor="middle" font-size="303" font-weight="bold"'
    assert body.endswith(f'<text x="10 40" y="900 2200" {style}>12</text><text x="10" y="2900" {style}>5</text></g>')


def test_a_system_begins_with_its_line_and_its_brace_as_one_glyph() -> None:
    brace = "".join(
        f'<path d="M-72,{y} C-432,{y - 54} 18,{y - 99} -252,{y - 115} C81,{y - 99} -369,{y - 54} -72,{y}" '
        'stroke-width="18" stroke-linecap="round" stroke-linejoin="round"/>'
        for y in (862, 758)
    )
    found = _tidied(
        f'<path d="M13 540 L13 880" stroke-width="27"/><g class="grpSym">{brace}</g><g id="m1" class="measure"/>'
    )
    (name,) = found.glyphs
    assert found.body.startswith(f'<use href="#{name}" y="540"/>')
    assert found.glyphs[name].startswith(
        f'<g id="{name}"><path stroke-width="27" d="M13 0v340"/><path stroke-width="18" d="M-72 322c'
    )


def test_a_slur_has_room_above_and_below() -> None:
    """verovio's page of a system ends where its staves and words end."""
    assert _tidied("").height == 400
    slur = '<path d="M0,200 C30,{0} 60,{0} 90,200 C60,{0} 30,{0} 0,200" stroke-width="9" stroke-linecap="round" '
    slur += 'stroke-linejoin="round"/>'
    below, above, within = (_tidied(slur.format(y)) for y in (600, -600, 300))
    assert (within.top, within.height) == (120, 400)
    assert (below.top, below.height) == (120, 500 + 120)
    assert (above.top, above.height) == (400, 400 + 280)
