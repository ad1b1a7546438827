"""What has not changed is not made again; what has, is: each step goes by what it receives and by its own code."""

from __future__ import annotations

import os
import shutil
from collections import Counter
from pathlib import Path

import pytest

from sitegen.building import code
from sitegen.building.site import build_site
from sitegen.building.steps import drawing
from sitegen.building.store import Store
from tests.building.studio import musicxml, tree_of, write_content, write_piece

RIGHT = "E5q D5e C5 B4q C5 | G5q F5e E5 D5h | C5q E5e G5 F5q D5 | C5w"
LEFT = "C4e G4 E4 G4 C4 G4 E4 G4 | B3 G4 D4 G4 B3 G4 D4 G4 | C4 G4 E4 G4 B3 G4 D4 G4 | C4e G4 E4 G4 C4h"
ENGRAVED = {"drawing", "playing", "excerpt"}


class Builds:
    """Builds of one content folder; ``made`` lists, of the last, ``<piece>: <step> <part>: <why>``."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.content, self.site = folder / "content", folder / "site"
        self.made: list[str] = []

    def again(self, fresh: bool = False, largest: int | None = 1 << 40, workers: int = 0) -> list[str]:
        """What is made by the next build."""
        self.made = []
        store = Store(self.folder / "store", fresh)
        outcome = build_site(
            self.content, self.site, store, workers, lambda _: None, largest=largest, explain=self.made.append
        )
        assert outcome.errors == ()
        return self.made

    def steps(self) -> set[str]:
        """The names of the steps that were run, of whatever part."""
        names = {line.split(": ")[1] for line in self.made}
        return {next((step for step in ENGRAVED | {"notation", "MusicXML"} if n.startswith(step)), n) for n in names}

    def write(self, text: str = "Listen.", *front: str) -> None:
        """Another ``piece.md`` of the tune."""
        lines = ["---", "title: Tune", "score: score.musicxml", "licence: CC0-1.0", *front, "---", "", text, ""]
        (self.content / "tune" / "piece.md").write_text("\n".join(lines), encoding="utf-8")


@pytest.fixture
def builds(tmp_path: Path) -> Builds:
    write_content(tmp_path / "content", tune=musicxml(RIGHT, LEFT))
    made = Builds(tmp_path)
    made.write()
    made.again()
    return made


def test_what_did_not_change_is_not_made_nor_written_again(builds: Builds) -> None:
    assert builds.made
    before = {path: path.stat().st_ino for path in builds.folder.rglob("*")}
    assert builds.again() == []
    assert {path: path.stat().st_ino for path in builds.folder.rglob("*")} == before
    shutil.rmtree(builds.folder / "store" / "notes")
    assert builds.again() == [], "the store knows it too, without the record of the last build"


def test_a_sentence_a_comment_and_a_title_engrave_nothing(builds: Builds) -> None:
    builds.write("Listen to the tenor.")
    assert builds.again() == ["tune: examination: its piece changed", "tune: pages: its piece changed"]
    assert "the tenor" in (builds.site / "pieces" / "tune" / "index.html").read_text(encoding="utf-8")
    builds.write("Listen to the tenor.", "summary: A tune.", "# a comment")
    builds.again()
    assert builds.steps() == {"examination", "pages"}


def test_another_tempo_engraves_nothing_and_is_heard(builds: Builds) -> None:
    timing = builds.site / "pieces" / "tune" / "stages" / "as-written" / "timing.json"
    before = timing.read_bytes()
    builds.write("Listen.", "tempo: 60")
    builds.again()
    assert {name.split(" ")[0] for name in builds.steps()} == {"performance", "examination", "pages"}
    assert timing.read_bytes() != before


def test_another_title_of_a_stage_engraves_nothing(builds: Builds) -> None:
    builds.write("Listen.", "adjustments:", "  - {stage: outer voices, title: Two voices}")
    builds.again()
    assert not builds.steps() & (ENGRAVED | {"notation", "analysis"})
    (named,) = [line for line in builds.made if ": MusicXML " in line]
    assert named == "tune: MusicXML outer-voices: its title was Outer voices and is Two voices"
    written = builds.site / "pieces" / "tune" / "stages" / "outer-voices" / "stage.musicxml"
    assert "Two voices" in written.read_text(encoding="utf-8")


def test_one_adjustment_makes_only_the_stages_whose_notes_change(builds: Builds) -> None:
    builds.write(
        "Listen.", "adjustments:", "  - {at: 'bar 2, beat 1, left hand, B3', stage: bass line, do: move, octaves: -1}"
    )
    builds.again()
    drawn = [line.split(": ")[1] for line in builds.made if ": drawing" in line]
    assert drawn == ["drawing bass-line"]
    assert "analysis" not in builds.steps()


def test_an_adjustment_a_line_lower_makes_nothing_of_the_music_again(builds: Builds) -> None:
    wish = ("adjustments:", "  - {at: 'bar 2, beat 1, left hand, B3', stage: bass line, do: move, octaves: -1}")
    builds.write("Listen.", *wish)
    builds.again()
    builds.write("Listen.", "# a comment above", *wish)
    builds.again()
    assert builds.steps() == {"examination", "pages"}


def test_a_new_excerpt_engraves_the_excerpt_alone(builds: Builds) -> None:
    builds.write("Look: ![the first bar](bars:1-1)")
    builds.again()
    assert Counter(line.split(": ")[1] for line in builds.made)["excerpt"] == 1
    assert builds.steps() == {"excerpt", "examination", "pages"}


def test_a_change_of_one_piece_makes_no_other(builds: Builds) -> None:
    write_piece(builds.content, "waltz", musicxml("E5h.", "C3h.", "3/4"))
    assert {line.split(": ")[0] for line in builds.again()} == {"waltz"}
    gallery = (builds.site / "index.html").read_text(encoding="utf-8")
    assert "Tune" in gallery
    assert "Waltz" in gallery


def test_a_piece_that_leads_to_another_is_looked_at_when_that_comes_and_goes(builds: Builds) -> None:
    write_piece(builds.content, "waltz", musicxml("E5h.", "C3h.", "3/4"))
    builds.write("[the waltz](../waltz/piece.md)")
    builds.again()
    shutil.rmtree(builds.content / "waltz")
    store = Store(builds.folder / "store")
    outcome = build_site(builds.content, builds.site, store, 0, lambda _: None)
    assert "leads to no piece" in str(outcome.errors[0])


def _program(folder: Path, changed: str, line: str) -> code.Sources:
    """The sources of the program with a line more in one of its modules."""
    root = Path(code.__file__).parents[2]
    shutil.copytree(root / "sitegen", folder / "sitegen", ignore=shutil.ignore_patterns("__pycache__", "_themes"))
    with (folder / changed).open("a", encoding="utf-8") as module:
        module.write(f"\n{line}\n")
    return code.Sources(folder)


@pytest.mark.parametrize(
    ("changed", "made", "not_made"),
    [
        ("sitegen/notation/voices.py", "writing", ("reading", "drawing", "reducing", "pages")),
        ("sitegen/reduction/techniques/voices.py", "reducing", ("writing", "drawing", "analysing")),
        ("sitegen/analysis/harmony/weights.json", "analysing", ("reading", "writing", "drawing", "pages")),
        ("sitegen/engraving/svg.py", "drawing", ("writing", "reading", "performing", "pages")),
        ("sitegen/publishing/spelling.py", "pages", ("drawing", "writing", "analysing", "playing")),
    ],
)  # fmt: skip
def test_a_changed_module_makes_again_what_it_makes_and_nothing_else(
    tmp_path: Path, changed: str, made: str, not_made: tuple[str, ...]
) -> None:
    now, before = _program(tmp_path, changed, " " if changed.endswith("json") else "# changed"), code.Sources()

    def is_changed(step: str) -> bool:
        module = f"sitegen.building.steps.{step}"
        return now.parts_of(module) != before.parts_of(module)

    assert is_changed(made)
    assert [step for step in not_made if is_changed(step)] == []


def test_a_library_counts_for_the_steps_that_use_it() -> None:
    sources = code.Sources()
    assert "verovio" in sources.parts_of("sitegen.building.steps.drawing")
    assert "music21" in sources.parts_of("sitegen.building.steps.writing")
    assert "music21" not in sources.parts_of("sitegen.building.steps.drawing")
    assert "verovio" not in sources.parts_of("sitegen.building.steps.pages")


def test_whatever_byte_of_the_store_is_flipped_the_site_is_the_same(builds: Builds) -> None:
    before = tree_of(builds.site)
    for file in sorted((builds.folder / "store").rglob("*")):
        if file.is_file():
            data = file.read_bytes()
            place = len(data) * 2 // 3
            file.write_bytes(data[:place] + bytes([data[place] ^ 4]) + data[place + 1 :])
    os.utime(builds.content / "studio.yaml", (1, 1))
    shutil.rmtree(builds.site)
    builds.again()
    assert tree_of(builds.site) == before


def test_fresh_makes_all_anew_and_mends_the_store(builds: Builds) -> None:
    before, count = tree_of(builds.site), len(builds.made)
    for file in (builds.folder / "store" / "values").rglob("*"):
        if file.is_file():
            file.write_bytes(b"damaged")
    assert len(builds.again(fresh=True)) == count
    assert all(line.endswith("everything is made anew") for line in builds.made)
    shutil.rmtree(builds.site)
    assert builds.again() == []
    assert tree_of(builds.site) == before


def test_a_store_that_may_hold_nothing_costs_time_and_nothing_else(builds: Builds) -> None:
    before = tree_of(builds.site)
    builds.write("Another.")
    builds.again(largest=0)
    assert not [file for file in (builds.folder / "store" / "values").rglob("*") if file.is_file()]
    builds.write()
    builds.again()
    assert tree_of(builds.site) == before


@pytest.mark.parametrize(("option", "kept"), [(None, False), (1 << 40, True)], ids=["as the studio says", "option"])
def test_the_studio_says_how_much_is_kept_where_no_option_does(builds: Builds, option: int | None, kept: bool) -> None:
    (builds.content / "studio.yaml").write_text("title: The small studio\nkeep: 0.1 kB\n", encoding="utf-8")
    builds.again(largest=option)
    assert any(file.is_file() for file in (builds.folder / "store" / "values").rglob("*")) is kept


def test_step_that_fails_leaves_no_result(builds: Builds, monkeypatch: pytest.MonkeyPatch) -> None:
    def fail(*_: object) -> None:
        raise ZeroDivisionError

    store, given = Store(builds.folder / "other store"), (builds.content, builds.site)
    with monkeypatch.context() as patched:
        patched.setattr(drawing, "draw", fail)
        (fault,) = build_site(*given, store, 0, lambda _: None).errors
    assert "could not be made (ZeroDivisionError" in str(fault)
    assert build_site(*given, store, 0, lambda _: None).errors == ()
