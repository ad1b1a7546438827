"""Mistakes that teachers make, and the line that each of them gets: file, line or bar, what is wrong, what to do.

Every one is told by ``check`` and by ``build`` in the same words, the good piece beside it is published, and nothing
of the teacher's is changed.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

import pytest

from sitegen.building.checking import check_content
from sitegen.building.site import build_site
from sitegen.building.store import Store
from tests.building.studio import musicxml, tree_of, write_content

PIECE = """---
title: A waltz
score: score.musicxml
licence: CC0-1.0
---

"""
PNG = b"\x89PNG\r\n\x1a\n" + bytes(100)
Mistake = Callable[[Path], None]


def front(*lines: str, words: str = "Listen.") -> Mistake:
    """These lines after the licence (so they begin on line 5), and these words below."""

    def make(folder: Path) -> None:
        text = PIECE.replace("CC0-1.0\n", "CC0-1.0\n" + "".join(f"{line}\n" for line in lines))
        (folder / "piece.md").write_text(text + words + "\n", encoding="utf-8")

    return make


def words(text: str) -> Mistake:
    """A commentary, which begins on line 7."""
    return front(words=text)


def file(name: str, data: bytes, *, also: Mistake | None = None) -> Mistake:
    """A file in the piece's folder (or, after ``../``, beside it)."""

    def make(folder: Path) -> None:
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        (folder / name).write_bytes(data)
        if also:
            also(folder)

    return make


def renamed(old: str, new: str) -> Mistake:
    def make(folder: Path) -> None:
        (folder / old).rename(folder / new)

    return make


def studio(text: str) -> Mistake:
    return file("../studio.yaml", text.encode())


def score(old: str, new: str, count: int = 1) -> Mistake:
    """Something else in the score's text."""

    def make(folder: Path) -> None:
        place = folder / "score.musicxml"
        text = place.read_text(encoding="utf-8")
        assert old in text
        place.write_text(text.replace(old, new, count), encoding="utf-8")

    return make


def bar_two(quarters: int, kind: str) -> Mistake:
    """Three bars of 4/4, of which the second holds one dotted note of so many quarters in each hand."""

    def make(folder: Path) -> None:
        before, bar, after = re.split(r"(?=<measure number=\"[23]\")", musicxml("C5w | G5w | C5w", "C3w | G3w | C3w"))
        bar = bar.replace("<duration>4<", f"<duration>{quarters}<").replace(
            "<type>whole</type>", f"<type>{kind}</type><dot/>"
        )
        (folder / "score.musicxml").write_text(before + bar + after, encoding="utf-8")

    return make


def two_halves(folder: Path) -> None:
    """Four bars of 4/4, of which the second and the third hold a half note only: no half bars that belong together."""
    text = musicxml("C5w | G5w | F5w | C5w", "C3w | G3w | F3w | C3w")
    before, one, other, after = re.split(r"(?=<measure number=\"[234]\")", text)
    halves = (one + other).replace("<duration>4<", "<duration>2<").replace("<type>whole</type>", "<type>half</type>")
    (folder / "score.musicxml").write_text(before + halves + after, encoding="utf-8")


