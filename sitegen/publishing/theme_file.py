"""What a theme says of itself: ``theme.toml`` in its folder, and what is at fault with it."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from jinja2 import Environment, TemplateSyntaxError

from sitegen.errors import ContentError
from sitegen.layouts import LAYOUT_NAMES
from sitegen.publishing.colours import LIGHTS, NAMES, is_colour
from sitegen.publishing.screens import SIZES, Screen

FILE = "theme.toml"
SHEETS = ("site", "print")
_SYNTAX = Environment(autoescape=True)


@dataclass(frozen=True, slots=True)
class ThemeFile:
    """A theme's own word, and no other's: what it does not name it has from the theme that it ``builds_on`` (empty for
    one that stands alone).

    ``templates`` are names of files in ``templates/``, ``scripts`` and ``styles`` (by the sheet that they stand behind,
    of ``SHEETS``) of files in the theme's folder, ``built`` of what its ``package.json`` makes; ``colours`` are by
    light and name, ``screens`` from the narrowest on.
    """

    folder: Path
    name: str
    builds_on: str = ""
    templates: tuple[str, ...] = ()
    styles: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    scripts: tuple[str, ...] = ()
    built: tuple[str, ...] = ()
    colours: Mapping[str, Mapping[str, str]] = field(default_factory=dict)
    screens: tuple[Screen, ...] = ()

    @property
    def file(self) -> Path:
        """Where it is written."""
        return self.folder / FILE

    def fault(self, what: str, remedy: str, *words: str) -> ContentError:
        """A fault of it, at the first line that has ``words`` one behind the other."""
        return ContentError(what, remedy, self.file, _line_of(self.file, words))


def read_theme_file(folder: Path) -> tuple[ThemeFile, list[ContentError]]:
    """What the theme in ``folder`` says of itself, as far as it can be read, and all that is at fault with it."""
    file = folder / FILE
    try:
        data = tomllib.loads(file.read_text(encoding="utf-8"))
    except (OSError, UnicodeDecodeError, tomllib.TOMLDecodeError) as error:
        found = re.search(r"at line (\d+)", str(error))
        what = f"cannot be read: {error}"
        fault = ContentError(what, "Write it as TOML, in UTF-8.", file, int(found[1]) if found else None)
        return ThemeFile(folder, folder.name), [fault]
    faults: list[ContentError] = []
    said = _Said(file, data, faults)
    for name in data:
        if name not in _FIELDS:
            said.fault(f"there is no field '{name}'", f"There are: {', '.join(_FIELDS)}.", name)
    fields = {name: read(said, name) for name, read in _FIELDS.items() if name in data}
    theme = ThemeFile(folder, **{"name": folder.name, **fields})
    if theme.name != folder.name:
        said.fault(f"its name is '{theme.name}' and its folder's '{folder.name}'", "Call both alike.", "name")
    faults += _faults_of_files(theme)
    return theme, faults


def builds_on(folder: Path) -> str:
    """The theme that the one in ``folder`` builds on; empty where it does not say so."""
    try:
        name = tomllib.loads((folder / FILE).read_text(encoding="utf-8")).get("builds_on", "")
    except (OSError, ValueError):
        return ""
    return name if isinstance(name, str) else ""


@dataclass(frozen=True, slots=True)
class _Said:
    """The fields as they are written, and where faults go."""

    file: Path
    data: Mapping[str, Any]
    faults: list[ContentError]

    def fault(self, what: str, remedy: str, *words: str) -> None:
        self.faults.append(ContentError(what, remedy, self.file, _line_of(self.file, words)))


def _text(said: _Said, name: str) -> str:
    value = said.data[name]
    if isinstance(value, str):
        return value
    said.fault(f"'{name}' is no text", f'Write it in quotes: {name} = "...".', name)
    return ""


def _texts(said: _Said, name: str) -> tuple[str, ...]:
    return _names(said, name, said.data[name])


def _names(said: _Said, name: str, value: object) -> tuple[str, ...]:
    if isinstance(value, list) and all(isinstance(one, str) for one in value):
        return tuple(value)
    said.fault(f"'{name}' is no list of names", f'Write {name} = ["one", "another"].', name)
    return ()


def _table(said: _Said, name: str, value: object, known: Sequence[str], kind: str) -> dict[str, Any]:
    """The entries of a table whose names are ``known``."""
    if not isinstance(value, dict):
        said.fault(f"'{name}' is no table", f"Write [{name}] with: {', '.join(known)}.", name)
        return {}
    for one in value:
        if one not in known:
            said.fault(f"there is no {kind} '{one}'", f"There are: {', '.join(known)}.", name, one)
    return {one: each for one, each in value.items() if one in known}


def _styles(said: _Said, name: str) -> dict[str, tuple[str, ...]]:
    table = _table(said, name, said.data[name], SHEETS, "style sheet")
    return {sheet: _names(said, sheet, files) for sheet, files in table.items()}


def _colours(said: _Said, name: str) -> dict[str, dict[str, str]]:
    found: dict[str, dict[str, str]] = {}
    for light, value in _table(said, name, said.data[name], LIGHTS, "light").items():
        section = f"{name}.{light}"
        colours = _table(said, section, value, tuple(NAMES), "colour")
        for colour, text in colours.items():
            if not is_colour(text):
                remedy = "Write '#' and six figures from 0 to f, as in \"#2b4c9b\"."
                said.fault(f"'{text}' for '{colour}' is no colour", remedy, section, colour)
        found[light] = {colour: text for colour, text in colours.items() if is_colour(text)}
    return found


def _screens(said: _Said, name: str) -> tuple[Screen, ...]:
    value = said.data[name]
    if not isinstance(value, list):
        said.fault(f"'{name}' is no list", "Write [[screens]] for each width of screen.", name)
        return ()
    screens = []
    for each in value:
        row = _table(said, name, each, ("from", *SIZES), "field of a screen")
        begin = row.get("from", 0)
        if not isinstance(begin, int | float) or isinstance(begin, bool):
            said.fault(f"'{begin}' is no width of a screen", "Write a number of rem: from = 48.", name, "from")
            begin = 0
        usual = row.get("usual", "")
        shown = {size: row.get(size, usual) for size in SIZES}
        for size, layout in shown.items():
            if layout not in LAYOUT_NAMES and (size == "usual" or size in row):
                remedy = f"There are: {', '.join(LAYOUT_NAMES)}."
                said.fault(f"a screen shows the layout '{layout}', which is not drawn", remedy, name, size)
        screens.append(Screen(float(begin), **{size: str(layout) for size, layout in shown.items()}))
    begins = [screen.begin for screen in screens]
    if begins and (begins[0] != 0 or begins != sorted(set(begins))):
        said.fault("its screens do not follow one another from 0 on", "Begin with from = 0; then the wider ones.", name)
    return tuple(screens)


#: Each field that a theme may write, and how it is read.
_FIELDS: Mapping[str, Callable[[_Said, str], Any]] = {
    "name": _text,
    "builds_on": _text,
    "templates": _texts,
    "styles": _styles,
    "scripts": _texts,
    "built": _texts,
    "colours": _colours,
    "screens": _screens,
}


def _faults_of_files(theme: ThemeFile) -> Iterator[ContentError]:
    """What is declared and not there, there and not declared, or no template."""
    for name in theme.templates:
        path = theme.folder / "templates" / name
        if not path.is_file():
            yield theme.fault(f"the template '{name}' is not there", f"Write templates/{name}, or leave it out.", name)
            continue
        try:
            _SYNTAX.parse(path.read_text(encoding="utf-8"))
        except TemplateSyntaxError as error:
            yield ContentError(f"is no template: {error.message}", "See Jinja's rules.", path, error.lineno)
        except UnicodeDecodeError:
            yield ContentError("is no text in UTF-8", "Save it as UTF-8.", path)
    for path in sorted((theme.folder / "templates").glob("*.j2")):
        if path.name not in theme.templates:
            yield theme.fault(f"templates/{path.name} is there and not declared", "Name it in templates.", "templates")
    for name in (*theme.scripts, *(name for names in theme.styles.values() for name in names)):
        if not (theme.folder / name).is_file():
            yield theme.fault(f"the file '{name}' is not there", f"Write {name}, or leave it out.", name)


def _line_of(file: Path, words: Sequence[str]) -> int | None:
    """The first line that has the last of ``words`` behind the lines that have those before it."""
    lines = file.read_text(encoding="utf-8").splitlines() if words else []
    place = -1
    for word in words:
        pattern = re.compile(rf"(?<![\w.-]){re.escape(word)}(?![\w-])")
        place = next((n for n, line in enumerate(lines) if n >= max(place, 0) and pattern.search(line)), place)
    return place + 1 if place >= 0 else None
