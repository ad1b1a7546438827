"""The loudness of the score in the sound of the page, rendered without a device."""

from __future__ import annotations

from pathlib import Path

from tests.browser.conftest import OpenPage
from tests.browser.rendering import LEAD, every, render


def test_notes_sound_as_loud_as_they_are_struck(open_page: OpenPage, trial: str, trial_root: Path) -> None:
    # piano, the same unmarked, forte, and a note that says nothing of itself
    timing = every(2.0, [60] * 4, length=0.4)
    for note, velocity in zip(timing["notes"], (50, 78, 92), strict=False):
        note["velocity"] = velocity
    page = open_page(f"{trial}about/index.html")
    # behind the knock of the hammer, which is never twice the same
    stretches = [(LEAD + 2 * n + 0.1, LEAD + 2 * n + 0.35) for n in range(4)]
    measured = render(page, trial_root, timing, [LEAD + 2 * n for n in range(4)], stretches=stretches)
    piano, usual, forte, unsaid = measured.peaks
    # (50 / 78) squared is 0.41; the curve that bends full chords takes hold a little sooner or later, and is worth 1.2
    assert 0.33 < piano / usual < 0.5
    assert forte > 1.1 * usual
    assert 0.8 < unsaid / usual < 1.25
    assert measured.worst < 0.005


def test_the_page_plays_the_velocities_of_the_timing_file(open_piece: OpenPage) -> None:
    page = open_piece("bass-line")
    page.route(
        "**/bass-line/timing.json",
        lambda route: route.fulfill(json={**(told := route.fetch().json()), "velocities": [20] * len(told["notes"])}),
    )
    page.reload()
    page.wait_for_selector("#player:not([hidden])")
    said = page.evaluate(
        """async () => {
          const { openPiece } = await import("/_sources/score/data.js");
          const files = openPiece(new URL("../../", location.href));
          const piece = await files.piece();
          const timing = await files.timing(piece.stages[0]);
          return timing.notes.map((note) => note.velocity);
        }"""
    )
    assert set(said) == {20}
