"""Names with accents are read in the encoding that a file declares, in every format."""

from __future__ import annotations

import io
import zipfile

import pytest

from sitegen.errors import ScoreError
from tests.score.files import kern, mei, mei_bar, mei_note, musicxml, note, read

NAME = "Dvořák, Flügel"
LATIN = "Couperin, prélude – à l’œuvre"
BAR = note("C5", 48, "whole")


def xml(encoding: str, name: str) -> str:
    titled = musicxml(BAR).replace("<part-list>", f"<work><work-title>{name}</work-title></work><part-list>")
    return f'<?xml version="1.0" encoding="{encoding}"?>{titled}'


ABC = "X:1\n%%abc-charset {}\nT:{}\nK:C\nC4|]\n"
KERN = kern("**kern", "*M4/4", "=1", "1c", "==")

FILES: dict[str, tuple[str, bytes, str]] = {
    "UTF-16 with a mark": (".musicxml", xml("UTF-16", NAME).encode("utf-16"), NAME),
    "UTF-16 without a mark": (".musicxml", xml("UTF-16", NAME).encode("utf-16-be"), NAME),
    "UTF-8 that says it is UTF-16": (".musicxml", xml("UTF-16", NAME).encode(), NAME),
    "UTF-8 that says it is UTF-32": (".musicxml", xml("UTF-32", NAME).encode(), NAME),
    "UTF-8 with a mark": (".musicxml", xml("UTF-8", NAME).encode("utf-8-sig"), NAME),
    "Windows-1252": (".musicxml", xml("windows-1252", LATIN).encode("cp1252"), LATIN),
    "Latin-1 as programs mean it": (".musicxml", xml("ISO-8859-1", LATIN).encode("cp1252"), LATIN),
    "Latin-2": (".musicxml", xml("ISO-8859-2", NAME).encode("iso8859-2"), NAME),
    "nothing said": (".musicxml", xml("", LATIN).replace(' encoding=""', "").encode("cp1252"), LATIN),
    "MEI in Latin-2": (
        ".mei", ('<?xml version="1.0" encoding="iso-8859-2"?>' + mei(mei_bar(mei_note("c4", 1))).replace("Trial", NAME)
                 ).encode("iso8859-2"), NAME),
    "ABC in Latin-2": (".abc", ABC.format("iso-8859-2", NAME).encode("iso8859-2"), NAME),
    "ABC by its instruction": (
        ".abc", ABC.replace("%%", "I:").format("iso-8859-2", NAME).encode("iso8859-2"), NAME),
    "ABC in UTF-8": (".abc", ABC.format("utf-8", NAME).encode(), NAME),
    "Humdrum in UTF-8": (".krn", f"!!!OTL: {NAME}\n{KERN}".encode(), NAME),
    "Humdrum in Latin-1": (".krn", f"!!!OTL: {LATIN}\n{KERN}".encode("cp1252"), LATIN),
    "Humdrum by a record": (".krn", f"!!!ENC-encoding: iso-8859-2\n!!!OTL: {NAME}\n{KERN}".encode("iso8859-2"), NAME),
}  # fmt: skip


@pytest.mark.parametrize("case", FILES)
def test_a_title_is_read_in_the_encoding_of_its_file(case: str) -> None:
    suffix, data, name = FILES[case]
    score = read(data, suffix)
    assert (score.title, score.warnings) == (name, ())


def test_an_encoding_holds_within_an_archive() -> None:
    data = io.BytesIO()
    with zipfile.ZipFile(data, "w") as archive:
        archive.writestr("score.xml", xml("ISO-8859-2", NAME).encode("iso8859-2"))
    assert read(data.getvalue(), ".mxl").title == NAME


def test_a_file_that_is_not_what_it_says_is_read_and_said() -> None:
    score = read(xml("UTF-8", LATIN).encode("cp1252"), ".musicxml")
    assert score.title == LATIN
    assert "says that it is written in UTF-8 and is not" in score.warnings[0]


@pytest.mark.parametrize("name", ["klingon", "rot13", "unicode_escape"])
def test_an_encoding_that_is_not_known_is_named(name: str) -> None:
    with pytest.raises(ScoreError, match=f"its encoding, '{name}', is not known"):
        read(xml(name, "Air").encode(), ".musicxml")
