"""The command line: exit codes, one line a fault, plain lines away from a terminal, never a traceback."""

from __future__ import annotations

import json
import os
import re
import subprocess
import sys
from importlib import import_module
from pathlib import Path
from types import ModuleType

import pytest
from click.testing import CliRunner, Result

from sitegen.analysis.functions import FUNCTIONS
from sitegen.cli import main
from tests.building.conftest import Build
from tests.building.studio import musicxml, tree_of, write_content, write_piece

EMPTY = '<score-partwise version="4.0"><part-list/></score-partwise>'
_HEAD = (
    '<score-partwise version="4.0"><part-list><score-part id="P1"><part-name>P</part-name></score-part></part-list>'
    '<part id="P1"><measure number="1"><attributes><divisions>1</divisions><time><beats>4</beats><beat-type>4'
    "</beat-type></time></attributes>"
)
_TAIL = "</measure></part></score-partwise>"
REST = f'{_HEAD}<note><rest measure="yes"/><duration>4</duration></note>{_TAIL}'
DRUMS = (
    f"{_HEAD}<note><unpitched><display-step>E</display-step><display-octave>4</display-octave></unpitched>"
    f"<duration>4</duration><type>whole</type></note>{_TAIL}"
)
_NOTE = "<note><pitch><step>C</step><octave>4</octave></pitch><duration>4</duration><type>whole</type></note>"
ONE_NOTE = f"{_HEAD}{_NOTE}{_TAIL}"
BAD_SCORES = {
    "truncated": musicxml()[:700],
    "empty": "",
    "blank": " \n",
    "no parts": EMPTY,
    "one bar of rest": REST,
    "percussion only": DRUMS,
    "words": "Dear colleague, the score follows.",
    "a web page": "<html><body>404</body></html>",
    "entities": '<!DOCTYPE x [<!ENTITY a "aaaa"><!ENTITY b "&a;&a;">]><score-partwise>&b;</score-partwise>',
    "outside file": '<!DOCTYPE x [<!ENTITY a SYSTEM "file:///etc/passwd">]><score-partwise>&a;</score-partwise>',
    "an archive cut short": "PK\x03\x04",
    "no bars": '<score-partwise><part-list><score-part id="P1"/></part-list><part id="P1"/></score-partwise>',
}


def _run(*arguments: str | Path) -> Result:
    result = CliRunner().invoke(main, [str(a) for a in arguments])
    assert result.exception is None or isinstance(result.exception, SystemExit), result.exception
    return result


def _lines(text: str) -> list[str]:
    return [line for line in text.splitlines() if line and not line.startswith(("Building ", "Checking "))]


def test_good_content_is_built_with_exit_code_0(tmp_path: Path) -> None:
    content = write_content(tmp_path / "content", march=musicxml())
    result = _run("build", content, "-o", tmp_path / "site", "-j", "0")
    assert result.exit_code == 0
    assert result.stdout == f"1 piece built into {tmp_path / 'site'}, 0 faults\n"
    assert (tmp_path / "site" / "index.html").is_file()


def test_progress_is_plain_lines_away_from_a_terminal(tmp_path: Path) -> None:
    content = write_content(tmp_path / "content", march=musicxml(), waltz=musicxml())
    result = _run("build", content, "-o", tmp_path / "site", "-j", "0")
    told = [re.sub(r", some \d+ (second|minute)s? left$", "", line) for line in result.stderr.splitlines()]
    assert told == ["Building 1/2 march", "Building 2/2 waltz"]
    assert "\x1b" not in result.output


@pytest.mark.parametrize("name", BAD_SCORES)
def test_bad_score_is_one_line_with_exit_code_1_and_the_rest_is_built(tmp_path: Path, name: str) -> None:
    content = write_content(tmp_path / "content", march=musicxml())
    write_piece(content, "bad", BAD_SCORES[name])
    result = _run("build", content, "-o", tmp_path / "site", "-j", "0")
    assert result.exit_code == 1
    faults = _lines(result.stderr)
    assert len(faults) == 1, faults
    assert faults[0].startswith(str(content / "bad" / "score.musicxml"))
    assert "Error" not in faults[0], "a defect of the program is no fault of the score"
    assert result.stdout == f"1 piece built into {tmp_path / 'site'}, 1 fault\n"
    assert (tmp_path / "site" / "pieces" / "march" / "index.html").is_file()


