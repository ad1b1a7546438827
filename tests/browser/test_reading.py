"""Reading with the page: cards of notes, the score beside the stage, harmony, tension, links from the commentary."""

from __future__ import annotations

from pathlib import Path

import pytest
from playwright.sync_api import Route

from sitegen.building.site import build_site
from sitegen.building.store import Store
from tests.browser.conftest import PHONE, WIDE, OpenPage
from tests.browser.listening import (
    attend_to_sound,
    bar_shown,
    loudest,
    note_marks,
    open_stage,
    swipe,
    tap_note,
    until,
    until_bar,
    until_stage,
    wait_for_marks,
)
from tests.browser.serving import serving
from tests.building.studio import musicxml, write_content
from tests.score.files import mei, mei_bar, mei_note


def test_a_tapped_note_tells_what_it_stands_for(open_piece: OpenPage) -> None:
    page = open_piece("block-chords", viewport=WIDE)
    tap_note(page, "k-l1-1")
    page.wait_for_selector("#card:not([hidden])")
    told = page.inner_text("#card-text")
    assert "B3 · Bar 2, beat 1" in told
    assert "chord tone" in told
    assert "G7, V7 in C major" in told
    assert "B3 (bar 2, beat 1½); B3 (bar 2, beat 2½); B3 (bar 2, beat 3½)" in told
    assert page.locator(".chosen[data-note='k-l1-1']").count() == 1
    page.click("#card-close")
    assert page.is_hidden("#card")
    assert page.locator(".chosen").count() == 0


def test_who_asks_why_a_chord_is_that_is_told_then_and_not_before(open_piece: OpenPage) -> None:
    page = open_piece("block-chords", viewport=WIDE)
    fetched: list[str] = []
    page.on("request", lambda request: fetched.append(request.url.rpartition("/")[2]))
    tap_note(page, "k-l1-1")
    page.wait_for_selector("#card:not([hidden])")
    assert "harmonies.json" not in fetched
    page.click("#card .why summary")
    page.wait_for_selector("#card .why p:not(:empty)")
    assert page.inner_text("#card .why p") == "It is G7."
    assert fetched.count("harmonies.json") == 1
    page.click("#card .why summary")
    assert page.locator("#card .why p").is_hidden()


def test_a_form_leads_into_its_bars(open_piece: OpenPage) -> None:
    page = open_piece("block-chords", viewport=WIDE)
    page.click("#forms a")
    page.wait_for_function("location.hash.includes('1-8')")


def test_notes_are_reached_by_keyboard(open_piece: OpenPage) -> None:
    page = open_piece("bass-line")
    page.keyboard.press("Shift+ArrowRight")
    page.keyboard.press(".")
    page.wait_for_selector("#card:not([hidden])")
    until(page, "document.getElementById('card-text').textContent.startsWith('G2 · Bar 2')")
    page.keyboard.press(".")
    until(page, "document.getElementById('card-text').textContent.startsWith('A2 · Bar 3')")
    page.keyboard.press("Escape")
    assert page.is_hidden("#card")


def test_a_card_stays_when_the_phone_is_turned(open_piece: OpenPage) -> None:
    page = open_piece("block-chords", viewport=PHONE)
    page.keyboard.press(".")
    page.wait_for_selector("#card:not([hidden])")
    told = page.inner_text("#card-text")
    page.set_viewport_size({"width": PHONE["height"], "height": PHONE["width"]})
    page.wait_for_selector(".systems[data-layout=wide] svg.engraving .chosen", state="attached")
    assert page.inner_text("#card-text") == told
    page.keyboard.press("[")
    until_stage(page, "bass-line")
    page.wait_for_selector("#card", state="hidden")


def test_a_note_tapped_before_the_player_is_there_keeps_its_card(open_page: OpenPage, trial: str) -> None:
    page = open_page(f"{trial}about/index.html", viewport=WIDE)
    held: list[Route] = []
    page.route("**/timing.json", lambda route: held.append(route))
    page.goto(f"{trial}pieces/eight-bars/stages/block-chords/index.html")
    page.wait_for_selector("svg.engraving")
    assert page.is_hidden("#player")
    tap_note(page, "k-l1-1")
    for route in held:
        route.continue_()
    page.wait_for_selector("#player:not([hidden])")
    page.wait_for_selector("#card:not([hidden])")


