"""Packed, handed on, unpacked: the same piece elsewhere, nothing written over, and what a teacher changed is kept."""

from __future__ import annotations

import json
import os
import re
import zipfile
from pathlib import Path

import jsonschema
import pytest
from click.testing import CliRunner, Result

from sitegen.cli import main
from sitegen.errors import ContentError, ScoreError
from sitegen.sharing import pack_piece, unpack_bundle
from sitegen.sharing.differing import DifferingBars, bars_that_differ, words_that_differ
from sitegen.sharing.manifest import RECORD, load_schema, make_schema
from sitegen.sharing.merging import Merged, merge
from sitegen.sharing.packing import record_of
from tests.building.studio import musicxml, tree_of, write_content
from tests.notation import score_of
from tests.sharing.hostile import PNG

TUNE = "C5q D5 E5 C5 | G5h. E5q | F5q E5 D5 B4 | C5w"
BASS = "C3e G3 E3 G3 C3 G3 E3 G3 | C3 G3 E3 G3 C3 G3 E3 G3 | G2 F3 D3 F3 G2 F3 D3 F3 | C3w"
LATER = TUNE.replace("F5q E5 D5 B4", "F5q A5 D5 B4")


@pytest.fixture
def waltz(tmp_path: Path) -> Path:
    """A piece with a picture, a stage of the teacher's own and an adjustment, beside what is not of it."""
    folder = write_content(tmp_path / "anna", waltz=musicxml(TUNE, BASS)) / "waltz"
    words = (folder / "piece.md").read_text()
    own = "stages:\n  - bass line\n  - {file: mine.musicxml, title: Mine}\n  - as written\n"
    adjusted = "adjustments:\n  - {at: 'bar 3, beat 1', chord: V7}\n---\n\n![Curved fingers](hand.png)"
    (folder / "piece.md").write_text(words.replace("---\n\n", f"{own}{adjusted}\n\n", 1))
    (folder / "mine.musicxml").write_text(musicxml(TUNE, "C3w | C3w | G2w | C3w"))
    (folder / "hand.png").write_bytes(PNG)
    (folder / "notes for me.txt").write_text("The pupil's name is nobody's business.")
    return folder


@pytest.fixture
def berta(tmp_path: Path) -> Path:
    """The content folder of another teacher."""
    return write_content(tmp_path / "berta")


def command(*arguments: object) -> Result:
    return CliRunner().invoke(main, [str(argument) for argument in arguments])


def test_a_bundle_holds_what_the_piece_is_made_from_and_nothing_else(waltz: Path, tmp_path: Path) -> None:
    packed = pack_piece(waltz, tmp_path / "w.zip")
    with zipfile.ZipFile(packed.file) as archive:
        assert archive.namelist() == ["bundle.json", "hand.png", "mine.musicxml", "piece.md", "score.musicxml"]
        manifest = json.loads(archive.read("bundle.json"))
    jsonschema.validate(manifest, load_schema(), jsonschema.Draft202012Validator)
    assert manifest["piece"]["licence"] == "CC0-1.0"
    assert manifest["studios"] == ["The small studio"]


def test_the_schema_is_that_of_the_types() -> None:
    assert load_schema() == make_schema()


def test_the_same_piece_is_the_same_bytes_whenever_and_by_whomever_it_is_packed(
    waltz: Path, berta: Path, tmp_path: Path
) -> None:
    first = pack_piece(waltz, tmp_path / "1.zip").file.read_bytes()
    for file in waltz.iterdir():
        os.utime(file, (10**9, 10**9))
        file.chmod(0o600)
    assert pack_piece(waltz, tmp_path / "2.zip").file.read_bytes() == first
    there = unpack_bundle(tmp_path / "1.zip", berta).folder
    assert pack_piece(there, tmp_path / "3.zip").file.read_bytes() == first


def test_a_piece_comes_in_whole(waltz: Path, berta: Path, tmp_path: Path) -> None:
    file = pack_piece(waltz, tmp_path / "w.zip").file
    unpacked = unpack_bundle(file, berta)
    assert (unpacked.how, unpacked.folder) == ("new", berta / "waltz")
    without_notes = {name: data for name, data in tree_of(waltz).items() if name != "notes for me.txt"}
    assert tree_of(berta / "waltz") == without_notes
    assert sorted(place.name for place in berta.iterdir()) == ["studio.yaml", "waltz"], "nothing is left beside it"


@pytest.mark.parametrize("there", ["waltz", "Waltz", "wáltz", "waltz.musicxml", "a file called waltz"])
def test_a_name_that_is_taken_asks_for_another(there: str, waltz: Path, berta: Path, tmp_path: Path) -> None:
    file = pack_piece(waltz, tmp_path / "w.zip").file
    place = berta / there.removeprefix("a file called ")
    if there.startswith("a file") or "." in there:
        place.write_text("mine")
    else:
        place.mkdir()
    before = tree_of(berta)
    result = command("unpack", file, "--content", berta)
    assert result.exit_code == 1
    (line,) = result.stderr.splitlines()
    assert "Give the piece another name with --name" in line
    assert tree_of(berta) == before
    assert command("unpack", file, "--content", berta, "--name", "Walzer II").exit_code == 0
    assert (berta / "walzer-ii" / "piece.md").is_file()