MISTAKES: dict[str, tuple[Mistake, str, str]] = {
    # the folder
    "piece.md with a capital": (
        renamed("piece.md", "Piece.md"), "Piece.md: is not read, since it is called 'Piece.md'", "Name it piece.md"),
    "an ending that the file manager hides": (
        renamed("piece.md", "piece.md.txt"), "piece.md.txt: is not read", "Name it piece.md"),
    "two scores": (
        file("other.musicxml", musicxml().encode()), "other.musicxml: warning: is not used: piece.md names",
        "Give it a folder of its own"),
    "a folder without a score": (
        file("../notes/plan.txt", b"..."), "notes: warning: holds neither piece.md nor a score", "Put a score"),
    "a folder of folders": (
        file("../book/first/score.musicxml", musicxml().encode()),
        "book: warning: holds no score itself, only folders that do", "Move 'first' into the content folder"),
    "no piece.md": (
        lambda folder: (folder / "piece.md").unlink(), "score.musicxml: warning: has no piece.md", "sitegen start"),
    "a score of another name": (
        renamed("score.musicxml", "waltz.musicxml"), "piece.md:3: field 'score' names 'score.musicxml', which",
        "There is: waltz.musicxml"),
    # studio.yaml
    "no studio.yaml": (
        lambda folder: (folder.parent / "studio.yaml").unlink(), "studio.yaml: is missing", "title: My studio"),
    "a theme that is not there": (
        studio("title: Small\ntheme: roses\n"), "studio.yaml:2: there is no theme 'roses'", "Choose one of: base"),
    "a language without words": (
        studio("title: Small\nlanguage: fi\n"), "studio.yaml:2: warning: the pages have no words in the language 'fi'",
        "There are: de, en"),
    "a size that is none": (
        studio("title: Small\nkeep: much\n"), "studio.yaml:2: field 'keep' cannot be used", "500MB or 4GB"),
    "an unknown field of the studio": (
        studio("title: Small\ncolour: red\n"), "studio.yaml:2: field 'colour' is not known", "Known are: title"),
    "a piece.md beside the folders": (
        lambda folder: (folder.parent / "piece.md").write_text(PIECE) and None,
        "piece.md: warning: is not read: it lies in the content folder itself", "a folder of its own"),
    "a file that only its program opens": (
        file("../draft/song.mscz", b"PK"), "draft: warning: holds no score that can be read; 'song.mscz'",
        "Export MusicXML"),
    # front matter
    "a colon in a title": (
        front("composer: Bach: the father"), "piece.md:5: a text has a colon in it", "double quotes"),
    "a tab": (front("\tcomposer: B."), "piece.md:5: a tab stands where spaces", "Write spaces"),
    "a line indented too far": (front("   level: easy"), "piece.md:5: this line is not indented", "same number"),
    "a quotation mark too few": (front('level: "easy'), "piece.md:5: a quotation mark is opened", "Close it"),
    "no space behind a colon": (
        front("level:easy"), "piece.md:5: a colon stands here without a space", "'level: ...'"),
    "no colon": (front("level easy"), "piece.md:5: this line has no colon", "'title: ...'"),
    "a link in a field": (front("summary: [See](bars:1)"), "piece.md:5: a text begins with [", "double quotes"),
    "a dash at the beginning": (front("summary: - easy"), "piece.md:5: a text begins with -", "double quotes"),
    "an empty title": (
        lambda folder: (folder / "piece.md").write_text(PIECE.replace("A waltz", "")) and None,
        "piece.md:2: field 'title' is empty", "Write 'title: ...'"),
    "an empty licence": (
        lambda folder: (folder / "piece.md").write_text(PIECE.replace("CC0-1.0", "")) and None,
        "piece.md:4: warning: field 'licence' is missing", "local law"),
    "a hand in words": (front("hand: a big one"), "piece.md:5: field 'hand' cannot be used", "a tenth"),
    "stages in one line": (
        front("stages: bass line"), "piece.md:5: field 'stages' cannot be used", "'- bass line' for each stage"),
    "a field twice": (front("title: Other"), "piece.md:5: field 'title' is there twice", "Leave one"),
    "a misspelt field": (front("compser: B."), "piece.md:5: field 'compser' is not known", "composer"),
    "no front matter": (
        lambda folder: (folder / "piece.md").write_text("# A waltz\n") and None,
        "piece.md:1: begins without front matter", "Begin with a line '---'"),
    "a tempo in words": (front("tempo: fast"), "piece.md:5: field 'tempo' cannot be used", "quarter = 104"),
    "no licence": (
        lambda folder: (folder / "piece.md").write_text(PIECE.replace("licence: CC0-1.0\n", "")) and None,
        "piece.md:1: warning: field 'licence' is missing", "local law"),
    # the plan
    "a stage that the plan misspells": (
        front("practise:", "  - {day: 1, stage: bas line}"), "piece.md:6: ", "Bass line"),
    "bars that the plan makes up": (
        front("practise:", "  - {day: 1, stage: bass line, bars: '1-9'}"), "piece.md:6: ", "1 to 2"),
    "a plan of another year": (
        front("added: 2026-11-28", "plan: {begins: 2025-12-01}"),
        "piece.md:6: warning: the plan begins on 2025-12-01, and the piece came into the library on 2026-11-28",
        "Look at the year"),
    # adjustments
    "a chord that was heard already": (
        front("adjustments:", "  - {at: 'bar 1, beat 1', chord: C, until: 'bar 2, beat 1'}"),
        "piece.md:6: warning: ", "It can be left out"),
    "a stage as it is already": (
        front("adjustments:", "  - {stage: bass line, title: Bass line}"), "piece.md:6: warning: ",
        "It can be left out"),
    "a note dropped where it is not": (
        front("adjustments:", "  - {at: 'bar 1, beat 2, right hand, D5', stage: bass line, do: drop}"),
        "piece.md:6: warning: ", "It can be left out"),
    "a chord that is none": (
        front("adjustments:", "  - {at: 'bar 1, beat 1', chord: H9}"), "piece.md:6: 'H9' is no chord", ""),
    "a note that is not there": (
        front("adjustments:", "  - {at: 'bar 1, beat 1, right hand, A6', function: suspension}"),
        "piece.md:6: ", "nearest"),
    "a function that is none": (
        front("adjustments:", "  - {at: 'bar 1, beat 1, right hand, C5', function: pasing note}"),
        "piece.md:6: 'pasing note' is no function", "passing note"),
    "a place without quotation marks": (
        front("adjustments:", "  - {at: bar 1, beat 2, chord: G}"), "piece.md:6: a comma parts 'beat 2'",
        "at: 'bar 1, beat 2'"),
    "a place in curly quotation marks": (
        front("adjustments:", "  - {at: ‘bar 1, beat 2’, chord: G}"), "piece.md:6: a comma parts 'beat 2’'",
        "in straight quotation marks: at: 'bar 1, beat 2'"),
    "a title with a colon in curly quotation marks": (
        front("work: “Waltz: the first”"), "piece.md:5: a text has a colon in it", "in straight double quotes"),
    "a chord in small letters": (
        front("adjustments:", "  - {at: 'bar 1', chord: d7}"), "piece.md:6: 'd7' begins with a small letter",
        "Write Dm7 for minor, or D7 for major"),
    "a title that is empty": (
        front("adjustments:", "  - {stage: bass line, title: }"), "piece.md:6: 'title' is empty", "Write title:"),
    "a technique that is none": (
        front("stages:", "  - bass lime"), "piece.md:6: there is no technique 'bass lime'", "bass line"),
    "an own stage that is not there": (
        front("stages:", "  - {file: mine.musicxml}"), "piece.md:6: 'mine.musicxml' is not there", "Put it"),
    # commentary
    "bars that are not there": (words("[x](bars:7-9)"), "piece.md:7: ", "1 to 2"),
    "a stage that is not there": (words("Listen.\n\n[x](bars:1-2/tune)"), "piece.md:9: ", "Bass line"),
    "a misspelt scheme": (words("[x](takt:1-2)"), "piece.md:7: the link 'takt:1-2' begins with 'takt:'", "bars:1-2"),
    "bars without a colon": (words("[x](<bars 1-2>)"), "piece.md:7: the link 'bars", "bars:1-2"),
    "a piece that is not there": (
        words("[x](../marsh/piece.md)"), "piece.md:7: the link '../marsh/piece.md' leads to no piece", "march"),
    "a file that is not there": (words("[x](sheet.pdf)"), "piece.md:7: the file 'sheet.pdf' is not there", "Put it"),
    "a file of another piece": (
        words("[x](../march/score.musicxml)"), "piece.md:7: the link '../march/score.musicxml' leads out", "beside"),
    "a page without its https": (
        words("[x](www.example.org)"), "piece.md:7: the file 'www.example.org' is not there", "https://www.exam"),
    "a misspelt https": (
        words("[x](htps://example.org)"), "piece.md:7: warning: the address 'htps://example.org'", "https://"),
    "a picture in capitals": (
        file("Hand.PNG", PNG, also=words("![a hand](hand.png)")), "piece.md:7: the picture 'hand.png' is not there",
        "There is 'Hand.PNG': capitals count"),
    "a picture without words": (
        file("hand.png", PNG, also=words("![](hand.png)")), "piece.md:7: the picture 'hand.png' has no words",
        "Say in the square brackets"),
    "a picture too large": (
        file("hand.png", PNG + bytes(6_000_000), also=words("![a hand](hand.png)")),
        "piece.md:7: 'hand.png' has 6.0 MB", "Make it smaller: 5 MB"),
    "a picture that is none": (
        file("hand.png", b"<svg/>", also=words("![a hand](hand.png)")), "piece.md:7: 'hand.png' is no PNG file",
        "Save it anew"),
    "a picture that could run": (
        file("hand.svg", b"<svg/>", also=words("![a hand](hand.svg)")), "piece.md:7: 'hand.svg' is of a kind", ".png"),
    "HTML": (
        words("Listen. <font color=red>Now!</font>"), "piece.md:7: warning: <font> is left out of the page",
        "Write it in Markdown"),
    "an address that could run": (
        words("[x](javascript:alert(1))"), "piece.md:7: warning: the address 'javascript:alert(1)'", "leave it out"),
    # the score
    "a bar too short": (
        bar_two(quarters=3, kind="half"), "score.musicxml, bar 2: warning: ", "4/4"),
    "two bars of half the length": (
        two_halves, "score.musicxml, bar 2: warning: too short for 4/4: 2 quarters", "It is read as it stands"),
    "a bar too long": (
        bar_two(quarters=6, kind="whole"), "score.musicxml, bar 2: warning: ", "4/4"),
    "a rights line that says otherwise": (
        score("<part-list>", "<identification><rights>© 2020 A Publisher. All rights reserved.</rights>"
              "</identification>"
              "<part-list>"),
        "piece.md:4: warning: the score says '© 2020 A Publisher. All rights reserved.'", "make both say it"),
    "a broken score": (score("</score-partwise>", ""), "score.musicxml", ""),
    "a tempo that counts the wrong note": (
        lambda folder: ((folder / "score.musicxml").write_text(musicxml("C5q. D5", "C3h.", "6/8")),
                        front("tempo: 75")(folder))[1],
        "piece.md:5: warning: 'tempo: 75' counts quarter notes, and the beat in 6/8 is the dotted quarter",
        "tempo: dotted quarter = 50"),
}  # fmt: skip