def test_the_score_as_written_is_one_tap_away_and_back(open_piece: OpenPage) -> None:
    page = open_piece("bass-line", viewport=WIDE)
    page.keyboard.press("Shift+ArrowRight")
    page.click("#written")
    until_stage(page, "as-written")
    assert page.get_attribute("#written", "aria-pressed") == "true"
    assert bar_shown(page) == "Bar 2"
    page.click("#written")
    until_stage(page, "bass-line")
    assert bar_shown(page) == "Bar 2"


def test_stage_and_score_stand_bar_under_bar(open_piece: OpenPage) -> None:
    page = open_piece("bass-line", viewport=WIDE)
    page.click("[data-view='both']")
    page.wait_for_selector(".pairs")
    lefts = page.evaluate(
        "[...document.querySelectorAll('.pair')].map((pair) =>"
        " [...pair.querySelectorAll('svg')].map((svg) => Math.round(svg.getBoundingClientRect().left)))"
    )
    assert len(lefts) == 8
    assert all(len(pair) == 2 and pair[0] == pair[1] for pair in lefts)
    page.keyboard.press("b")
    assert page.locator(".pairs").count() == 0
    assert page.is_visible("#music")


def test_notes_of_the_next_stage_are_drawn_faintly_at_their_height(open_piece: OpenPage) -> None:
    page = open_piece("bass-line", viewport=WIDE)
    page.click("[data-view='next']")
    page.wait_for_selector(".to-come ellipse")
    # Bar 1 adds the melody E5 D5 C5 and the upper notes G3 E4 of the chord.
    first_bar = page.locator("[data-bar='0'] .to-come ellipse")
    assert first_bar.count() == 5
    heights = page.evaluate(
        "[...document.querySelectorAll(\"[data-bar='0'] .to-come ellipse\")]"
        ".map((head) => +head.getAttribute('transform').match(/ ([-\\d.]+)\\)/)[1])"
    )
    lines = page.evaluate(
        "[...document.querySelectorAll(\"[data-bar='0'] > g.staff > path\")].map((lines) =>"
        "[...lines.getAttribute('d').matchAll(/ ([-\\d.]+)H/g)].map((line) => +line[1]))"
    )
    treble, bass = lines
    space = treble[1] - treble[0]
    expected = {
        "E5": treble[0] + space / 2,
        "D5": treble[1],
        "C5": treble[1] + space / 2,
        "G3": bass[0] + space / 2,
        "E4": bass[0] - 2 * space,
    }
    # E4 lies two ledger lines above the bass staff less a step: C4 is the first line, E4 the second.
    assert sorted(round(height) for height in heights) == sorted(round(height) for height in expected.values())


def test_harmony_is_named_by_numerals_letters_or_not(open_piece: OpenPage) -> None:
    page = open_piece("bass-line", viewport=WIDE)
    page.select_option("select[data-view='harmony']", "numeral")
    page.wait_for_selector(".strip text")
    assert page.locator(".strip text:not(.key)").all_text_contents()[:3] == ["I", "V7", "vi"]
    page.keyboard.press("Escape")
    page.locator("#music").focus()
    page.keyboard.press("h")
    until(page, "document.querySelector('.strip text')?.textContent === 'C'")
    page.keyboard.press("h")
    until(page, "!document.querySelector('.strip')")


def test_harmony_names_stand_under_the_notes_they_begin_with(open_piece: OpenPage) -> None:
    page = open_piece("bass-line", viewport=WIDE)
    page.keyboard.press("h")
    page.wait_for_selector(".strip text")
    heads = page.evaluate(
        "['b-l0-0', 'b-l1-0', 'b-l2-0'].map((id) =>"
        " document.querySelector(`[data-note='${id}'] .notehead`).getBoundingClientRect().left)"
    )
    names = page.evaluate(
        "[...document.querySelectorAll('.strip text:not(.key)')].slice(0, 3)"
        ".map((name) => name.getBoundingClientRect().left)"
    )
    assert all(abs(head - name) < 6 for head, name in zip(heads, names, strict=True))


