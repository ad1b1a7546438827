"""Bad input is one line that names the file and what to do, never a traceback and never the end of the process."""

from __future__ import annotations

import io
import zipfile
from dataclasses import replace
from pathlib import Path

import pytest

from sitegen.errors import ScoreError
from sitegen.score import open_source, read_score
from sitegen.score.formats import LARGEST_FILE
from sitegen.score.reading import _compare
from sitegen.score.walking import Walk
from tests.score.files import kern, mei, musicxml, note

GOOD = musicxml(note("C5", 48, "whole"))


def archive(**members: str | bytes) -> bytes:
    """A zip file; ``_`` in a name stands for a slash, ``__`` for a dot."""
    data = io.BytesIO()
    with zipfile.ZipFile(data, "w", zipfile.ZIP_DEFLATED) as out:
        for name, content in members.items():
            out.writestr(name.replace("__", ".").replace("_", "/"), content)
    return data.getvalue()


def doctype(inside: str) -> str:
    return f'<?xml version="1.0"?><!DOCTYPE score-partwise [{inside}]><score-partwise><part-list/>&a;</score-partwise>'


BAD: dict[str, tuple[str, str | bytes, str]] = {
    "wrong extension": ("a.pdf", GOOD, "'.pdf' is not a score format"),
    "no extension": ("a", GOOD, "has no ending"),
    "empty": ("a.musicxml", "", "the file is empty"),
    "only blanks": ("a.krn", " \n\n", "the file is empty"),
    "no zip": ("a.mxl", "hello", "not well-formed XML"),
    "damaged zip": ("a.mxl", b"PK\x03\x04" + bytes(range(200)), "the archive is damaged"),
    "cut zip": ("a.mxl", archive(a__xml=GOOD)[:90], "the archive is damaged"),
    "zip without a score": ("a.mxl", archive(readme__txt="x"), "the archive holds no score"),
    "empty zip": ("a.mxl", archive(), "the archive holds no score"),
    "zip with broken contents": ("a.mxl", archive(**{"META-INF_container__xml": "<con"}), "the archive is damaged"),
    "zip bomb": ("a.mxl", archive(a__xml=b" " * (LARGEST_FILE + 1)), "unpacks to more than 32 MiB"),
    "truncated XML": ("a.musicxml", GOOD[: len(GOOD) // 2], "not well-formed XML"),
    "binary junk": ("a.musicxml", bytes(range(256)), "not well-formed XML"),
    "binary junk as MEI": ("a.mei", bytes(range(256)), "not well-formed XML"),
    "binary junk as Humdrum": ("a.krn", bytes(range(256)), "does not begin with spines"),
    "binary junk as ABC": ("a.abc", bytes(range(256)), "has no key field"),
    "laughs": ("a.xml", doctype('<!ENTITY b "ha"><!ENTITY a "&b;&b;&b;">'), "declares XML entities"),
    "external entity": ("a.xml", doctype('<!ENTITY a SYSTEM "file:///etc/hostname">'), "declares XML entities"),
    "deep nesting": ("a.musicxml", GOOD.replace("<note>", "<x>" * 5000 + "</x>" * 5000 + "<note>", 1), "more than 200"),
    "timewise": ("a.musicxml", '<score-timewise version="4.0"/>', "is timewise MusicXML"),
    "a web page": ("a.xml", "<html/>", "is not a score: its outermost element is <html>"),
    "no parts": ("a.musicxml", '<score-partwise version="4.0"><part-list/></score-partwise>', "holds no bars"),
    "no MEI music": ("a.mei", '<mei xmlns="http://www.music-encoding.org/ns/mei"><meiHead/></mei>', "cannot be read"),
    "MEI without a bar": ("a.mei", mei(""), "holds no bars"),
    "ABC without music": ("a.abc", "X:1\nT:Air\nK:C\n", "holds no bars"),
    "Humdrum without kern": ("a.krn", "**text\nla\n*-\n", "holds no **kern spine"),
}

IN_LINES: dict[str, tuple[str, str, int, str]] = {
    "XML": ("a.musicxml", "<score-partwise>\n<part>\n</score-partwise>", 3, "not well-formed XML"),
    "kern fields": ("a.krn", kern("**kern  **kern", "*M4/4  *M4/4", "1c  1e  1g"), 3, "has 3 fields where 2 spines"),
    "kern note": ("a.krn", kern("**kern", "*M4/4", "=1", "4cz", "4x"), 5, "'4x' is not a note or rest"),
    "kern join": ("a.krn", kern("**kern  **kern", "*v  *"), 2, "a spine is joined with nothing"),
    "kern note among interpretations": ("a.krn", "**kern\t**kern\n*M4/4\t4c\n", 2, "'4c' stands among interpretations"),
    "kern bar line": (
        "a.krn",
        kern("**kern  **kern", "*M1/4  *M1/4", "4c  4c", "=1  4c"),
        4,
        "a bar line does not go through all",
    ),
    "ABC sign": ("a.abc", "X:1\nK:C\nc2 }d2|\n", 3, "'}d2|' is not understood"),
}


def refusal(folder: Path, name: str, content: str | bytes) -> ScoreError:
    path = folder / name
    path.write_bytes(content if isinstance(content, bytes) else content.encode())
    with pytest.raises(ScoreError) as raised:
        read_score(path)
    assert str(path) in str(raised.value)
    assert "\n" not in str(raised.value)
    assert raised.value.remedy
    return raised.value


@pytest.mark.parametrize("case", BAD)
def test_a_bad_file_is_named_with_its_fault(case: str, tmp_path: Path) -> None:
    name, content, what = BAD[case]
    assert what in refusal(tmp_path, name, content).what


@pytest.mark.parametrize("case", IN_LINES)
def test_a_fault_in_the_text_is_named_with_its_line(case: str, tmp_path: Path) -> None:
    name, content, line, what = IN_LINES[case]
    error = refusal(tmp_path, name, content)
    assert error.line == line
    assert what in error.what


def test_a_folder_and_a_missing_file_are_no_scores(tmp_path: Path) -> None:
    (tmp_path / "a.musicxml").mkdir()
    with pytest.raises(ScoreError, match="is a folder"):
        read_score(tmp_path / "a.musicxml")
    with pytest.raises(ScoreError, match="cannot be read"):
        read_score(tmp_path / "b.musicxml")


def test_a_file_too_large_is_refused_before_it_is_read(tmp_path: Path) -> None:
    path = tmp_path / "a.musicxml"
    with path.open("wb") as out:
        out.truncate(LARGEST_FILE + 1)
    with pytest.raises(ScoreError, match="larger than 32 MiB"):
        open_source(path)


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "latin-1"])
def test_text_encodings_of_editors_are_known(encoding: str, tmp_path: Path) -> None:
    path = tmp_path / "a.musicxml"
    head = f'<?xml version="1.0" encoding="{encoding.removesuffix("-sig")}"?>'
    path.write_bytes((head + GOOD.replace("Piano", "Flügel")).encode(encoding))
    assert read_score(path).staves[0].name == "Flügel"


def test_a_note_beyond_the_last_bar_is_refused_by_its_bar(tmp_path: Path) -> None:
    place = tmp_path / "a.krn"
    place.write_text(kern("**kern", "*M1/4", "=1", "4c"), encoding="utf-8")
    source = open_source(place)
    score = read_score(source)
    late = replace(score, notes=(replace(score.notes[0], onset=score.bars[-1].end),))
    with pytest.raises(ScoreError, match=r"bar 1: a note stands beyond the last bar\. Check the lengths"):
        _compare(source, late, Walk(source.file))


def test_a_file_of_another_program_is_to_be_exported(tmp_path: Path) -> None:
    for name in ("a.mid", "Stück.pdf", "noten"):
        remedy = refusal(tmp_path, name, GOOD).remedy
        assert remedy.startswith("Export MusicXML from your notation program; what is read ends in .musicxml, .xml")
