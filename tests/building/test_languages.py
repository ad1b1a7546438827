"""A library in another language: nothing that the program says on its pages is English."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from html import unescape
from pathlib import Path
from typing import Any

import pytest

from sitegen import publishing
from sitegen.checking.sentences import sentences_of_the_steps
from tests.building.conftest import Build
from tests.building.studio import musicxml, write_content

_PLACE = re.compile(r"\{\w+\}")
RIGHT = (
    "E5q D5e C5 B4q. C5e | D5e E5 F5 E5 D5 C5 B4 A4 | G4q C5g B4q A4e B4 C5 D5 | B4h C5q. B4e | "
    "C5q B4 A4 G#4 | A4h B4 | E5e D5 C5 B4 A4 G#4 A4 B4 | A4w"
)
LEFT = (
    "C3e G3 E3 G3 G2 G3 F3 G3 | G2e G3 F3 G3 G2 G3 F3 G3 | C3e G3 E3 G3 F3 A3 C4 A3 | G2e G3 F3 G3 C3 G3 E3 G3 | "
    "A2e E3 C3 E3 E2 E3 D3 E3 | A2e E3 C3 E3 E2 E3 D3 E3 | C3e E3 A3 E3 E2 E3 D3 E3 | A2w"
)


@pytest.fixture
def pages(build: Build, tmp_path: Path) -> Path:
    content = write_content(tmp_path / "content", lied=musicxml(RIGHT, LEFT))
    (content / "studio.yaml").write_text("title: Klavierstunde\nlanguage: de\n", encoding="utf-8")
    piece = content / "lied" / "piece.md"
    plan = "practise:\n  - {day: 1, stage: basslinie, bars: '1-4'}\n"
    piece.write_text(piece.read_text().replace("licence", plan + "licence").replace("Listen to the bass.", "Hör zu."))
    assert build(content).errors == ()
    return tmp_path / "site"


def _texts(value: Any) -> Iterator[str]:
    if isinstance(value, str):
        yield value
    elif isinstance(value, dict):
        for each in value.values():
            yield from _texts(each)
    elif isinstance(value, list):
        for each in value:
            yield from _texts(each)


def _said(site: Path) -> set[str]:
    """Every text of the pages and of the data that their scripts read. (``analysis.json`` and ``site.json`` are for
    programs and English everywhere.)"""
    said: set[str] = set()
    pages = [place.read_text(encoding="utf-8") for place in site.rglob("*.html")]
    for tools in site.glob("assets/tools-*.js"):
        script = tools.read_text(encoding="utf-8")
        (words,) = re.findall(r"words: (\{.*\}),\n", script)
        script = script.replace(words, json.dumps(list(json.loads(words).values())))
        texts = [json.loads(text) for text in re.findall(r'"(?:[^"\\]|\\.)*"', script)]
        assert [text for text in texts if text.startswith("<section")], "the player is not found"
        pages += [text if "<" in text else f"<p>{text}</p>" for text in texts]
    for text in pages:
        page = re.sub(r"<script[^>]*>.*?</script>|<svg.*?</svg>", "", text, flags=re.S)
        said |= {unescape(text).strip() for text in re.findall(r">([^<]+)<", page)}
        said |= {unescape(text).strip() for text in re.findall(r'(?:aria-label|alt|content)="([^"]+)"', page)}
    for name in ("piece.json", "notes.json", "harmonies.json", "timing.json"):
        for place in site.rglob(name):
            said |= set(_texts(json.loads(place.read_text(encoding="utf-8"))))
    return said - {""}


def _english() -> dict[str, re.Pattern[str]]:
    """What is English in English only, with its places open; in German the same words may be a name or a sign."""
    theme = publishing.find_theme("studio")
    english = publishing.load_catalogue(theme, "en").messages
    german = publishing.load_catalogue(theme, "de").messages
    sentences = sentences_of_the_steps() | {key: text for key, text in english.items() if german[key] != text}
    found = {}
    for key, text in sentences.items():
        fixed = _PLACE.split(text)
        if len("".join(fixed)) > 2 and german.get(key) != text:
            found[key] = re.compile(".+".join(re.escape(part) for part in fixed), re.IGNORECASE)
    return found


def test_no_page_of_a_german_library_speaks_english(pages: Path) -> None:
    said = _said(pages)
    english = _english()
    found = [(key, text) for key, pattern in english.items() for text in said if pattern.fullmatch(text)]
    assert found == []
    assert len(said) > 200


def test_a_german_library_speaks_german(pages: Path) -> None:
    said = " ".join(_said(pages))
    for words in ("Basslinie", "Wie notiert", "ist der Grundton des Akkords", "H4", "wie weit der Akkord vom Grundton"):
        assert words in said
    pitches = [json.loads(place.read_text())["pitches"].items() for place in pages.rglob("stages/*/timing.json")]
    assert {words[0] for told in pitches for pitch, (words, _) in told if pitch[0] == "B"} == {"H"}


def test_english_would_be_found(build: Build, tmp_path: Path) -> None:
    content = write_content(tmp_path / "content", song=musicxml(RIGHT, LEFT))
    build(content)
    said = _said(tmp_path / "site")
    kinds = {key.split(".")[0] for key, pattern in _english().items() if any(map(pattern.fullmatch, said))}
    assert {"listen", "why", "stage", "pupil", "piece", "function", "tension"} <= kinds