@pytest.fixture(scope="module")
def cache(tmp_path_factory: pytest.TempPathFactory) -> Store:
    return Store(tmp_path_factory.mktemp("cache"))


@pytest.mark.parametrize("name", MISTAKES)
def test_mistake_gets_its_line(name: str, tmp_path: Path, cache: Store) -> None:
    make, said, remedy = MISTAKES[name]
    content = write_content(tmp_path / "content", march=musicxml(), waltz=musicxml("C5q D5 E5 C5 | G5w", "C3w | G3w"))
    (content / "waltz" / "piece.md").write_text(PIECE + "Listen.\n", encoding="utf-8")
    make(content / "waltz")
    before = tree_of(content)
    report = check_content(content, cache, lambda *_: None)
    lines = [str(finding).replace(f"{content}/", "").removeprefix("waltz/") for finding in report.findings]
    (line,) = [line for line in lines if line.startswith(said)]
    assert remedy in line
    assert len(lines) == 1, "one mistake, one line"
    assert "\n" not in line
    assert not any(word in line for word in ("Traceback", "Error", "YAML", "report"))
    outcome = build_site(content, tmp_path / "site", cache, 0, lambda *_: None)
    assert outcome.findings == report.findings, "check and build say the same"
    assert "march" in outcome.built
    assert ("waltz" in outcome.built) == (not any("waltz" in str(e) for e in report.errors))
    assert tree_of(content) == before, "nothing of the teacher's is changed"


