"""Every fault in what a teacher writes is one line: file, line, field, and what is expected."""

from __future__ import annotations

from pathlib import Path

import pytest

from sitegen.errors import ContentError
from sitegen.library import load_library

HAND = "small, medium, large, an interval such as a tenth, or a number of semitones from 5 to 24"
TEMPO = "a note value and one figure such as quarter = 104 or ♩. = 60, or quarter notes a minute (10 to 400)"
GOOD = """---
title: A march
score: score.musicxml
---

Listen.
"""


def _studio(root: Path, studio: str | None = "title: Small\n", piece: str | None = GOOD, score: bool = True) -> Path:
    content = root / "content"
    (content / "march").mkdir(parents=True)
    if studio is not None:
        (content / "studio.yaml").write_text(studio, encoding="utf-8")
    if piece is not None:
        (content / "march" / "piece.md").write_text(piece, encoding="utf-8")
    if score:
        (content / "march" / "score.musicxml").write_text("<score-partwise/>", encoding="utf-8")
    return content


def _faults(content: Path) -> list[str]:
    """The faults, without the part of each path that leads to the content folder."""
    faults = [str(fault).replace(f"{content}/", "") for fault in load_library(content).faults]
    assert all("\n" not in fault for fault in faults)
    return faults


def _with(*lines: str) -> str:
    """Front matter with these lines after title (line 2) and score (line 3)."""
    return GOOD.replace("score: score.musicxml\n", "score: score.musicxml\n" + "".join(f"{line}\n" for line in lines))


def test_good_content_has_no_faults(tmp_path: Path) -> None:
    library = load_library(_studio(tmp_path))
    assert library.faults == ()
    assert [(p.slug, p.matter.title, p.commentary.strip(), p.bare) for p in library.pieces] == [
        ("march", "A march", "Listen.", False)
    ]


@pytest.mark.parametrize(("words", "semitones"), [("small", 10), ("medium", 12), ("large", 14), ("13", 13)])
def test_a_hand_is_small_medium_or_large_or_so_many_semitones(tmp_path: Path, words: str, semitones: int) -> None:
    [piece] = load_library(_studio(tmp_path, piece=_with(f"hand: {words}"))).pieces
    assert piece.matter.hand == semitones


def test_a_studio_that_says_nothing_of_hands_has_medium_ones(tmp_path: Path) -> None:
    assert load_library(_studio(tmp_path)).studio.hand == 12


@pytest.mark.parametrize(
    ("lines", "fault"),
    [
        (["tempo: fast"], "march/piece.md:4: field 'tempo' cannot be used. "
                          f"Expected: {TEMPO}."),
        (["tempo: 4000"], "march/piece.md:4: field 'tempo' cannot be used. "
                          f"Expected: {TEMPO}."),
        (["hand: huge"], "march/piece.md:4: field 'hand' cannot be used. "
                         f"Expected: {HAND}."),
        (["level: easy", "tags: waltz"], "march/piece.md:5: field 'tags' cannot be used. Expected: a list in brackets: "
         "[waltz, broken chords]."),
        (["summary: [a]"], "march/piece.md:4: field 'summary' cannot be used. Expected: a text."),
        (["practise:", "  - {day: 0, stage: bass line}"], "march/piece.md:5: field 'day' cannot be used. "
                                                          "Expected: a day counted from 1."),
        (["practise:", "  - {day: 1, stage: bass line}", "  - {day: 2}"],
         "march/piece.md:6: field 'stage' is missing. Write 'stage: ...'."),
        (["practise:", "  - day: 1", "    stage: bass line", "    bars: first eight"],
         "march/piece.md:7: field 'bars' cannot be used. Expected: bars as printed, such as 1-8."),
        (["practise:", "  - {day: 1, stage: bass line, bar: 3}"],
         "march/piece.md:5: field 'bar' is not known. Perhaps 'bars'; known are: day, stage, bars, note."),
    ],
    ids=lambda value: value[-1].strip() if isinstance(value, list) else "",
)  # fmt: skip
def test_wrong_field_is_named_with_its_line(tmp_path: Path, lines: list[str], fault: str) -> None:
    assert _faults(_studio(tmp_path, piece=_with(*lines))) == [fault]


