"""The player against the clock: rendered without a device, each note must sound when its time has come."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from sitegen.engraving import Engraving
from tests.browser.conftest import OpenPage
from tests.browser.rendering import LEAD, every, render, wandering
from tests.engraving.engraved import engraved

_TOLERANCE = 0.005


@pytest.mark.parametrize("speed", [0.6, 1.0, 1.2])
def test_three_minutes_are_played_on_time_and_without_drift(
    open_page: OpenPage, trial: str, trial_root: Path, speed: float
) -> None:
    interval = 1.013
    count = round(180 * speed / interval)
    midis = wandering(count)
    assert set(midis) == set(range(21, 109))
    expected = [LEAD + n * interval / speed for n in range(count)]
    assert expected[-1] > 175
    page = open_page(f"{trial}about/index.html")
    assert render(page, trial_root, every(interval, midis), expected, speed=speed).worst < _TOLERANCE


def test_a_loop_has_no_gap(open_page: OpenPage, trial: str, trial_root: Path) -> None:
    interval = 0.75
    page = open_page(f"{trial}about/index.html")
    expected = [LEAD + n * interval for n in range(52)]
    loop = {"from": 2 * interval, "to": 6 * interval}
    assert render(page, trial_root, every(interval, wandering(12)), expected, loop=loop).worst < _TOLERANCE


def test_a_bar_is_waited_between_two_rounds_of_a_loop(open_page: OpenPage, trial: str, trial_root: Path) -> None:
    interval = 0.75
    page = open_page(f"{trial}about/index.html")
    expected = [LEAD + (n + n // 4) * interval for n in range(20)]
    loop = {"from": 2 * interval, "to": 6 * interval, "pause": True}
    assert render(page, trial_root, every(interval, wandering(12)), expected, loop=loop).worst < _TOLERANCE


def test_all_88_keys_sound_when_they_are_struck(open_page: OpenPage, trial: str, trial_root: Path) -> None:
    page = open_page(f"{trial}about/index.html")
    expected = [LEAD + 1.2 * n for n in range(88)]
    timing = every(1.2, list(range(21, 109)), length=0.3)
    assert render(page, trial_root, timing, expected).worst < _TOLERANCE


def test_tied_notes_do_not_sound_again(open_page: OpenPage, trial: str, trial_root: Path) -> None:
    # D5 is tied over the bar line, at 4
    timing = _timing(engraved("C5q rh D5q~ | D5q rh E5q"))
    assert [(n["on"], n["off"]) for n in timing["notes"]] == [(0, 1), (3, 5), (7, 8)]
    page = open_page(f"{trial}about/index.html")
    measured = render(page, trial_root, timing, [LEAD, LEAD + 3, LEAD + 7], joins=[LEAD + 4])
    assert measured.worst < _TOLERANCE
    assert measured.rises[0] < 1


def test_a_note_struck_again_would_be_heard(open_page: OpenPage, trial: str, trial_root: Path) -> None:
    timing = _timing(engraved("C5q rh D5q | D5q rh E5q"))
    page = open_page(f"{trial}about/index.html")
    assert render(page, trial_root, timing, [LEAD], joins=[LEAD + 4], seconds=6).rises[0] > 1.2


def test_graces_take_their_time_from_their_neighbours(open_page: OpenPage, trial: str, trial_root: Path) -> None:
    timing = _timing(engraved("C5q rq D5g E5q rq | F5q rh."))
    grace = next(n for n in timing["notes"] if n["id"] == "D5")
    main = next(n for n in timing["notes"] if n["id"] == "E5")
    assert grace["on"] < main["on"] <= grace["on"] + 0.5
    page = open_page(f"{trial}about/index.html")
    # the grace sounds out of the rest before it; what follows in the next bar has lost nothing
    assert render(page, trial_root, timing, [LEAD, LEAD + grace["on"], LEAD + 4]).worst < _TOLERANCE


def test_rolled_chords_take_their_time_from_themselves(open_page: OpenPage, trial: str, trial_root: Path) -> None:
    timing = _timing(engraved("C5+E5+G5q!arp rh. | D5q rh.", "C3+G3q!arp rh. | D3q rh."))
    chord = [n["on"] for n in timing["notes"] if n["bar"] == 0]
    assert chord == sorted(chord)
    assert len(set(chord)) == 5
    assert chord[-1] < 0.5
    page = open_page(f"{trial}about/index.html")
    assert render(page, trial_root, timing, [LEAD, LEAD + 4]).worst < _TOLERANCE


def _timing(engraving: Engraving) -> dict[str, Any]:
    """The timing file of an engraving, at 60 quarters a minute."""
    return {
        "notes": [
            {"id": n.id, "on": n.on, "off": n.off, "midi": n.midi, "hand": "right", "bar": n.bar}
            for n in engraving.timing.notes
        ],
        "bars": [{"bar": b.bar, "on": b.on, "off": b.off} for b in engraving.timing.bars],
        "tempo": [{"at": 0, "beats_a_minute": 60}],
        "length": engraving.timing.length,
    }