def test_a_tap_on_the_tension_line_tells_its_parts(open_piece: OpenPage) -> None:
    page = open_piece("bass-line", viewport=WIDE)
    page.keyboard.press("t")
    page.wait_for_selector(".tension-touch")
    page.locator(".tension-touch").nth(1).click()
    assert (
        page.inner_text("#saying") == "Tension in bar 2: high. Above all: how the notes rub against each other. "
        "Also: how far the chord is from home."
    )


def test_commentary_leads_to_its_bars_and_loops_them(open_piece: OpenPage) -> None:
    page = open_piece("bass-line", viewport=WIDE)
    note_marks(page)
    page.click("#commentary a:has-text('hear it')")
    until_stage(page, "block-chords")
    first = wait_for_marks(page, 1)[0]
    assert "m1-0" in first["ids"]
    assert page.input_value("#loop-first") == "1"
    assert page.input_value("#loop-last") == "2"
    assert page.is_checked("#loop-on")


@pytest.mark.parametrize(
    ("place", "bar", "looped"),
    [
        ("#bars-5-8", "5", "true"),
        ("#bars-5%E2%80%938", "5", "true"),
        ("#bar-5", "5", "false"),
        ("#bar-41", "8", "false"),
        ("#bars-6-41", "6", "true"),
    ],
)
def test_an_address_with_printed_bars_opens_there(
    open_page: OpenPage, trial: str, place: str, bar: str, looped: str
) -> None:
    page = open_page(f"{trial}pieces/eight-bars/stages/bass-line/index.html{place}")
    page.wait_for_selector("#player:not([hidden])")
    until_bar(page, bar)
    assert page.get_attribute("#loop", "aria-pressed") == looped


def test_the_excerpt_in_the_commentary_is_drawn(open_piece: OpenPage) -> None:
    page = open_piece("bass-line", viewport=WIDE)
    page.locator("#commentary .excerpt img").scroll_into_view_if_needed()
    until(page, "document.querySelector('#commentary .excerpt img').naturalWidth > 0")


def test_a_swipe_changes_the_stage(open_piece: OpenPage) -> None:
    page = open_piece("bass-line", viewport=PHONE, has_touch=True)
    swipe(page, 300, 120)
    until_stage(page, "block-chords")
    swipe(page, 120, 300)
    until_stage(page, "bass-line")


def test_every_key_of_the_help_sheet_does_something(open_piece: OpenPage) -> None:
    page = open_piece("bass-line", viewport=WIDE)
    page.keyboard.press("?")
    page.wait_for_selector("#help[open]")
    keys = page.locator("#help kbd").all_inner_texts()
    page.keyboard.press("Escape")
    across, along = ["ArrowRight", "ArrowLeft"], ["ArrowUp", "ArrowDown", "PageUp", "PageDown"]
    named = {"Space": [" "], "Arrows, page up, page down": [*across, *along], "Shift with left or right": across}
    named |= {"1 – 9": ["2", "1"]}
    assert named.keys() <= set(keys)
    for shown in keys:
        for key in named.get(shown, shown.split()):
            handled = page.evaluate(
                "([key, shiftKey]) => !document.body.dispatchEvent(new KeyboardEvent('keydown',"
                " { key, shiftKey, bubbles: true, cancelable: true }))",
                [key.lower() if len(key) == 1 else key, shown.startswith("Shift")],
            )
            assert handled, f"the key {shown} does nothing"
            page.evaluate("document.querySelectorAll('dialog[open]').forEach((sheet) => sheet.close())")


def test_a_stage_is_described_in_words(open_piece: OpenPage) -> None:
    page = open_piece("bass-line", viewport=WIDE)
    page.click("#stage-words summary")
    assert page.inner_text("#stage-words p") == "Bass line. C major, 3/4, 8 bars, 8 notes."
    assert page.inner_text("#stage-words li:nth-child(2)") == "Bar 2: G7; begins with G2; 1 note."
    open_stage(page, "block-chords")
    until(page, "document.querySelector('#stage-words li:nth-child(2)').textContent.includes('G2 F3 B3 B4')")