@pytest.mark.parametrize("bars", ["1-8", "bars 1-8", "1–8", "5", "'5'", "bar 5", "upbeat-4", "Bars 12a to 14"])
def test_bars_of_the_plan_are_said_as_everywhere(tmp_path: Path, bars: str) -> None:
    plan = ["practise:", "  - day: 1", "    stage: bass line", f"    bars: {bars}"]
    assert _faults(_studio(tmp_path, piece=_with(*plan))) == []


def test_missing_field_is_named(tmp_path: Path) -> None:
    piece = GOOD.replace("title: A march\n", "")
    assert _faults(_studio(tmp_path, piece=piece)) == [
        "march/piece.md:2: field 'title' is missing. Write 'title: ...'."
    ]


def test_unknown_field_is_named_with_those_that_are_known(tmp_path: Path) -> None:
    (fault,) = _faults(_studio(tmp_path, piece=_with("compser: N. N.")))
    assert fault.startswith(
        "march/piece.md:4: field 'compser' is not known. Perhaps 'composer'; known are: title, composer, score,"
    )


def test_every_fault_of_a_piece_is_told_at_once(tmp_path: Path) -> None:
    faults = _faults(_studio(tmp_path, piece=_with("tempo: fast", "hand: huge", "colour: red")))
    assert [fault.split(": ")[0] for fault in faults] == [f"march/piece.md:{line}" for line in (4, 5, 6)]


@pytest.mark.parametrize(
    ("lines", "fault"),
    [
        (["composer: Bach: the father"], "4: a text has a colon in it. Put the whole text in double quotes"),
        (["\tcomposer: B."], "4: a tab stands where spaces are needed. Write spaces"),
        (["  composer: B."], "4: this line is not indented like those that it belongs to. Give fields"),
        (["practise:", "  - day: 1", "   stage: bass line"], "6: this line is not indented like those"),
        (["summary: 'A march", "level: easy"], "4: a quotation mark is opened and not closed. Close it"),
        (["summary: 'It's a march'"], "4: text follows behind a closing quotation mark. Put the whole"),
        (["tags: [a, b", "level: easy"], "4: a list or group of fields is opened and not closed. Close it with ]"),
        (["practise:", "  - {day: 1, stage: bass line", "level: easy"], "5: a list or group of fields is opened"),
        (["composer: @home"], "4: a text begins with @, which has a meaning of its own here. Put the whole"),
        (["composer: *Anon*"], "4: a text begins with *, which has a meaning of its own here. Put the whole"),
        (["title: Again"], "4: field 'title' is there twice. Leave one of the two"),
        (["composer Anon", "level: easy"], "4: this line has no colon. Write 'title: ...'"),
        (["composer: A\x00"], "4: a character stands here that no text may hold. Write the word anew"),
    ],
    ids=lambda value: value[0].strip() if isinstance(value, list) else "",
)  # fmt: skip
def test_mistake_in_the_form_of_yaml_is_told_in_a_teachers_words(tmp_path: Path, lines: list[str], fault: str) -> None:
    (said,) = _faults(_studio(tmp_path, piece=_with(*lines)))
    assert said.startswith(f"march/piece.md:{fault}")
    assert not any(word in said for word in ("YAML", "scalar", "mapping", "token"))


def test_a_year_or_a_date_may_be_a_title(tmp_path: Path) -> None:
    for title, read in (("1812", "1812"), ("2024-05-01", "2024-05-01")):
        content = _studio(tmp_path / title, piece=GOOD.replace("A march", title))
        assert [piece.matter.title for piece in load_library(content).pieces] == [read]


def test_a_tempo_counts_the_note_that_it_names(tmp_path: Path) -> None:
    for number, (text, quarters) in enumerate((("104", 104), ("quarter = 104", 104), ("dotted crotchet = 60", 90),
                                               ("half = 60", 120), ("eighth note=192", 96), ("♩ = 60", 60),
                                               ("♩.=60", 90), ("♪ = 96", 48), ("𝅗𝅥 = 40", 80), ("𝅘𝅥𝅭 = ca. 40", 60),
                                               ("Andante (♩ = 66)", 66))):  # fmt: skip
        (piece,) = load_library(_studio(tmp_path / str(number), piece=_with(f"tempo: {text}"))).pieces
        assert piece.matter.tempo is not None
        assert piece.matter.tempo.quarters_a_minute == quarters


