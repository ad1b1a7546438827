"""What has not changed is not made again; what has, is."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from sitegen.building import Cache, preparing
from sitegen.building.keys import key
from tests.building.conftest import Build
from tests.building.studio import musicxml, tree_of, write_content, write_piece


class Counter:
    """Counts calls of the steps that cost time, by name."""

    def __init__(self, monkeypatch: pytest.MonkeyPatch) -> None:
        self.calls: dict[str, int] = {}
        for name in ("read_score", "analyse", "build_ladder", "write_stage", "engrave", "engrave_incipit",
                     "engrave_bars"):  # fmt: skip
            monkeypatch.setattr(preparing, name, self._counted(name, getattr(preparing, name)))

    def _counted(self, name: str, step: Any) -> Any:
        def counted(*given: Any, **named: Any) -> Any:
            self.calls[name] = self.calls.get(name, 0) + 1
            return step(*given, **named)

        return counted


@pytest.fixture
def steps(monkeypatch: pytest.MonkeyPatch) -> Counter:
    return Counter(monkeypatch)


def test_second_build_makes_nothing_again(tmp_path: Path, build: Build, steps: Counter) -> None:
    write_content(tmp_path / "content", march=musicxml())
    build()
    assert steps.calls["read_score"] == steps.calls["analyse"] == steps.calls["build_ladder"] == 1
    assert steps.calls["engrave"] > 1
    first = tree_of(tmp_path / "site")
    steps.calls.clear()
    build()
    assert steps.calls == {}
    assert tree_of(tmp_path / "site") == first


def test_change_of_a_sentence_engraves_nothing(tmp_path: Path, build: Build, steps: Counter) -> None:
    content = write_content(tmp_path / "content", march=musicxml())
    build()
    steps.calls.clear()
    write_piece(content, "march", musicxml(), "Listen to the tenor.")
    build()
    assert steps.calls == {}
    pages = (tmp_path / "site").rglob("*.html")
    assert any("Listen to the tenor." in page.read_text(encoding="utf-8") for page in pages)


def test_change_of_one_score_makes_that_piece_only(tmp_path: Path, build: Build, steps: Counter) -> None:
    content = write_content(tmp_path / "content", march=musicxml(), waltz=musicxml("E5h.", "C3h.", "3/4"))
    build()
    steps.calls.clear()
    write_piece(content, "waltz", musicxml("G5h.", "C3h.", "3/4"))
    build()
    assert steps.calls["read_score"] == 1


def test_new_excerpt_engraves_the_excerpt_alone(tmp_path: Path, build: Build, steps: Counter) -> None:
    content = write_content(tmp_path / "content", march=musicxml())
    build()
    steps.calls.clear()
    write_piece(content, "march", musicxml(), "Look: ![the first bar](bars:1-1)")
    build()
    assert steps.calls == {"engrave_bars": 1}


@pytest.mark.parametrize("damage", [b"", b"\x80", b"not a pickle", b"\x80\x05cno_such_module\nthing\n.", b"h\x05."])
def test_damaged_entry_is_made_again(tmp_path: Path, damage: bytes) -> None:
    cache = Cache(tmp_path)
    assert cache.get_or_make("ab12", lambda: 1) == 1
    assert cache.get_or_make("ab12", lambda: 2) == 1
    (tmp_path / "ab" / "ab12").write_bytes(damage)
    assert cache.get_or_make("ab12", lambda: 3) == 3
    assert cache.get_or_make("ab12", lambda: 4) == 3


def test_cache_that_cannot_be_written_costs_time_and_nothing_else(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("in the way")
    cache = Cache(tmp_path / "file")
    assert [cache.get_or_make("ab12", lambda: 1), cache.get_or_make("ab12", lambda: 2)] == [1, 2]


def test_failing_step_leaves_no_entry(tmp_path: Path) -> None:
    def fail() -> int:
        raise ValueError

    with pytest.raises(ValueError):  # noqa: PT011 - it is the step's own
        Cache(tmp_path).get_or_make("ab12", fail)
    assert Cache(tmp_path).get_or_make("ab12", lambda: 5) == 5


def test_keys_tell_apart_what_joins_to_the_same_text() -> None:
    assert key("ab", "c") != key("a", "bc")
    assert key("ab", "c") == key("ab", "c")
    assert key("a") == key(b"a")
