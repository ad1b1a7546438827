"""Libraries in languages that the program speaks, half speaks, or does not speak at all."""

from __future__ import annotations

import json
import re
from html import unescape
from pathlib import Path

import pytest

from sitegen.building.checking import check_content
from sitegen.building.store import Store
from tests.building.conftest import Build
from tests.building.studio import musicxml, write_content

_BAR = "C5q D5 E5 C5", "C3e G3 E3 G3 C3 G3 E3 G3"


def _of_bars(count: int) -> str:
    return musicxml(*(" | ".join([line] * count) for line in _BAR))


def _studio(root: Path, language: str, words: dict[str, object] | None = None, **pieces: str) -> Path:
    content = write_content(root / "content", **pieces)
    (content / "studio.yaml").write_text(f"title: Small\nlanguage: {language}\n", encoding="utf-8")
    if words is not None:
        _give(content, language, words)
    return content


def _give(content: Path, language: str, words: dict[str, object]) -> None:
    (content / "words").mkdir(exist_ok=True)
    file = content / "words" / f"{language}.json"
    file.write_text(json.dumps(words, ensure_ascii=False, indent=2), encoding="utf-8")


def _text(page: Path) -> str:
    return unescape(re.sub(r"<[^>]+>", " ", page.read_text(encoding="utf-8")))


def test_polish_counts_as_poles_do(build: Build, tmp_path: Path) -> None:
    counts = (1, 2, 5, 22)
    content = _studio(tmp_path, "pl", **{f"piece-{count}": _of_bars(count) for count in counts})
    outcome = build(content)
    assert [str(finding) for finding in outcome.findings if "language" in finding.what] == []
    said = _text(tmp_path / "site" / "index.html")
    for counted in ("1 takt ", "2 takty ", "5 taktów ", "22 takty ", "4 utwory"):
        assert counted in f"{said} ", counted
    # so do its scripts, whose browser knows the forms
    (tools,) = (tmp_path / "site" / "assets").glob("tools-*.js")
    (words,) = re.findall(r"words: (\{.*\}),\n", tools.read_text(encoding="utf-8"))
    assert {key: text for key, text in json.loads(words).items() if key.startswith("found-all")} == {
        "found-all.one": "{count} utwór", "found-all.few": "{count} utwory",
        "found-all.many": "{count} utworów", "found-all.other": "{count} utworu",
    }  # fmt: skip


def test_what_a_language_lacks_is_said_in_english_and_told(build: Build, tmp_path: Path) -> None:
    words: dict[str, object] = {"facts.bars.one": "{count} tahti", "stage.bass line": "Bassolinja"}
    content = _studio(tmp_path, "fi", words, song=_of_bars(1))
    (told,) = (str(finding) for finding in build(content).findings)
    assert re.fullmatch(
        r".*studio\.yaml:2: warning: the language 'fi' lacks \d{3} of \d{3} sentences, "
        r"which the pages say in English\. 'sitegen check' lists them; "
        r"give them in words/fi\.json of the content folder\.",
        told,
    ), told
    said = _text(tmp_path / "site" / "pieces" / "song" / "index.html")
    assert "1 tahti" in said
    assert "Bassolinja" in said
    assert "Practice plan" in said or "About the piece" in said
    listed = [str(f) for f in check_content(content, Store(tmp_path / "cache"), lambda *_: None).findings]
    assert told in listed
    assert any("'facts.bars.other', " in line or line.endswith("'facts.bars.other'") for line in listed)
    assert any("lacks, of the sentences 'gallery': 'gallery.pieces', " in line for line in listed)
    assert not any("'stage.bass line'" in line for line in listed)
    assert all("warning: " in line for line in listed)


def test_a_studio_says_in_its_own_words_what_the_program_says_otherwise(build: Build, tmp_path: Path) -> None:
    content = _studio(tmp_path, "en-US", song=_of_bars(2))
    _give(content, "en", {"piece.commentary": "From <b>Anna</b> & me", "stage.bass line": "The ground"})
    _give(content, "en-US", {"facts.bars.other": "{count} measures long"})
    assert build(content).findings == ()
    page = tmp_path / "site" / "pieces" / "song" / "index.html"
    assert "The ground" in _text(page)
    assert "2 measures long" in _text(page)
    # whoever wrote them: words are words, and no part of the page
    assert "From &lt;b&gt;Anna&lt;/b&gt; &amp; me" in page.read_text(encoding="utf-8")
    # and when they change, so do the pages that stand
    _give(content, "en", {"stage.bass line": "The foundation"})
    build(content)
    assert "The foundation" in _text(page)
    assert "About the piece" in _text(page)


@pytest.mark.parametrize(
    ("words", "told"),
    [
        ('{"galery.pieces": "Noten"}', "de.json:1: no sentence is called 'galery.pieces'. Perhaps 'gallery.pieces'."),
        ('{\n"facts.bars.other": "{n} Takte"}',
         "de.json:2: 'facts.bars.other' has the place {n}, which nothing fills. It may have: {count}."),
        ('{"piece.plan-bar": "Takt"}', "de.json:1: 'piece.plan-bar' lacks the place {bar}. English says: Bar {bar}"),
        ('{"player.play": 3}', "de.json:1: 'player.play' is no text. Put the sentence in quotation marks."),
        ('{"facts.bars.few": "{count} Takte"}',
         "de.json:1: 'facts.bars.few': 'de' has no form 'few'. It has: one, other."),
        ('{"player.play": "Los",}', "de.json:1: is no JSON: "),
        ('["Los"]', "de.json: holds no keys with their sentences. "),
    ],
)  # fmt: skip
def test_words_at_fault_are_told_with_file_and_key_and_left_out(
    build: Build, tmp_path: Path, words: str, told: str
) -> None:
    content = _studio(tmp_path, "de", {}, song=_of_bars(1))
    (content / "words" / "de.json").write_text(words, encoding="utf-8")
    outcome = build(content)
    (finding,) = outcome.errors
    assert f"words/{told}" in str(finding)
    assert "\n" not in str(finding)
    assert outcome.built == ("song",)
    assert "1 Takt" in _text(tmp_path / "site" / "pieces" / "song" / "index.html")


def test_a_file_that_is_named_after_no_language_is_told(build: Build, tmp_path: Path) -> None:
    content = _studio(tmp_path, "de", {}, song=_of_bars(1))
    (content / "words" / "deutsch.json").write_text("{}", encoding="utf-8")
    (finding,) = build(content).findings
    assert "deutsch.json: warning: is not read: words are called by their language" in str(finding)
