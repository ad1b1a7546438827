"""A theme is checked when it is loaded: each fault in a line that says where, what, and what to do."""

from __future__ import annotations

from pathlib import Path

import pytest

from sitegen.errors import SitegenError, each_fault
from sitegen.publishing import PublishedLibrary, find_theme, render_gallery, theme_names
from sitegen.publishing.colours import contrast

Write = dict[str, str]
_OURS = 'builds_on = "base"\n'
_SCREEN = "[[screens]]\nfrom = {}\nusual = {}\n"

FAULTS = [
    # what stands in theme.toml, where the fault is, what is said, and what is to be done
    ('builds_on = "oak"', 1, "builds on 'oak', and there is no such theme", "Choose one of: base"),
    (f'{_OURS}colors = "red"', 2, "there is no field 'colors'", "There are: name, builds_on, templates"),
    (f'name = "elm"\n{_OURS}', 1, "its name is 'elm' and its folder's 'mine'", "Call both alike."),
    (f'{_OURS}name = 3', 2, "'name' is no text", 'Write it in quotes: name = "..."'),
    (f'{_OURS}templates = "a.j2"', 2, "'templates' is no list of names", 'Write templates = ["one"'),
    (f'{_OURS}templates = ["a.j2"]', 2, "the template 'a.j2' is not there", "Write templates/a.j2, or leave it out."),
    (f'{_OURS}styles = {{ paper = ["a.css"] }}', 2, "there is no style sheet 'paper'", "There are: site, print."),
    (f'{_OURS}styles = {{ site = ["a.css"] }}', 2, "the file 'a.css' is not there", "Write a.css, or leave it out."),
    (f'{_OURS}scripts = ["a.js"]', 2, "the file 'a.js' is not there", "Write a.js, or leave it out."),
    (f'{_OURS}[colours.light]\nink = "black"', 3, "'black' for 'ink' is no colour", "Write '#' and six figures"),
    (f'{_OURS}[colours.light]\nred = "#f00"', 3, "there is no colour 'red'", "There are: paper, leaf, ink"),
    (f'{_OURS}[colours.dusk]\nink = "#000"', 2, "there is no light 'dusk'", "There are: light, dark."),
    (
        f'{_OURS}[colours.dark]\nink = "#fff"\n[colours.light]\nink = "#999"',
        5,
        "'ink' (#999) on 'paper' (#ffffff), light, is hard to see: 2.8 to 1",
        "Make it 4.5 to 1 or more.",
    ),
    (_OURS + _SCREEN.format(0, '"vast"'), 4, "a screen shows the layout 'vast', which is not drawn", "There are:"),
    (_OURS + _SCREEN.format(9, '"wide"'), 2, "its screens do not follow one another from 0 on", "Begin with from = 0"),
    (_OURS + _SCREEN.format('"far"', '"wide"'), 3, "'far' is no width of a screen", "Write a number of rem"),
    (f"{_OURS}screens = 7", 2, "'screens' is no list", "Write [[screens]] for each width"),
    (f"{_OURS}screens = [7]", 2, "'screens' is no table", "Write [screens] with: from"),
    (f"{_OURS}colours = 7", 2, "'colours' is no table", "Write [colours] with: light, dark."),
    (f"{_OURS}ink #000", 2, "cannot be read: ", "Write it as TOML, in UTF-8."),
]  # fmt: skip


@pytest.fixture
def shelf(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("SITEGEN_THEMES", str(tmp_path))
    return tmp_path


def _write(shelf: Path, name: str, text: str) -> Path:
    (shelf / name).mkdir(exist_ok=True)
    file = shelf / name / "theme.toml"
    file.write_text(text, encoding="utf-8")
    return file


def _faults(name: str) -> list[str]:
    with pytest.raises(SitegenError) as raised:
        find_theme(name)
    return [str(fault) for fault in each_fault(raised.value)]


@pytest.mark.parametrize(("text", "line", "what", "remedy"), FAULTS, ids=[row[2] for row in FAULTS])
def test_a_fault_is_one_line_with_its_place(shelf: Path, text: str, line: int, what: str, remedy: str) -> None:
    file = _write(shelf, "mine", text)
    told = [fault for fault in _faults("mine") if what in fault]
    assert len(told) == 1
    assert told[0].startswith(f"{file}:{line}: ")
    assert remedy in told[0]
    assert "\n" not in told[0]


def test_all_faults_are_told_together(shelf: Path) -> None:
    _write(shelf, "mine", f'{_OURS}colors = 1\ntemplates = ["a.j2"]\n[colours.light]\nink = "black"\n')
    assert len(_faults("mine")) == 3


def test_themes_that_build_on_each_other_are_told(shelf: Path) -> None:
    _write(shelf, "hen", 'builds_on = "egg"')
    _write(shelf, "egg", 'builds_on = "hen"')
    (told,) = _faults("hen")
    assert "egg/theme.toml:1: builds on itself: hen on egg on hen." in told


def test_a_theme_alone_must_have_every_template_colour_and_screen(shelf: Path) -> None:
    _write(shelf, "alone", 'name = "alone"')
    told = " ".join(_faults("alone"))
    for missing in ("'piece.html.j2' is missing", "'ink' is missing for dark", "of no screen which layout it shows"):
        assert missing in told


def test_a_template_that_is_none_is_told_with_its_line(shelf: Path) -> None:
    _write(shelf, "mine", f'{_OURS}templates = ["about.html.j2"]')
    template = shelf / "mine" / "templates" / "about.html.j2"
    template.parent.mkdir()
    template.write_text("<p>\n{% if %}\n", encoding="utf-8")
    (told,) = _faults("mine")
    assert told.startswith(f"{template}:2: is no template: ")


def test_a_template_that_is_not_declared_is_told(shelf: Path) -> None:
    _write(shelf, "mine", _OURS)
    template = shelf / "mine" / "templates" / "abuot.html.j2"
    template.parent.mkdir()
    template.write_text("<p>", encoding="utf-8")
    (told,) = _faults("mine")
    assert "templates/abuot.html.j2 is there and not declared" in told


def test_a_theme_that_is_mended_is_loaded(shelf: Path) -> None:
    _write(shelf, "mine", f'{_OURS}[colours.light]\nink = "black"\n')
    assert _faults("mine")
    _write(shelf, "mine", f'{_OURS}[colours.light]\nink = "#101010"\n')
    assert find_theme("mine").colours["light"]["ink"] == "#101010"


def test_the_themes_that_are_there_have_no_fault() -> None:
    assert theme_names() == ["base", "recital", "studio"]
    for name in theme_names():
        assert find_theme(name).name == name


def test_contrast_is_measured_as_the_guidelines_have_it() -> None:
    assert contrast("#000", "#ffffff") == 21
    assert round(contrast("#767676", "#fff"), 2) == 4.54


@pytest.mark.parametrize(
    ("text", "what"),
    [("{{ t('no.such.word') }}", "no.such.word"), ("\n{{ nobody }}", "nobody"), ("{{ asset('a.js') }}", "'a.js'")],
)
def test_a_template_that_fails_is_told_with_its_place(shelf: Path, text: str, what: str) -> None:
    _write(shelf, "mine", f'{_OURS}templates = ["about.html.j2"]')
    template = shelf / "mine" / "templates" / "about.html.j2"
    template.parent.mkdir()
    template.write_text(text, encoding="utf-8")
    with pytest.raises(SitegenError) as raised:
        render_gallery(PublishedLibrary("A studio", theme="mine"), [])
    assert what in str(raised.value)
    assert "about.html.j2" in str(raised.value)
