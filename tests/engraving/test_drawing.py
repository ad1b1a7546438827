"""Drawings that a page may show: nothing in them runs, styles or reaches out; the notes keep their names."""

from __future__ import annotations

import re
from itertools import pairwise
from xml.etree import ElementTree

import pytest

from sitegen.engraving import LAYOUTS, Engraving, Sheet, engrave_bars, engrave_incipit, music_font
from sitegen.engraving import engrave as engrave_text
from sitegen.errors import EngravingError
from sitegen.notation import write_stage
from tests.engraving.engraved import engraved
from tests.notation import ids_of, score_of
from tests.score.files import mei, mei_bar, mei_note
from tests.writing.reading_back import stage_of

RIGHT = "C5q D5 E5 F5g G5 | " * 7 + "F#5h!trill C5+E5+G5h^!arp"
LEFT = "C3e G3 E3 G3 C3 G3 E3 G3 | " * 7 + "C3w"
GLYPH = re.compile(r"5|E?[0-9A-F]{3}(-[0-9.]+){0,2}|0[0-9a-f]{8}")
STAFF = ".//{*}g[@data-bar]/{*}g/{*}use[@href='#5']/.."


@pytest.fixture(scope="module")
def eight_bars() -> Engraving:
    return engraved(RIGHT, LEFT)


def _all(engraving: Engraving) -> list[Sheet]:
    return [sheet for sheets in engraving.sheets.values() for sheet in sheets]


def test_there_is_a_drawing_for_every_layout(eight_bars: Engraving) -> None:
    assert set(eight_bars.sheets) == {layout.name for layout in LAYOUTS}
    assert all(eight_bars.sheets.values())


def test_nothing_in_a_drawing_runs_or_brings_styles(eight_bars: Engraving) -> None:
    for sheet in _all(eight_bars):
        root = ElementTree.fromstring(sheet.svg)
        tags = {element.tag.split("}")[-1] for element in root.iter()}
        assert not tags & {"style", "script", "foreignObject", "image", "a"}
        names = {name.split("}")[-1] for element in root.iter() for name in element.attrib}
        assert "style" not in names
        assert not [name for name in names if name.startswith("on")]


def test_drawing_refers_to_nothing_but_its_own_glyphs(eight_bars: Engraving) -> None:
    for sheet in _all(eight_bars):
        own = {e.get("id") for e in ElementTree.fromstring(sheet.svg).iter()}
        for target in re.findall(r'href="([^"]*)"', sheet.svg):
            assert target[0] == "#"
            assert target[1:] in own
        assert "url(" not in sheet.svg


def test_every_note_is_drawn_once_in_each_layout_under_its_own_id(eight_bars: Engraving) -> None:
    wanted = sorted(ids_of(score_of(RIGHT, LEFT)).split())
    for sheets in eight_bars.sheets.values():
        ids = [e.get("id", "") for s in sheets for e in ElementTree.fromstring(s.svg).iter() if e.get("id")]
        assert sorted(name for name in ids if not GLYPH.fullmatch(name)) == wanted


def test_ids_within_a_drawing_are_unique(eight_bars: Engraving) -> None:
    for sheet in _all(eight_bars):
        ids = [e.get("id") for e in ElementTree.fromstring(sheet.svg).iter() if e.get("id")]
        assert len(ids) == len(set(ids))


def test_systems_hold_all_bars_in_order(eight_bars: Engraving) -> None:
    for sheets in eight_bars.sheets.values():
        assert [bar for sheet in sheets for s in sheet.systems for bar in range(s.first_bar, s.last_bar + 1)] == list(
            range(8)
        )


def test_bars_are_marked_in_the_drawing(eight_bars: Engraving) -> None:
    for sheet in _all(eight_bars):
        marked = [int(bar) for bar in re.findall(r'data-bar="(\d+)"', sheet.svg)]
        assert marked == [bar for s in sheet.systems for bar in range(s.first_bar, s.last_bar + 1)]


def test_narrow_layouts_have_more_systems_and_keep_their_width(eight_bars: Engraving) -> None:
    counts = {name: sum(len(sheet.systems) for sheet in sheets) for name, sheets in eight_bars.sheets.items()}
    assert counts["wide"] < counts["phone"] <= counts["large"]
    for layout in LAYOUTS:
        assert all(0 < s.width <= layout.width and s.height > 0 for s in eight_bars.sheets[layout.name])