@pytest.mark.parametrize(
    ("piece", "fault"),
    [
        ("A march\n", "march/piece.md:1: begins without front matter. "
                      "Begin with a line '---', the fields, and '---'."),
        ("", "march/piece.md:1: begins without front matter. Begin with a line '---', the fields, and '---'."),
        ("---\ntitle: A march\n", "march/piece.md:1: its front matter has no end. "
                                  "Put a line '---' after the last field."),
        ("---\n- title\n---\n", "march/piece.md:2: fields with values are expected here. Write 'title: ...'."),
    ],
    ids=["no front matter", "empty", "no end", "a list"],
)  # fmt: skip
def test_front_matter_that_is_none_is_told(tmp_path: Path, piece: str, fault: str) -> None:
    assert _faults(_studio(tmp_path, piece=piece)) == [fault]


def test_score_that_is_not_there_is_told_with_its_line(tmp_path: Path) -> None:
    assert _faults(_studio(tmp_path, score=False)) == [
        "march/piece.md:3: field 'score' names 'score.musicxml', which is not there. "
        "Give the name of a score file in the folder of the piece."
    ]


@pytest.mark.parametrize("name", ["../../secret.xml", "/etc/passwd", ".", "../march"])
def test_score_outside_the_folder_of_the_piece_is_refused(tmp_path: Path, name: str) -> None:
    (tmp_path / "secret.xml").write_text("<score-partwise/>")
    (fault,) = _faults(_studio(tmp_path, piece=GOOD.replace("score.musicxml", name)))
    assert f"field 'score' names '{name}', which is not there" in fault


def test_studio_that_is_missing_or_wrong_does_not_stop_the_pieces(tmp_path: Path) -> None:
    for number, (studio, what) in enumerate([
        (None, "studio.yaml: is missing. Write it with a line such as 'title: My studio'."),
        ("", "studio.yaml:1: field 'title' is missing. Write 'title: ...'."),
        ("title: Small\nlanguage: English\n", "studio.yaml:2: field 'language' cannot be used. "
                                              "Expected: a language code such as en or de."),
        ("title: Small\nhand: 3\n", "studio.yaml:2: field 'hand' cannot be used. "
                                    f"Expected: {HAND}."),
    ]):  # fmt: skip
        content = _studio(tmp_path / str(number), studio=studio)
        assert _faults(content) == [what]
        assert [piece.slug for piece in load_library(content).pieces] == ["march"]


def test_text_that_is_no_text_is_told(tmp_path: Path) -> None:
    content = _studio(tmp_path)
    (content / "march" / "piece.md").write_bytes(b"---\ntitle: M\xe4rz\n---\n")
    assert _faults(content) == ["march/piece.md: is not UTF-8 text. Save it as UTF-8."]


def test_text_saved_by_windows_is_read(tmp_path: Path) -> None:
    content = _studio(tmp_path)
    (content / "march" / "piece.md").write_bytes(b"\xef\xbb\xbf" + GOOD.replace("\n", "\r\n").encode())
    assert _faults(content) == []


def test_two_pieces_with_one_address_are_told(tmp_path: Path) -> None:
    content = _studio(tmp_path)
    (content / "March!").mkdir()
    (content / "March!" / "score.xml").write_text("<score-partwise/>")
    assert len(_faults(content)) == 1
    assert "has the same address as" in _faults(content)[0]


def test_folder_with_nothing_in_it_is_told_and_nobody_is_told_to_remove_it(tmp_path: Path) -> None:
    content = _studio(tmp_path)
    (content / "empty").mkdir()
    library = load_library(content)
    (said,) = [str(warning) for warning in library.warnings]
    assert "empty: holds neither piece.md nor a score; nothing of it is published. Put a score" in said
    assert "remove" not in said.lower()
    assert library.faults == ()


def test_folder_that_is_not_there_ends_everything(tmp_path: Path) -> None:
    with pytest.raises(ContentError, match="there is no such content folder"):
        load_library(tmp_path / "nowhere")


def test_lines_of_wishes_are_remembered(tmp_path: Path) -> None:
    piece = _with(
        "stages:", "  - bass line", "  - title: Mine", "    techniques: [x]", "adjustments:", "  - {bars: '1'}"
    )
    library = load_library(_studio(tmp_path, piece=piece))
    assert library.faults == ()
    assert [s.line for s in library.pieces[0].stages] == [5, 6]
    assert [a.line for a in library.pieces[0].adjustments] == [9]