@pytest.mark.parametrize("name", BAD_SCORES)
def test_analyse_says_the_same_of_a_bad_score(tmp_path: Path, name: str) -> None:
    score = tmp_path / "bad.musicxml"
    score.write_text(BAD_SCORES[name], encoding="utf-8")
    for form in ("text", "json"):
        result = _run("analyse", score, "--format", form)
        if name in ("one bar of rest", "percussion only"):
            continue  # nothing is wrong with reading them
        assert result.exit_code == 1
        assert len(_lines(result.stderr)) == 1
        assert result.stderr.startswith(str(score))
        assert result.stdout == ""


@pytest.mark.parametrize("score", [ONE_NOTE, musicxml("C5q", "", "1/4"), REST, DRUMS])
def test_score_of_next_to_nothing_is_analysed(tmp_path: Path, score: str) -> None:
    file = tmp_path / "small.musicxml"
    file.write_text(score, encoding="utf-8")
    result = _run("analyse", file, "--format", "json")
    assert result.exit_code == 0, result.stderr
    assert json.loads(result.stdout)["contract"] == 1
    assert _run("analyse", file).exit_code == 0


def test_single_note_becomes_a_page(tmp_path: Path) -> None:
    content = write_content(tmp_path / "content", note=ONE_NOTE)
    assert _run("build", content, "-o", tmp_path / "site", "-j", "0").exit_code == 0
    assert (tmp_path / "site" / "pieces" / "note" / "index.html").is_file()


def test_check_names_faults_and_writes_nothing(tmp_path: Path) -> None:
    content = write_content(tmp_path / "content", march=musicxml())
    write_piece(content, "bad", EMPTY)
    (content / "bare.abc").write_text("X:1\nT:Bare\nL:1/4\nK:C\nCDEF|\n")
    before = tree_of(tmp_path)
    result = _run("check", content)
    assert result.exit_code == 1
    assert len(_lines(result.stderr)) == 1
    assert "bare.abc: warning: has no piece.md" in result.stdout
    assert result.stdout.endswith("3 pieces checked, 1 fault, 1 warning\n")
    assert tree_of(tmp_path) == before


def test_nothing_but_bad_pieces_is_still_a_site(tmp_path: Path) -> None:
    content = write_content(tmp_path / "content", bad=EMPTY)
    result = _run("build", content, "-o", tmp_path / "site", "-j", "0")
    assert result.exit_code == 1
    assert json.loads((tmp_path / "site" / "site.json").read_text())["pieces"] == []


def test_fault_that_stops_everything_is_one_line_with_exit_code_1(tmp_path: Path) -> None:
    content = write_content(tmp_path / "content", march=musicxml())
    (tmp_path / "mine").mkdir()
    (tmp_path / "mine" / "thesis.txt").write_text("")
    for arguments in (("build", tmp_path / "nowhere"), ("build", content, "-o", tmp_path / "mine"),
                      ("check", tmp_path / "nowhere"), ("analyse", tmp_path / "nowhere.xml")):  # fmt: skip
        result = _run(*arguments)
        assert result.exit_code == 1
        assert len(result.stderr.splitlines()) == 1


@pytest.mark.parametrize(
    "arguments",
    [["bild"], ["build", "--quick"], ["build", "-j", "-1"], ["build", "--keep", "much"], ["build", "a", "b"],
     ["analyse"], [],
     ["analyse", "score.mxl", "--format", "xml"]],
    ids=" ".join,
)  # fmt: skip
def test_wrong_usage_is_exit_code_2(arguments: list[str]) -> None:
    assert _run(*arguments).exit_code == 2


def test_help_and_version_are_there() -> None:
    assert _run("--help").exit_code == 0
    assert _run("--version").exit_code == 0


