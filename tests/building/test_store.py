"""What is kept is what was made: whatever happens to a file of the store, it is made again and never published."""

from __future__ import annotations

import random
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path

import pytest

from sitegen.building.codec import FORM, FormError, from_bytes, to_bytes
from sitegen.building.store import Damaged, Store, open_store
from sitegen.score import Pitch, Score
from tests.notation import score_of


def test_a_score_is_the_same_after_it_was_kept() -> None:
    score = score_of(right="C5q D5~ D5q F#5e Bb4 | C5w", left="C3w | C3w")
    assert from_bytes(to_bytes(score), Score) == score
    assert from_bytes(to_bytes(Pitch("B", -1, 4)), Pitch).midi == 70
    assert from_bytes(to_bytes((Fraction(1, 3),)), tuple[Fraction, ...]) == (Fraction(1, 3),)  # type: ignore[arg-type]


def test_a_value_of_another_form_or_type_is_none() -> None:
    for data in (b"", b"sitegen value 0\n1", FORM + b"{", FORM + b'{"step":1}', b"\x80\x05."):
        with pytest.raises(FormError):
            from_bytes(data, Pitch)


def test_any_flipped_byte_of_a_value_is_noticed(tmp_path: Path) -> None:
    store = Store(tmp_path)
    data = b"<svg>" + bytes(range(256)) * 3
    digest = store.put(data)
    (file,) = (tmp_path / "values").rglob(digest)
    whole = file.read_bytes()
    for place in range(len(whole)):
        file.write_bytes(whole[:place] + bytes([whole[place] ^ 1]) + whole[place + 1 :])
        try:
            assert store.get(digest) == data
        except Damaged:
            assert not store.has(digest)
            store.put(data)
    assert store.get(digest) == data


def test_any_flipped_byte_of_a_result_is_noticed(tmp_path: Path) -> None:
    store = Store(tmp_path)
    outputs = {"score": store.put(b"a"), "heads": store.put(b"b")}
    store.keep_result("ab12", outputs)
    (file,) = (tmp_path / "results").rglob("ab12")
    whole = file.read_bytes()
    for place in range(len(whole)):
        file.write_bytes(whole[:place] + bytes([whole[place] ^ 1]) + whole[place + 1 :])
        assert store.result("ab12") in (None, outputs)
    file.write_bytes(whole)
    assert store.result("ab12") == outputs


def test_a_result_whose_value_is_gone_counts_as_never_made(tmp_path: Path) -> None:
    store = Store(tmp_path)
    store.keep_result("ab12", {"": (digest := store.put(b"a"))})
    next((tmp_path / "values").rglob(digest)).unlink()
    assert store.result("ab12") is None


def test_what_was_longest_not_used_goes_first(tmp_path: Path) -> None:
    import os

    store = Store(tmp_path)
    digests = [store.put(random.Random(number).randbytes(10_000)) for number in range(10)]
    for age, digest in enumerate(digests):
        os.utime(next((tmp_path / "values").rglob(digest)), (10_000 + age, 10_000 + age))
    assert store.has(digests[0])  # which uses it
    store.clean(50_000)
    kept = [number for number, digest in enumerate(digests) if store.has(digest)]
    assert kept[0] == 0
    assert kept[1:] == list(range(10 - len(kept) + 1, 10))
    assert 1 < len(kept) <= 5


def test_a_fresh_store_knows_only_what_it_made_and_mends_what_is_there(tmp_path: Path) -> None:
    old = Store(tmp_path)
    old.keep_result("ab12", {"": (digest := old.put(b"a"))})
    next((tmp_path / "values").rglob(digest)).write_bytes(b"damaged")
    fresh = Store(tmp_path, fresh=True)
    assert fresh.result("ab12") is None
    fresh.keep_result("ab12", {"": fresh.put(b"a")})
    assert fresh.result("ab12") == old.result("ab12") == {"": digest}
    assert old.get(digest) == b"a"


def test_an_unfinished_file_of_a_process_that_is_gone_is_taken_away(tmp_path: Path) -> None:
    (tmp_path / "unfinished").mkdir()
    (tmp_path / "unfinished" / "999999999-1").write_bytes(b"half")
    Store(tmp_path).clean(1_000)
    assert list((tmp_path / "unfinished").iterdir()) == []


def test_a_store_that_cannot_be_written_costs_time_and_nothing_else(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "file").write_text("in the way")
    monkeypatch.setenv("SITEGEN_CACHE", str(tmp_path / "file"))
    store = open_store()
    assert store.get(store.put(b"a")) == b"a"
    assert (tmp_path / "file").read_text() == "in the way"


@dataclass(frozen=True, slots=True)
class Other:
    """A type of which no value is kept."""

    thing: object


def test_what_has_no_form_is_refused() -> None:
    with pytest.raises(TypeError, match="has no form"):
        to_bytes(Other(object()))