def test_size_in_tenths_is_that_of_the_view_box(eight_bars: Engraving) -> None:
    for sheet in _all(eight_bars):
        box = ElementTree.fromstring(sheet.svg).get("viewBox", "").split()
        assert [float(side) / 10 for side in box] == [0, 0, sheet.width, sheet.height]


def test_systems_of_a_sheet_stand_apart_one_under_the_other(eight_bars: Engraving) -> None:
    for sheet in _all(eight_bars):
        assert sheet.systems[0].y == 0
        for above, below in pairwise(sheet.systems):
            assert below.y >= above.y + above.height + 10
        assert sheet.systems[-1].y + sheet.systems[-1].height == pytest.approx(sheet.height)
        groups = ElementTree.fromstring(sheet.svg).iterfind("{*}g")
        tops = [float(group.get("transform", "").split(" ")[1].rstrip(")")) / 10 for group in groups]
        assert all(s.y < top < s.y + s.height for s, top in zip(sheet.systems, tops, strict=True))


def test_a_phone_fetches_little_before_its_first_music() -> None:
    """The first sheet of a narrow layout is small; what follows comes in few files."""
    sheets = engraved(
        " | ".join(["C5e D5 E5 F5 G5 F5 E5 D5"] * 144), " | ".join(["C3e G3 E3 G3 C3 G3 E3 G3"] * 144)
    ).sheets
    for layout in ("phone", "large"):
        first, *others = sheets[layout]
        assert len(first.svg) < 65_000
        assert len(first.svg) < len(others[0].svg) / 2
        assert 1 <= len(others) <= 3
    assert len(sheets["wide"]) <= 2


def test_a_sheet_holds_at_least_one_system() -> None:
    dense = " ".join(["C5+E5+G5t"] * 32)
    assert [len(sheet.systems) for sheet in engraved(dense, metre="4/4").sheets["wide"]] == [1]


def test_glyphs_are_defined_once_a_sheet(eight_bars: Engraving) -> None:
    for sheet in _all(eight_bars):
        assert sheet.svg.count("<defs>") == 1
        assert sheet.svg.count('id="050"') == 1


def test_drawing_takes_its_colour_from_the_page(eight_bars: Engraving) -> None:
    for sheet in _all(eight_bars):
        colours = set(re.findall(r'(?:fill|stroke|color)="([^"]*)"', sheet.svg))
        assert colours <= {"currentColor", "none", "transparent", "inherit"}


def test_same_notes_give_the_same_bytes_again(eight_bars: Engraving) -> None:
    assert engraved(RIGHT, LEFT) == eight_bars


def test_what_was_drawn_before_leaves_no_trace() -> None:
    first = engraved("C5q D5 E5 F5", tempo=60)
    engraved("F#4q3 G4 A4 B4h~ | B4w", left="C2+G2w C2w", tempo=200)
    assert engraved("C5q D5 E5 F5", tempo=60) == first


def test_tied_heads_are_marked_where_they_are_asked_for() -> None:
    score = score_of("C5w~ C5w")
    text = write_stage(score, stage_of(score))
    drawn = engrave_text(text, "musicxml", {"C5": 72}, [4.0, 4.0], 60, {"C5": ("C5", "C5.2")})
    assert 'id="C5.2"' in "".join(s.svg for s in drawn.sheets["wide"])


def test_excerpt_holds_its_bars_and_no_others() -> None:
    score = score_of(RIGHT, LEFT)
    text = write_stage(score, stage_of(score))
    excerpt = engrave_bars(text, "musicxml", 2, 4)
    assert [(s.first_bar, s.last_bar) for s in excerpt.systems] == [(2, 4)]
    assert re.findall(r'data-bar="(\d+)"', excerpt.svg) == ["2", "3", "4"]
    assert engrave_bars(text, "musicxml", 2, 4) == excerpt


def test_incipit_is_one_system_from_the_start() -> None:
    score = score_of(RIGHT, LEFT)
    incipit = engrave_incipit(write_stage(score, stage_of(score)), "musicxml")
    (system,) = incipit.systems
    assert system.first_bar == 0
    assert 0 < system.last_bar < 8