def test_command_gives_the_same_bytes_in_another_process_with_other_hashes(tmp_path: Path, build: Build) -> None:
    write_content(tmp_path / "content", march=musicxml("C5h. D5q~ | D5q E5q3 F5 G5 F#5q", "C3w C3+G3w"))
    write_piece(tmp_path / "content", "bad", EMPTY)
    environment = {**os.environ, "PYTHONHASHSEED": "77", "SITEGEN_CACHE": str(tmp_path / "other cache")}
    command = [sys.executable, "-m", "sitegen", "build", "content", "-o", "theirs", "--workers", "2"]
    environment["PYTHONPATH"] = str(Path(__file__).parents[2])
    done = subprocess.run(command, cwd=tmp_path, env=environment, capture_output=True, text=True, check=False)
    assert done.returncode == 1
    assert len(_lines(done.stderr)) == 1, done.stderr
    build(tmp_path / "content", tmp_path / "ours")
    ours, theirs = tree_of(tmp_path / "ours"), tree_of(tmp_path / "theirs")
    # the sounds are left out of the build in this process, and with them their lines in the lists of files
    theirs = {path: data for path, data in theirs.items() if not path.startswith("sounds/")}
    assert ours.keys() == theirs.keys()
    assert [path for path in ours if ours[path] != theirs[path]] in (
        ["manifest.json"],
        ["manifest.json", "offline.json"],
    )


_ELSEWHERE = {
    "one": ("1", {"LC_ALL": "C", "TZ": "UTC", "PYTHONHASHSEED": "1"}),
    "two": ("3", {"LC_ALL": "de_DE.UTF-8", "LANG": "tr_TR.UTF-8", "TZ": "Pacific/Kiritimati", "PYTHONHASHSEED": "2"}),
}


def test_equal_input_gives_equal_bytes_in_any_folder_locale_time_zone_and_number_of_workers(tmp_path: Path) -> None:
    """Also of a piece at fault, whose last good pages say since when and why."""
    for name, (workers, given) in _ELSEWHERE.items():
        folder = tmp_path / name / ("deep" * len(name) + name)
        folder.mkdir(parents=True)
        pieces = {"march": musicxml(), "waltz": musicxml("E5h.", "C3h.", "3/4"), "lied": musicxml("G5w", "C3w")}
        for piece in reversed(pieces) if name == "two" else pieces:
            write_content(folder / "content", **{piece: pieces[piece]})
        environment = os.environ | given | {"SITEGEN_CACHE": str(folder / "cache"), "SOURCE_DATE_EPOCH": "1700000000"}
        environment["PYTHONPATH"] = str(Path(__file__).parents[2])
        content = "content" if name == "one" else str(folder / "content")
        command = [sys.executable, "-m", "sitegen", "build", content, "-o", str(folder / "site"), "-j", workers]
        assert subprocess.run(command, cwd=folder, env=environment, check=False).returncode == 0
        (folder / "content" / "waltz" / "score.musicxml").write_text("<score-partwise><part", encoding="utf-8")
        assert subprocess.run(command, cwd=folder, env=environment, check=False).returncode == 1
    one, two = (tree_of(next((tmp_path / name).iterdir()) / "site") for name in _ELSEWHERE)
    assert one.keys() == two.keys()
    assert [path for path in one if one[path] != two[path]] == []
    assert b"2023-11-14" in one["pieces/waltz/index.html"]


def test_analyse_of_a_piece_has_its_adjustments_in_force_and_its_ladder(tmp_path: Path) -> None:
    content = write_content(tmp_path / "content", march=musicxml())
    piece = content / "march" / "piece.md"
    adjusted = "licence: CC0-1.0\nadjustments:\n  - {at: 'bar 1, beat 1', chord: Am, until: 'bar 1, beat 3'}\n"
    piece.write_text(piece.read_text(encoding="utf-8").replace("licence: CC0-1.0\n", adjusted), encoding="utf-8")
    alone = _run("analyse", content / "march" / "score.musicxml")
    result = _run("analyse", content / "march")
    assert result.exit_code == alone.exit_code == 0
    assert "(Am)" in result.stdout
    assert "(Am)" not in alone.stdout
    assert "The ladder, fewest notes first" in result.stdout
    assert "  Bass line (bass-line): " in result.stdout