def test_playing_is_announced_once_and_not_at_every_bar(open_piece: OpenPage) -> None:
    page = open_piece("bass-line")
    page.evaluate(
        "window.said = []; new MutationObserver(() => {"
        " const text = document.getElementById('saying').textContent; if (text) said.push(text); })"
        ".observe(document.getElementById('saying'), { childList: true, characterData: true, subtree: true })"
    )
    note_marks(page)
    page.click("#play")
    wait_for_marks(page, 3)
    page.keyboard.press("p")
    assert page.evaluate("said.filter((text) => text.startsWith('Playing')).length") == 1
    assert page.evaluate("said.length") <= 2


def test_a_tapped_block_is_heard_whole(open_piece: OpenPage) -> None:
    page = open_piece("block-chords", viewport=WIDE)
    attend_to_sound(page)
    tap_note(page, "k-l1-1")
    page.wait_for_selector("#card:not([hidden])")
    told = page.inner_text("#card-text")
    assert "Struck together\nG2 F3 B3" in told
    assert "dotted minim" in told
    assert loudest(page, 1800) > 0.02


def test_the_card_tells_the_tension_where_it_is_shown(open_piece: OpenPage) -> None:
    page = open_piece("bass-line")
    page.keyboard.press("Shift+ArrowRight")
    page.keyboard.press("t")
    page.keyboard.press(".")
    page.wait_for_selector("#card:not([hidden])")
    assert (
        "Tension in bar 2: high. Above all: how the notes rub against each other. Also: how far the chord is from home."
        in page.inner_text("#card-text")
    )


def test_help_names_every_key_that_does_something(open_piece: OpenPage) -> None:
    page = open_piece("bass-line", viewport=WIDE)
    shown = {key.lower() for text in page.locator("#help kbd").all_text_contents() for key in text.split()}
    handled = page.evaluate(
        """() => [...Array(94).keys()].map((code) => String.fromCharCode(33 + code)).filter((key) => {
          const press = new KeyboardEvent("keydown", { key, bubbles: true, cancelable: true });
          const used = !document.body.dispatchEvent(press);
          document.querySelectorAll("dialog[open]").forEach((sheet) => sheet.close());
          return used;
        })"""
    )
    assert {key for key in handled if not key.isdigit()} - {"A"} <= shown | {key.upper() for key in shown}
    assert {key for key in handled if key.isdigit()} == {"0", "1", "2", "3"}


def test_only_what_is_near_the_screen_is_alive(open_page: OpenPage, demo: str) -> None:
    page = open_page(f"{demo}pieces/prelude-in-d-minor/stages/as-written/index.html", viewport=PHONE)
    page.wait_for_selector("svg.engraving")
    page.wait_for_timeout(500)
    systems = page.locator(".systems[data-layout=phone] .system").count()
    assert systems > 12
    assert page.locator("svg.engraving").count() < systems / 2
    page.evaluate("scrollTo(0, document.querySelector('.below-music').offsetTop - innerHeight)")
    until(page, "document.querySelector('.systems[data-layout=phone] .system:last-child svg.engraving') !== null")
    # what is far is an empty room of its shape: a picture of it would hold the whole sheet
    first = "document.querySelector('.systems[data-layout=phone] .system:first-child')"
    until(page, f"{first}.querySelector('svg.engraving, img') === null")
    assert page.locator(".systems[data-layout=phone] img").count() == 0
    assert page.evaluate(f"{first}.getBoundingClientRect().height") > 50
    page.evaluate("scrollTo(0, 0)")
    until(page, f"{first}.querySelector('svg.engraving') !== null")


def test_glyphs_stand_once_on_a_page_and_no_id_twice(open_piece: OpenPage) -> None:
    page = open_piece("bass-line", viewport=WIDE)
    page.click("[data-view='next']")
    page.keyboard.press("]")
    until_stage(page, "block-chords")
    page.keyboard.press("b")
    page.wait_for_selector(".pairs")
    ids = page.evaluate("[...document.querySelectorAll('[id]')].map((each) => each.id)")
    assert len(ids) == len(set(ids))
    assert page.locator("defs").count() == 1
    outlines = page.evaluate("[...document.querySelectorAll('defs g')].map((glyph) => glyph.innerHTML)")
    assert len(outlines) == len(set(outlines))
    used = page.evaluate("[...document.querySelectorAll('use')].map((use) => use.getAttribute('href').slice(1))")
    assert set(used) <= set(ids)