def test_one_fault_hides_no_other(tmp_path: Path, cache: Store) -> None:
    content = write_content(tmp_path / "content", march=musicxml(), waltz=musicxml())
    front(
        "tempo: fast", "practise:", "  - {day: soon, stage: bass line}", "  - {day: 2, stage: bas line}",
        "adjustments:", "  - nothing", "  - {at: bar 9, chord: G}", words="[x](bars:1-9)",
    )(content / "waltz")  # fmt: skip
    report = check_content(content, cache, lambda *_: None)
    assert sorted(finding.line for finding in report.findings if finding.line) == [5, 7, 10, 11, 14]
    assert build_site(content, tmp_path / "site", cache, 0, lambda *_: None).built == ("march",)
    front("tempo: fast", "practise:", "  - {day: 2, stage: bas line}")(content / "waltz")
    report = check_content(content, cache, lambda *_: None)
    assert [finding.line for finding in report.findings] == [5, 7], "the plan is looked at too"


def test_a_piece_at_fault_takes_none_with_it_that_is_linked_to_it(tmp_path: Path, cache: Store) -> None:
    content = write_content(tmp_path / "content", march=musicxml(), waltz=musicxml())
    words("[Before it](../march/piece.md)")(content / "waltz")
    (content / "march" / "piece.md").write_text("---\ntitle: March: the first\n---\n")
    outcome = build_site(content, tmp_path / "site", cache, 0, lambda *_: None)
    assert [finding.line for finding in outcome.findings] == [2]
    assert outcome.built == ("waltz",)


def test_what_a_teacher_says_for_short_is_understood(tmp_path: Path, cache: Store) -> None:
    content = write_content(tmp_path / "content", waltz=musicxml("C5q D5 E5 C5 | G5w", "C3w | G3w"))
    front(
        "hand: a tenth", "level:", "adjustments:",
        "  - {at: 'bar 1, beat 3.5', chord: C minor}", "  - {at: 'bar 2', chord: V7 of V}",
        "  - {stage: bass line, title: 1}",
    )(content / "waltz")  # fmt: skip
    assert check_content(content, cache, lambda *_: None).findings == ()


def test_a_stage_of_some_bars_need_not_be_harder_than_the_whole_before_it(tmp_path: Path, cache: Store) -> None:
    content = write_content(tmp_path / "content", waltz=musicxml("C5q D5 E5 C5 | G5w", "C3w | G3w"))
    front("stages:", "  - {technique: outer voices}", "  - {technique: outer voices, bars: 1}")(content / "waltz")
    assert check_content(content, cache, lambda *_: None).findings == ()