def test_what_is_there_already_in_this_version_stays_as_it_is(waltz: Path, berta: Path, tmp_path: Path) -> None:
    file = pack_piece(waltz, tmp_path / "w.zip").file
    folder = unpack_bundle(file, berta).folder
    (folder / "piece.md").write_text((folder / "piece.md").read_text() + "\nMy own words.\n")
    before = tree_of(berta)
    assert unpack_bundle(file, berta).how == "same"
    assert tree_of(berta) == before


def change(folder: Path, what: str, to: str) -> None:
    """Other words in ``piece.md``."""
    text = (folder / "piece.md").read_text()
    assert what in text
    (folder / "piece.md").write_text(text.replace(what, to))


def test_a_newer_version_brings_what_changed_and_keeps_what_the_teacher_changed(
    waltz: Path, berta: Path, tmp_path: Path
) -> None:
    folder = unpack_bundle(pack_piece(waltz, tmp_path / "1.zip").file, berta).folder
    change(folder, "Listen to the bass.", "Listen to the bass, Berta says.")
    (folder / "berta.txt").write_text("hers")
    change(waltz, "Listen to the bass.", "Listen to the tune.")
    (waltz / "score.musicxml").write_text(musicxml(LATER, BASS))
    result = command("unpack", pack_piece(waltz, tmp_path / "2.zip").file, "--content", berta)
    assert result.exit_code == 0, result.stderr
    assert "brought to version 2 of 'Waltz'" in result.stdout
    assert "taken from the newer version: score.musicxml" in result.stdout
    assert (
        "piece.md, where it differs (yours stands):\n  line 15, yours:\n    Listen to the bass, Berta says.\n"
        "  theirs:\n    Listen to the tune.\n"
    ) in result.stdout
    assert result.stdout.endswith(f"Next: sitegen check {berta}\n")
    assert "Berta says" in (folder / "piece.md").read_text()
    assert (folder / "berta.txt").read_text() == "hers"
    assert "Listen to the tune." in (folder / ".theirs" / "piece.md").read_text()
    assert (folder / "score.musicxml").read_text() == musicxml(LATER, BASS)
    sheet = (folder / ".theirs" / "differences.html").read_text()
    assert sheet.count("<p>Bar 3</p><img") == 2, "the bar that differs, as she had it and as it is now"
    assert "Bar 2" not in sheet
    assert "the newer version's has taken its place" in sheet
    record = record_of(folder)
    assert record is not None
    assert len(record.history) == 2
    assert sorted(place.name for place in berta.iterdir()) == ["studio.yaml", "waltz"]


def test_an_older_version_is_refused(waltz: Path, berta: Path, tmp_path: Path) -> None:
    old = pack_piece(waltz, tmp_path / "1.zip").file
    change(waltz, "the bass", "the tune")
    unpack_bundle(pack_piece(waltz, tmp_path / "2.zip").file, berta)
    with pytest.raises(ContentError, match=r"is an older version of .*--name"):
        unpack_bundle(old, berta)


def test_two_versions_of_which_neither_comes_from_the_other_stay_apart(
    waltz: Path, berta: Path, tmp_path: Path
) -> None:
    folder = unpack_bundle(pack_piece(waltz, tmp_path / "1.zip").file, berta).folder
    change(folder, "the bass", "the thumb")
    pack_piece(folder, tmp_path / "hers.zip")
    change(waltz, "the bass", "the tune")
    with pytest.raises(ContentError, match=r"comes from another version than .*--name"):
        unpack_bundle(pack_piece(waltz, tmp_path / "2.zip").file, berta)


def test_a_version_that_would_not_hold_with_her_words_is_not_written(waltz: Path, berta: Path, tmp_path: Path) -> None:
    folder = unpack_bundle(pack_piece(waltz, tmp_path / "1.zip").file, berta).folder
    change(folder, "Listen", "Do listen")
    (waltz / "score.musicxml").rename(waltz / "other.musicxml")
    change(waltz, "score: score.musicxml", "score: other.musicxml")
    unpack_bundle(pack_piece(waltz, tmp_path / "2.zip").file, berta)
    assert (folder / "score.musicxml").is_file(), "her words name it"
    assert (folder / "other.musicxml").is_file()


def test_nothing_is_written_through_a_link(waltz: Path, berta: Path, tmp_path: Path) -> None:
    folder = unpack_bundle(pack_piece(waltz, tmp_path / "1.zip").file, berta).folder
    elsewhere = tmp_path / "elsewhere.png"
    (folder / "hand.png").rename(elsewhere)
    (folder / "hand.png").symlink_to(elsewhere)
    (waltz / "hand.png").write_bytes(PNG + b"more")
    with pytest.raises(ContentError, match="is a link, and the newer version has something else there"):
        unpack_bundle(pack_piece(waltz, tmp_path / "2.zip").file, berta)
    assert elsewhere.read_bytes() == PNG


