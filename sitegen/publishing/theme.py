"""Where a theme lies, what it has from the themes that it builds on, and its files that are copied into every site.

A theme is a folder with a ``theme.toml`` (``theme_file.py``). It is checked when it is loaded: what is at fault with it
is told in a line for each fault.
"""

from __future__ import annotations

import hashlib
import json
import os
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path

from sitegen.errors import ContentError, FaultsError
from sitegen.publishing import colours, screens
from sitegen.publishing.screens import Screen
from sitegen.publishing.theme_file import FILE, SHEETS, ThemeFile, builds_on, read_theme_file

_PACKAGED = Path(__file__).resolve().parent.parent / "_themes"
_CHECKOUT = Path(__file__).resolve().parent.parent.parent / "themes"
_OF_ONES_OWN = "SITEGEN_THEMES"

_NOT_LOADED = frozenset({"node_modules", "src", "dist", "locale", "icons"})

#: The templates from which pages are printed; what these take in beside is a theme's own matter.
TEMPLATES = (
    "about.html.j2", "assignment.html.j2", "by.html.j2", "collection.html.j2", "feed.xml.j2", "gallery.html.j2",
    "not-kept.html.j2", "nothing.html.j2", "piece.html.j2", "plan.html.j2", "print.html.j2", "reading.html.j2",
    "sitemap.xml.j2", "teachers.html.j2", "tools.js.j2", "week.html.j2", "work.html.j2",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Theme:
    """A theme with all that it has from those it builds on.

    ``folders`` are its own and theirs, its own first; ``root`` is the last of them, in which words and sounds lie.
    ``assets`` maps the name of a source (``piece.js``) to its file below the site's root, ``made`` such files that lie
    in no folder to their bytes; ``scripts`` are loaded by every page behind its own.
    """

    name: str
    root: Path
    assets: Mapping[str, str]
    folders: tuple[Path, ...] = ()
    made: Mapping[str, bytes] = field(default_factory=dict)
    scripts: tuple[str, ...] = ()
    colours: Mapping[str, Mapping[str, str]] = field(default_factory=dict)
    screens: tuple[Screen, ...] = ()


def find_theme(name: str) -> Theme:
    """The theme called ``name``: from the installed package, from ``themes/`` of a checkout, or from the folder that
    the environment names as ``SITEGEN_THEMES``.

    Raises ``ContentError`` for a theme that is not there or whose scripts have not been built, and for each fault of
    it, ``FaultsError`` for several.
    """
    return _loaded(name, _stamps(name))


def theme_names() -> list[str]:
    """The themes that can be chosen, in order of the alphabet."""
    return sorted({path.parent.name for folder in _shelves() for path in folder.glob(f"*/{FILE}")})


def site_assets(theme: Theme) -> dict[str, bytes]:
    """The files of the theme that every site holds, by their path below the site's root: scripts, styles, sounds,
    icons, and the worker that keeps pages for use without a connection.
    """
    files: dict[str, bytes] = {}
    for folder in reversed(theme.folders):
        dist = folder / "dist"
        files |= {
            path.relative_to(dist).as_posix(): path.read_bytes()
            for path in sorted(dist.rglob("*"))
            if path.is_file() and path.name not in {"assets.json", ".inputs"} and not _is_replaced(path, dist, theme)
        }
        files |= {f"icons/{path.name}": path.read_bytes() for path in sorted((folder / "icons").glob("*.*"))}
    return {**files, **theme.made}


def _is_replaced(path: Path, dist: Path, theme: Theme) -> bool:
    """Whether a built style sheet is part of one that was made for this theme."""
    return path.suffix == ".css" and path.relative_to(dist).as_posix() not in theme.assets.values()


def _shelves() -> tuple[Path, ...]:
    own = os.environ.get(_OF_ONES_OWN)
    return (_PACKAGED, _CHECKOUT, *([Path(own).resolve()] if own else []))


def _folder_of(name: str) -> Path | None:
    return next((shelf / name for shelf in _shelves() if name and (shelf / name / FILE).is_file()), None)


def _stamps(name: str) -> tuple[tuple[str, int, int], ...]:
    """Changes when a file does from which the theme is loaded."""
    found: list[tuple[str, int, int]] = []
    seen: list[Path] = []
    waiting = _folder_of(name)
    while waiting is not None and waiting not in seen:
        seen.append(waiting)
        for place, folders, files in os.walk(waiting):
            folders[:] = sorted(set(folders) - _NOT_LOADED)
            states = [(f"{place}/{file}", os.stat(f"{place}/{file}")) for file in sorted(files)]
            found += [(path, state.st_mtime_ns, state.st_size) for path, state in states]
        listing = waiting / "dist" / "assets.json"
        if listing.is_file():
            found.append((str(listing), listing.stat().st_mtime_ns, listing.stat().st_size))
        waiting = _folder_of(builds_on(waiting))
    return tuple(found)


@cache
def _loaded(name: str, stamps: tuple[tuple[str, int, int], ...]) -> Theme:
    del stamps
    folder = _folder_of(name)
    if folder is None:
        raise ContentError(f"No theme is called '{name}'", f"Choose one of: {', '.join(theme_names())}")
    line, faults = _line_of(folder)
    if not faults:
        faults = list(_faults_of(line))
    if faults:
        raise faults[0] if len(faults) == 1 else FaultsError(faults)
    return _put_together(line)


def _line_of(folder: Path) -> tuple[list[ThemeFile], list[ContentError]]:
    """The theme in ``folder`` and those that it builds on, itself first, and what is at fault with what they say."""
    line: list[ThemeFile] = []
    faults: list[ContentError] = []
    waiting: Path | None = folder
    while waiting is not None:
        theme, found = read_theme_file(waiting)
        line.append(theme)
        faults += found
        waiting = _folder_of(theme.builds_on)
        names = [one.name for one in line]
        if theme.builds_on in names:
            what = f"builds on itself: {' on '.join([*names, theme.builds_on])}"
            faults.append(theme.fault(what, 'Write builds_on = "base".', "builds_on"))
            break
        if waiting is None and theme.builds_on:
            remedy = f"Choose one of: {', '.join(one for one in theme_names() if one not in names)}."
            faults.append(
                theme.fault(f"builds on '{theme.builds_on}', and there is no such theme", remedy, "builds_on")
            )
    return line, faults


def _faults_of(line: Sequence[ThemeFile]) -> Iterator[ContentError]:
    """What a theme lacks, with all that it has from others; ``line`` as of ``_line_of``."""
    theme = line[0]
    alone = 'Write it, or build on a theme that has it: builds_on = "base".'
    templates = {name for one in line for name in one.templates}
    for name in TEMPLATES:
        if name not in templates:
            yield theme.fault(f"the template '{name}' is missing", alone)
    if not any(one.screens for one in line):
        yield theme.fault("it says of no screen which layout it shows", alone)
    for one in line:
        listing = one.folder / "dist" / "assets.json"
        if one.built and not listing.is_file():
            yield ContentError(
                f"The scripts of the theme '{one.name}' have not been built",
                "Install the package with 'pip install .' (or '-e .'), which builds them",
                file=listing,
            )
        elif one.built:
            made = json.loads(listing.read_text(encoding="utf-8"))
            for name in one.built:
                if name not in made:
                    yield one.fault(f"'{name}' is not built", "Build the theme again: npm run build.", name)
    for light, found in _colours(line).items():
        missing = [name for name in colours.NAMES if name not in found]
        for name in missing:
            yield theme.fault(f"the colour '{name}' is missing for {light}", alone)
        for words, ground, apart, least in () if missing else colours.too_faint(found):
            what = (
                f"'{words}' ({found[words]}) on '{ground}' ({found[ground]}), {light}, is hard to see: {apart:.1f} to 1"
            )
            where = next(one for one in line if {words, ground} & one.colours.get(light, {}).keys())
            name = words if words in where.colours[light] else ground
            yield where.fault(what, f"Make it {least:g} to 1 or more.", f"colours.{light}", name)


def _colours(line: Sequence[ThemeFile]) -> dict[str, dict[str, str]]:
    found: dict[str, dict[str, str]] = {light: {} for light in colours.LIGHTS}
    for one in reversed(line):
        for light, own in one.colours.items():
            found[light] |= own
    return found


def _put_together(line: Sequence[ThemeFile]) -> Theme:
    """The theme at the head of ``line``, which has no fault."""
    assets: dict[str, str] = {}
    made: dict[str, bytes] = {}
    scripts: list[str] = []
    sheets = dict.fromkeys(SHEETS, "")
    shown = next(one.screens for one in line if one.screens)
    for one in reversed(line):
        if one.built:
            built = json.loads((one.folder / "dist" / "assets.json").read_text(encoding="utf-8"))
            assets |= built
            for sheet in SHEETS:
                if path := built.get(f"{sheet}.css"):
                    sheets[sheet] += (one.folder / "dist" / path).read_text(encoding="utf-8")
        for sheet, names in one.styles.items():
            sheets[sheet] += "".join((one.folder / name).read_text(encoding="utf-8") for name in names)
        for name in one.scripts:
            scripts.append(_make(made, Path(name).stem, ".js", (one.folder / name).read_bytes()))
    given = _colours(line)
    sheets["site"] = colours.style_of(given) + screens.style_of(shown) + sheets["site"]
    for sheet, text in sheets.items():
        assets[f"{sheet}.css"] = _make(made, sheet, ".css", text.encode())
    folders = tuple(one.folder for one in line)
    return Theme(line[0].name, folders[-1], assets, folders, made, tuple(scripts), given, shown)


def _make(made: dict[str, bytes], name: str, suffix: str, data: bytes) -> str:
    """The path of a file that is called after what it holds."""
    path = f"assets/{name}-{hashlib.sha256(data).hexdigest()[:8].upper()}{suffix}"
    made[path] = data
    return path