def test_both_rows_of_the_comparison_end_together(open_piece: OpenPage) -> None:
    page = open_piece("bass-line", viewport=WIDE)
    page.keyboard.press("b")
    page.wait_for_selector(".pairs")
    ends = page.evaluate(
        "[...document.querySelectorAll('.pair')].map((pair) => [...pair.querySelectorAll('svg')].map((row) =>"
        " Math.round(Math.max(...[...row.querySelectorAll('.barLine')].map((line) =>"
        " line.getBoundingClientRect().right)))))"
    )
    assert all(abs(upper - lower) <= 2 for upper, lower in ends)


def test_the_strokes_and_letters_of_the_ladder_are_explained_where_they_are_shown(open_piece: OpenPage) -> None:
    page = open_piece(viewport=PHONE)
    page.keyboard.press("0")
    assert (
        page.inner_text("#stages .ladder-key") == "The longer the stroke under a stage, the more of the notes it has."
    )
    page.keyboard.press("Escape")
    page.keyboard.press("?")
    assert "What has a letter stands beside the ladder" in page.inner_text("#help")


def test_the_upbeat_is_called_so_wherever_a_bar_is_named(open_piece: OpenPage) -> None:
    page = open_piece("bass-line", viewport=WIDE)

    def with_upbeat(route: Route) -> None:
        told = route.fetch().json()
        for index, bar in enumerate(told["bars"]):
            bar["number"] = str(index)
        route.fulfill(json=told)

    page.route("**/piece.json", with_upbeat)
    page.reload()
    page.wait_for_selector("#player:not([hidden])")
    assert page.inner_text("#place") == "Upbeat"
    page.keyboard.press("p")
    assert page.locator("#loop-first option").first.inner_text() == "upbeat"
    page.check("#loop-on")
    assert page.inner_text("#saying") == "Looping from the upbeat to bar 3."
    page.keyboard.press("Escape")
    page.wait_for_selector("svg.engraving")
    assert (page.locator("svg.engraving").first.get_attribute("aria-label") or "").startswith("upbeat – ")


def test_a_note_whose_id_has_a_dot_is_told_of_when_it_is_tapped(open_page: OpenPage, tmp_path: Path) -> None:
    """Also beside one that has the beginning of its id, and where the dot is followed by a number, as in tied heads."""
    names = ("n", "n.1", "n.b", "m.7.x")
    notes = "".join(
        mei_note(pitch, 4, f'xml:id="{name}"') for pitch, name in zip(("c5", "d5", "e5", "f5"), names, strict=True)
    )
    content = write_content(tmp_path / "content", march=musicxml())
    folder = content / "march"
    (folder / "score.musicxml").unlink()
    (folder / "score.mei").write_text(mei(mei_bar(notes, mei_note("c3", 1)), staves=2), encoding="utf-8")
    matter = (folder / "piece.md").read_text(encoding="utf-8")
    (folder / "piece.md").write_text(matter.replace("score.musicxml", "score.mei"), encoding="utf-8")
    outcome = build_site(content, tmp_path / "site", Store(tmp_path / "store"), 0, lambda *_: None)
    assert outcome.built == ("march",), outcome.findings
    with serving(tmp_path / "site") as address:
        page = open_page(f"{address}pieces/march/stages/as-written/index.html", viewport=PHONE, has_touch=True)
        page.wait_for_selector("#player:not([hidden])")
        page.wait_for_selector(".note .notehead")
        named = page.eval_on_selector_all(".note", "all => all.map((note) => note.dataset.note)")
        assert {"n.b", "m.7.x"} <= set(named)
        heads = page.locator(".note:has(.notehead)")
        told = []
        for number in range(4):
            box = heads.nth(number).locator(".notehead").bounding_box()
            assert box is not None
            page.touchscreen.tap(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
            until(page, f"document.querySelectorAll('.chosen').length === 1 && "
                  f"document.querySelectorAll('.note')[{number}].classList.contains('chosen')")  # fmt: skip
            page.wait_for_selector("#card:not([hidden])")
            page.wait_for_timeout(100)
            told.append(page.inner_text("#card h3").split(" ")[0])
        assert told == ["C5", "D5", "E5", "F5"]
