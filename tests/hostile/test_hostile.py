"""What a stranger hands in hurts nothing but itself: a dozen of each kind of the table that the benchmark tries whole
(``python -m tests.benchmarks.hostile``), all in one library with two good pieces."""

from __future__ import annotations

import os
import re
from pathlib import Path

import pytest

from sitegen import publishing
from sitegen.building.site import build_site
from sitegen.building.stamps import stamps_of_places
from sitegen.building.store import Store
from sitegen.errors import ContentError
from sitegen.library import load_library
from tests.building.studio import musicxml
from tests.hostile.commentaries import COMMENTARIES
from tests.hostile.front_matters import FRONT_MATTERS, TEXTS
from tests.hostile.judging import GOOD, unsafe_in, write_library, write_odd

FAULTS = {
    "aliases of nine levels": ":5: the fields stand for more than 50000 values",
    "aliases among the stages": ":6: the fields stand for more than 50000 values",
    "twenty thousand brackets": ":5: more than 100 brackets are opened and not closed",
    "a line of ten megabytes": ": has 10.0 MB, and may have 1",
    "a text of fifty thousand lines": ":2: the fields have 200",
    "a number of ten thousand digits": ":5: a value stands here that cannot be read",
    "neither yes nor no": ":5: a value stands here that cannot be read",
    "a number as stages": ":5: field 'stages' cannot be used",
    "bytes in an adjustment": ":6: a value stands here that is neither a text nor a number",
    "half a character in an adjustment": ":6: a text holds a character that no text may hold",
    "a written escape": ":5: ",
    "a score of a long name": ":5: ",
    "twenty thousand fields": ": has 19950 more faults in its fields",
}
WORDS = {
    "twenty thousand brackets": ":8: more than 50 square brackets are opened and not closed",
    "five thousand links begun": ":8: more than 50 round brackets are opened and not closed",
    "half a tag": ":8: more than 2000 elements of HTML",
    "signs that begin nothing": ":8: more than 50 signs '<' begin an element that does not end",
    "unclosed div line by line": ":16674: the commentary has 120002 characters",
    "headings underlined": ":8: a paragraph has more than 20000 characters or 500 lines",
    "excerpts by the hundred": ":208: the commentary has more than 100 excerpts",
    "a megabyte of words": ":",
    "a NUL": ":8: a character stands here that no text may hold",
    "a file of a long name": ":8: the file '",
    "a file with a NUL": ":8: the file '",
}
SAFE = (
    "a script", "a handler of a link", "a tag in the words of an excerpt", "an excerpt in other quotation marks",
    "an excerpt with a mark of more", "a link that runs, as entities", "data as a picture", "a picture of the web",
    "a drawing", "the end of the page", "a remark that ends oddly", "emoji and letters from the right",
)  # fmt: skip


def _slug(name: str) -> str:
    return re.sub("[^a-z0-9]+", "-", name.lower())


def _lay(content: Path, name: str, front: str = "", words: str = "Words.") -> Path:
    folder = write_odd(content, front, words)
    return folder.rename(content / name)


def test_what_strangers_hand_in_hurts_nothing_but_itself(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    assets = {
        path: data
        for path, data in publishing.site_assets(publishing.find_theme("studio")).items()
        if not path.startswith("sounds/")
    }
    monkeypatch.setattr(publishing, "site_assets", lambda theme: assets)
    content = write_library(tmp_path / "content")
    expected: dict[str, str] = {}
    for kind, table, faults in (("front", FRONT_MATTERS, FAULTS), ("words", COMMENTARIES, WORDS)):
        for name, fault in faults.items():
            folder = _lay(content, f"{kind}-{_slug(name)}", **{kind: table[name]})
            expected[str(folder / "piece.md")] = fault
    for name in SAFE:
        _lay(content, f"safe-{_slug(name)}", words=COMMENTARIES[name])
    outcome = build_site(content, tmp_path / "site", Store(tmp_path / "cache"), 0, lambda *_: None)
    told = [str(error) for error in outcome.errors]
    for file, fault in expected.items():
        assert any(line.startswith(f"{file}{fault}") for line in told), (file, [t[:200] for t in told if file in t])
    assert not any("could not be made" in line for line in told)
    assert set(GOOD) <= set(outcome.built)
    assert {name for name in outcome.built if name.startswith("safe-")} == {f"safe-{_slug(name)}" for name in SAFE}
    for page in (tmp_path / "site").rglob("*.html"):
        assert list(unsafe_in(page.read_text(encoding="utf-8"))) == [], page


@pytest.mark.parametrize("name", TEXTS)
def test_a_text_that_is_none_is_a_line(tmp_path: Path, name: str) -> None:
    content = write_library(tmp_path)
    write_odd(content, text=TEXTS[name])
    library = load_library(content)
    assert {piece.slug for piece in library.pieces} >= set(GOOD)
    assert all(isinstance(fault, ContentError) and "/odd/piece.md" in str(fault) for fault in library.faults)
    assert bool(library.faults) == ("odd" not in {piece.slug for piece in library.pieces})


def test_a_folder_that_nobody_may_read_is_a_line(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    content = write_library(tmp_path)
    write_odd(content)
    read = os.listdir
    entered = Path.stat

    def listdir(place: str = ".") -> list[str]:
        if str(place).endswith("/odd"):
            raise PermissionError(13, "Permission denied", str(place))
        return read(place)

    def stat(place: Path, *, follow_symlinks: bool = True) -> os.stat_result:
        if place.parent.name == "odd":
            raise PermissionError(13, "Permission denied", str(place))
        return entered(place, follow_symlinks=follow_symlinks)

    monkeypatch.setattr(os, "listdir", listdir)
    monkeypatch.setattr(Path, "stat", stat)
    library = load_library(content)
    assert [piece.slug for piece in library.pieces] == list(GOOD)
    (fault,) = library.faults
    assert "Permission denied" in str(fault)
    assert "odd" in library.slugs, "its last good pages stay"


def test_links_that_lead_round_are_no_matter(tmp_path: Path) -> None:
    content = write_library(tmp_path)
    folder = write_odd(content)
    for name in "abcdefghijklmnop":
        (folder / name).symlink_to(".")
    (content / "round").symlink_to("round")
    (folder / "piece.md").unlink()
    (folder / "piece.md").symlink_to("piece.md")
    assert set(stamps_of_places(content)) == {"studio.yaml", "odd", "round", *GOOD}
    library = load_library(content)
    assert [str(fault).partition(": ")[2] for fault in library.faults] == [
        "is no file that can be read. Put a text file of this name in its place."
    ]


def test_what_is_no_file_in_place_of_piece_md_is_a_line(tmp_path: Path) -> None:
    content = write_library(tmp_path)
    for name, make in (("folder", Path.mkdir), ("pipe", lambda place: os.mkfifo(place))):
        (content / name).mkdir()
        (content / name / "score.musicxml").write_text(musicxml(), encoding="utf-8")
        make(content / name / "piece.md")
    faults = load_library(content).faults
    assert [fault.what for fault in faults] == ["is no file that can be read"] * 2