def test_incipit_of_one_bar_is_that_bar() -> None:
    score = score_of("C5w")
    incipit = engrave_incipit(write_stage(score, stage_of(score)), "musicxml")
    assert [(s.first_bar, s.last_bar) for s in incipit.systems] == [(0, 0)]


@pytest.mark.parametrize("text", ["", "no music", "<score-partwise", "<html></html>"])
def test_text_that_is_no_music_is_refused_with_a_remedy(text: str) -> None:
    with pytest.raises(EngravingError) as refused:
        engrave_text(text, "musicxml", {}, [])
    assert refused.value.remedy


def test_music_font_is_woff2() -> None:
    assert music_font()[:4] == b"wOF2"


def test_a_drawing_says_nothing_twice(eight_bars: Engraving) -> None:
    for sheet in _all(eight_bars):
        root = ElementTree.fromstring(sheet.svg)
        groups = list(root.iter("{http://www.w3.org/2000/svg}g"))
        assert [g.attrib for g in groups if not len(g)] == []
        assert sheet.svg.count("translate(") == len(sheet.systems)
        for group in groups:
            signs = [tuple(sorted(e.attrib.items())) for e in group if e.tag.endswith("use")]
            assert len(signs) == len(set(signs))


def test_each_note_is_its_head_or_begins_with_it(eight_bars: Engraving) -> None:
    for sheet in _all(eight_bars):
        for named in ElementTree.fromstring(sheet.svg).iterfind(f"{STAFF}//*[@id]"):
            head = named if named.tag.endswith("use") else named[0]
            assert re.match("#0A[0-9A-F]", head.get("href", ""))


def test_staves_are_five_straight_lines_and_all_else_is_one_group(eight_bars: Engraving) -> None:
    for sheet in _all(eight_bars):
        root = ElementTree.fromstring(sheet.svg)
        five = root.find("{*}defs/{*}path[@id='5']")
        assert five is not None
        assert five.get("d", "").count("h1v13h-1z") == 5
        for staff in root.iterfind(STAFF):
            lines, others = staff
            assert lines.get("href") == "#5"
            assert re.fullmatch(r"matrix\(\d+ 0 0 1 -?\d+ \d+\)", lines.get("transform", ""))
            assert others.tag.endswith("g")


def test_stems_and_beams_of_a_staff_are_one_path_each() -> None:
    (sheet,) = engraved("C5e D5 E5 F5 G5q C5").sheets["wide"]
    others = ElementTree.fromstring(sheet.svg).find(f"{STAFF}/{{*}}g")
    assert others is not None
    stems, beam = [path.get("d", "") for path in others.iterfind("{*}path")]
    assert re.fullmatch(r"M\d+ \d+[vV]-?\d+([mM]-?\d+[ -]\d+[vV]-?\d+){5}", stems)
    assert len(re.findall("[mM]", beam)) == beam.count("z") >= 1


def test_what_is_above_or_below_the_staves_is_one_child_of_its_bar() -> None:
    sheet = engraved("*p C5q( D5 E5 F5)", "C3w").sheets["wide"][0]
    bar = ElementTree.fromstring(sheet.svg).find(".//{*}g[@data-bar]")
    assert bar is not None
    assert [child.get("class") for child in bar if child.get("class")] == ["dynam", "barLine"]
    others = [child.tag.split("}")[1] for child in bar if not child.get("class")]
    assert others == ["g", "g", "path"], "the staves and the slur"


TEMPO = (
    '<direction placement="above"><direction-type><words font-weight="bold" xml:lang="it" xml:space="preserve">'
    "Allegro &amp; dolce</words></direction-type><direction-type><metronome><beat-unit>quarter</beat-unit>"
    "<per-minute>104</per-minute></metronome></direction-type></direction>"
)


def test_words_over_the_music_are_well_formed_and_their_notes_need_no_music_font() -> None:
    score = score_of("C5w D5w")
    text = re.sub(r"(<note\b)", TEMPO + r"\1", write_stage(score, stage_of(score)), count=1)
    drawn = engrave_bars(text, "musicxml", 0, 1)
    root = ElementTree.fromstring(drawn.svg)
    words = "".join(root.find(".//*[@class='tempo']").itertext())  # type: ignore[union-attr]
    assert words == "Allegro & dolce\u00a0\u2669\u00a0=\u00a0104"
    assert "Leipzig" not in drawn.svg
    assert "xml:" not in drawn.svg
    assert "{" not in drawn.svg