def test_analyse_of_some_bars_gives_each_note_its_reason(tmp_path: Path) -> None:
    content = write_content(tmp_path / "content", march=musicxml("C5q D5 E5 C5 | G5q F5 E5 D5", "C3w | C3w"))
    result = _run("analyse", content / "march", "--bars", "bar 2")
    assert result.stdout.startswith("bar 2")
    assert "bar 1" not in result.stdout
    assert "passing note. " in result.stdout
    wrong = _run("analyse", content / "march", "--bars", "9")
    assert (wrong.exit_code, "no bar 9" in wrong.stderr) == (1, True)


def test_analyse_says_what_to_name_in_place_of_what_is_no_piece(tmp_path: Path) -> None:
    content = write_content(tmp_path / "content", march=musicxml())
    (tmp_path / "scores").mkdir()
    for name in ("one", "two"):
        (tmp_path / "scores" / f"{name}.musicxml").write_text(musicxml(), encoding="utf-8")
    for place, said in ((content, f"Name one of them: {content / 'march'}."), (tmp_path / "none", "is not there."),
                        (tmp_path / "scores", "holds several scores and no piece.md. Name one of them:")):  # fmt: skip
        result = _run("analyse", place)
        assert result.exit_code != 0
        assert said in result.stderr


def test_analyse_lists_what_can_be_named() -> None:
    assert "bass line: What sounds lowest on the beat" in _run("analyse", "--list", "techniques").stdout
    assert "Alberti bass: lowest, highest, middle, highest" in _run("analyse", "--list", "textures").stdout
    assert "appoggiatura\n" in _run("analyse", "--list", "functions").stdout
    sentences = _run("analyse", "--list", "sentences").stdout
    assert "facts.bars.other: {count} bars\n" in sentences
    assert "listen.new key: From bar {bar} the music is in {key}.\n" in sentences
    assert _run("analyse").exit_code == 2


@pytest.mark.parametrize(("name", "holds"), [("analysis", "harmonies"), ("site", "pieces"), ("manifest", "files"),
                                             ("bundle", "files")])  # fmt: skip
def test_a_schema_can_be_had(name: str, holds: str) -> None:
    told = json.loads(_run("schema", name).stdout)
    assert told["$schema"] == "https://json-schema.org/draft/2020-12/schema"
    assert holds in (told.get("properties") or told["$defs"]["Manifest"]["properties"])


def test_the_schema_of_the_analysis_knows_every_function_of_a_note() -> None:
    told = json.loads(_run("schema", "analysis").stdout)
    assert told["properties"]["notes"]["items"]["properties"]["function"]["enum"] == list(FUNCTIONS)


def test_check_speaks_to_programs_too(tmp_path: Path) -> None:
    content = write_content(tmp_path / "content", march=musicxml())
    write_piece(content, "waltz", musicxml(), "[x](bars:9)")
    result = _run("check", content, "--format", "json")
    found = json.loads(result.stdout)
    assert (result.exit_code, found["pieces"], len(found["findings"])) == (1, 2, 1)
    finding = found["findings"][0]
    assert (finding["severity"], finding["line"], finding["piece"]) == ("error", 7, "waltz")
    assert finding["file"] == str(content / "waltz" / "piece.md")
    assert finding["what"]
    assert finding["remedy"]


def test_analyse_finds_the_neighbours_that_check_finds(tmp_path: Path) -> None:
    content = write_content(tmp_path / "content", Märchen=musicxml())
    write_piece(content, "march", musicxml(), "[x](../Märchen/piece.md)")
    assert _run("check", content).exit_code == 0
    assert _run("analyse", content / "march").exit_code == 0


def test_what_a_build_with_little_to_do_loads() -> None:
    """Its own process, and that of a worker which makes the pages of one piece."""
    look = "import sys, {}; print(sorted({{'numpy', 'verovio', 'music21'}} & sys.modules.keys()))"
    for module in ("sitegen.building.whole", "sitegen.building.steps.examining", "sitegen.building.steps.pages"):
        done = subprocess.run([sys.executable, "-c", look.format(module)], capture_output=True, text=True, check=True)
        assert done.stdout.strip() == "[]", module


@pytest.mark.parametrize("name", ["analysis", "reduction", "score", "engraving"])
def test_what_a_package_passes_on_is_there(name: str) -> None:
    package = import_module(f"sitegen.{name}")
    for passed_on in package.__all__:
        assert not isinstance(getattr(package, passed_on), ModuleType), passed_on
