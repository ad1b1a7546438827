"""The bars of a text, and the order in which an expansion has them played."""

from __future__ import annotations

from sitegen.engraving.playing_order import bars_of

SECTIONS = (
    '<section xml:id="a"><measure xml:id="m1"/><section xml:id="b"><measure xml:id="m2"/></section></section>'
    '<ending xml:id="c"><measure xml:id="m3"/></ending><ending xml:id="d"><measure xml:id="m4"><staff n="1"/></measure>'
    "</ending>"
)


def _document(expansion: str) -> str:
    head = '<meiHead xml:id="h"><measure xml:id="none"/></meiHead>'
    return f"<mei>{head}<music><body><score>{expansion}{SECTIONS}</score></body></music></mei>"


def test_bars_as_they_stand() -> None:
    bars = bars_of(_document(""))
    assert bars.indexes == {"m1": 0, "m2": 1, "m3": 2, "m4": 3}
    assert [name for name, _ in bars.played] == ["m1", "m2", "m3", "m4"]


def test_an_expansion_lists_the_sections_each_with_its_own_bars() -> None:
    bars = bars_of(_document('<expansion xml:id="e" plist="#a #b #c #a #b #d"/>'))
    assert bars.played == (("m1", 0), ("m2", 1), ("m3", 2), ("m1", 0), ("m2", 1), ("m4", 3))


def test_what_is_not_there_is_not_played() -> None:
    assert bars_of(_document('<expansion xml:id="e" plist="#d #z"/>')).played == (("m4", 3),)