def with_mark(unit: str, words: str = "Allegro &amp; dolce") -> ElementTree.Element:
    """What is drawn of a tempo mark with this beat unit, dots included."""
    mark = TEMPO.replace("quarter", unit).replace("<beat-unit></beat-unit>", "").replace("Allegro &amp; dolce", words)
    score = score_of("C5e D5 E5 F5 G5 F5 E5 D5 | C5 D5 E5 F5 G5 F5 E5 D5")
    text = re.sub(r"(<note\b)", mark + r"\1", write_stage(score, stage_of(score)), count=1)
    found = ElementTree.fromstring(engrave_bars(text, "musicxml", 0, 1).svg).find(".//*[@class='tempo']")
    assert found is not None
    return found


@pytest.mark.parametrize(
    ("unit", "notes", "glyph"),
    [
        ("half", "", "#ECA3-0.5"),
        ("half</beat-unit><beat-unit-dot/><beat-unit>", ".", "#ECA3-0.5"),
        ("whole", "", "#ECA2-0.5"),
        ("quarter", "\u2669", None),
        ("16th", "", None),
    ],
)
def test_no_note_of_a_tempo_mark_is_an_empty_box(unit: str, notes: str, glyph: str | None) -> None:
    """Long notes, which text fonts do not have, are drawn."""
    mark = with_mark(unit)
    words = "".join(mark.itertext())
    assert words.removeprefix("Allegro & dolce").replace("\u00a0", "") == f"{notes}=104"
    assert not re.search("[\ue000-\uf8ff]", words)
    assert [use.get("href") for use in mark.iter("{http://www.w3.org/2000/svg}use")] == ([glyph] if glyph else [])


def test_what_follows_a_drawn_note_stands_behind_it_and_what_is_before_it_keeps_its_width() -> None:
    places = []
    for words in ("Largo", "Largo e molto cantabile"):
        before, note, after = with_mark("half", words)
        start = float(before.get("x", ""))
        assert abs(start + float(before.get("textLength", "")) - float(note.get("x", ""))) < 2
        assert 100 < float(after.get("x", "")) - float(note.get("x", "")) < 250
        assert after.get("textLength") is None
        places.append(float(note.get("x", "")) - start)
    assert places[0] > 5 * 0.3 * 405
    assert places[1] > 2 * places[0]


def test_dynamics_among_words_are_letters() -> None:
    sharp = '<dir staff="1" tstamp="1">a <rend glyph.auth="smufl">&#xE262;</rend></dir>'
    signs = f'<dynam staff="1" tstamp="1">mf cresc.</dynam>{sharp}'
    drawn = engrave_bars(mei(mei_bar(mei_note("c5", 1), more=signs)), "mei", 0, 0)
    root = ElementTree.fromstring(drawn.svg)
    words = ["".join(text.itertext()).replace("\u00a0", " ") for text in root.iter("{http://www.w3.org/2000/svg}text")]
    assert words == ["mf cresc.", "a \u266f"]
    assert "Leipzig" not in drawn.svg


def test_a_glyph_has_one_name_in_all_drawings_of_one_size() -> None:
    """A page shows many drawings at once: what comes first in one of them must not change the others."""
    outlines: dict[str, str] = {}
    for right in ("D5g C5h E5h", "C5h!small E5h", "C5w"):
        score = score_of(right)
        text = write_stage(score, stage_of(score))
        for sheet in engrave_text(text, "musicxml", {n.id: n.midi for n in score.notes}, [4.0]).sheets["wide"]:
            for glyph in ElementTree.fromstring(sheet.svg).iter("{http://www.w3.org/2000/svg}defs"):
                for group in glyph:
                    drawn = ElementTree.tostring(group, encoding="unicode")
                    assert outlines.setdefault(group.get("id", ""), drawn) == drawn
    assert len([name for name in outlines if name.startswith("0A3")]) == 2