def test_a_version_comes_in_in_one_step_or_not_at_all(
    waltz: Path, berta: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    folder = unpack_bundle(pack_piece(waltz, tmp_path / "1.zip").file, berta).folder
    change(folder, "Listen", "Do listen")
    (waltz / "score.musicxml").write_text(musicxml(LATER, BASS))
    file, before = pack_piece(waltz, tmp_path / "2.zip").file, tree_of(berta)

    def full(*places: Path) -> None:
        raise OSError(28, "No space left on device")

    with monkeypatch.context() as broken:
        broken.setattr("sitegen.sharing.unpacking.put_in_place", full)
        with pytest.raises(OSError, match="No space left"):
            unpack_bundle(file, berta)
    assert tree_of(berta) == before
    assert unpack_bundle(file, berta).merged == Merged(("score.musicxml",), (), ("piece.md",), ())


def test_pack_writes_over_nothing_but_a_bundle(waltz: Path, tmp_path: Path) -> None:
    (tmp_path / "letter.txt").write_text("Dear")
    with pytest.raises(ContentError, match="is there already, and is no bundle"):
        pack_piece(waltz, tmp_path / "letter.txt")
    assert (tmp_path / "letter.txt").read_text() == "Dear"
    pack_piece(waltz, tmp_path / "w.zip")
    assert pack_piece(waltz, tmp_path / "w.zip").file.is_file()


def test_a_piece_with_a_script_in_its_words_is_not_packed(waltz: Path, tmp_path: Path) -> None:
    change(waltz, "Listen", "<script>alert(1)</script> Listen")
    with pytest.raises(ContentError, match="<script> stands in the commentary"):
        pack_piece(waltz, tmp_path / "w.zip")
    assert not (tmp_path / "w.zip").exists()
    assert not (waltz / RECORD).exists()


def test_a_score_that_nobody_could_read_is_not_packed(waltz: Path, tmp_path: Path) -> None:
    (waltz / "mine.musicxml").write_text("<score-partwise>")
    with pytest.raises(ScoreError, match="not well-formed XML") as raised:
        pack_piece(waltz, tmp_path / "w.zip")
    assert raised.value.file == str(waltz / "mine.musicxml")
    assert not (tmp_path / "w.zip").exists()


def test_whose_file_stands_where() -> None:
    base = {"a": "1", "b": "1", "c": "1", "d": "1", "e": "1"}
    mine = {"a": "1", "b": "2", "c": "2", "d": "1", "f": "8"}
    theirs = {"a": "2", "b": "1", "c": "3", "e": "2", "f": "9"}
    assert merge(base, mine, theirs) == Merged(taken=("a",), gone=("d",), kept=("b",), aside=("c", "e", "f"))


def test_a_bar_that_is_put_in_is_the_only_one_that_differs() -> None:
    mine = score_of(right="C5w | D5w | E5w", left="C3w | C3w | C3w")
    theirs = score_of(right="C5w | G5w | D5w | E5w", left="C3w | B2w | C3w | C3w")
    assert bars_that_differ(mine, theirs) == (DifferingBars((1, 1), (1, 2)),)


def test_words_that_differ_are_told_by_their_lines_and_by_whose_they_are() -> None:
    told = words_that_differ("a\nb\nmine\nc\nd\n", "new\na\nb\nc\nother\n", "piece.md")
    assert told.splitlines() == [
        "piece.md, where it differs (yours stands):",
        "  before line 1, only theirs:", "    new",
        "  line 3, only yours:", "    mine",
        "  line 5, yours:", "    d",
        "  theirs:", "    other",
    ]  # fmt: skip
    assert words_that_differ("a\nb", "a\nb\nc", "p").splitlines()[1:] == ["  behind line 2, only theirs:", "    c"]
    assert words_that_differ("a\n", "a", "piece.md") == ""


def test_a_score_that_both_changed_stays_hers_and_the_bars_say_so(waltz: Path, berta: Path, tmp_path: Path) -> None:
    folder = unpack_bundle(pack_piece(waltz, tmp_path / "1.zip").file, berta).folder
    hers = musicxml(TUNE.replace("C5w", "E5w"), BASS)
    (folder / "score.musicxml").write_text(hers)
    (waltz / "score.musicxml").write_text(musicxml(LATER, BASS))
    unpacked = unpack_bundle(pack_piece(waltz, tmp_path / "2.zip").file, berta)
    assert unpacked.merged.aside == ("score.musicxml",)
    assert (folder / "score.musicxml").read_text() == hers
    assert (folder / ".theirs" / "score.musicxml").read_text() == musicxml(LATER, BASS)
    sheet = (folder / ".theirs" / "differences.html").read_text()
    assert "Your score stands as it is." in sheet
    assert re.findall(r"<p>(Bars? [\d-]+)</p>", sheet) == ["Bars 3-4"] * 2


def test_a_fingering_makes_a_bar_differ_and_the_names_of_notes_do_not() -> None:
    mine, theirs = score_of(right="C5q C5 D5 E5", left="C3w"), score_of(right="C5q C5 D5!3 E5", left="C3w")
    assert bars_that_differ(mine, mine) == ()
    assert bars_that_differ(mine, theirs) == (DifferingBars((0, 1), (0, 1)),)
