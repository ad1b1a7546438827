"""A theme with its words and templates, ready to print pages of one library."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

from jinja2 import (
    ChoiceLoader,
    Environment,
    FileSystemLoader,
    PrefixLoader,
    StrictUndefined,
    TemplateError,
    pass_context,
)
from jinja2.runtime import Context

from sitegen.errors import ContentError
from sitegen.places.addresses import fragment_of
from sitegen.publishing.dates import day_in_words
from sitegen.publishing.messages import Catalogue, load_catalogue
from sitegen.publishing.nouns import PlanDay, PublishedLibrary
from sitegen.publishing.spelling import key_in_words
from sitegen.publishing.theme import Theme, find_theme
from sitegen.unlisted import FOLDER

_OF_THE_SITE = ("script", "style", "img", "font", "connect", "media", "worker", "manifest")
CONTENT_SECURITY_POLICY = "; ".join(
    ["default-src 'none'", *(f"{kind}-src 'self'" for kind in _OF_THE_SITE), "base-uri 'none'", "form-action 'none'"]
)
"""What a page may load: of each kind that it has, what lies on its own site, and nothing else. It stands in the page,
since most hosts send none."""


@dataclass(frozen=True, slots=True)
class Tools:
    """The script with what only scripts need, and all pages alike: its place below the site's root, its content in its
    name, and its bytes."""

    path: str
    data: bytes


@dataclass(frozen=True, slots=True)
class Press:
    """What pages are printed with."""

    library: PublishedLibrary
    theme: Theme
    words: Catalogue
    templates: Environment
    tools: Tools

    def address_of(self, path: str) -> str:
        """Where the page at ``path`` below the site's root stands in the world; empty where the studio does not say,
        and for what is in no list."""
        root = self.library.address.rstrip("/")
        told = root and not path.startswith(FOLDER)
        return f"{root}/{path.removesuffix('index.html')}" if told else ""

    def page(self, template: str, path: str, **values: Any) -> bytes:
        """The page at ``path`` below the site's root; its links are relative."""
        to_root = "../" * path.count("/")

        def asset(name: str) -> str:
            if name in self.theme.assets:
                return to_root + self.theme.assets[name]
            what = f"{template} asks for '{name}', which the theme '{self.theme.name}' does not have"
            raise ContentError(what, f"It has: {', '.join(sorted(self.theme.assets))}.")

        try:
            text = self.templates.get_template(template).render(
                library=self.library,
                t=self.words,
                to_root=to_root,
                asset=asset,
                scripts=self.theme.scripts,
                colours=self.theme.colours,
                tools=to_root + self.tools.path,
                policy=CONTENT_SECURITY_POLICY,
                here=self.address_of(path),
                site=self.address_of(""),
                **values,
            )
        except (TemplateError, LookupError, TypeError, ValueError) as error:
            file, line = _place_of(error)
            if file is None or file.is_relative_to(self.theme.root):
                raise
            what = f"no page can be made from it: {error or type(error).__name__}"
            raise ContentError(what, "Mend the template.", file, line) from None
        return (text.rstrip() + "\n").encode()


def press_of(library: PublishedLibrary) -> Press:
    """The press of a library, in its theme and its language. Raises ``ContentError`` for a theme that is not there."""
    theme = find_theme(library.theme)
    words = load_catalogue(theme, library.language, library.own)
    templates = _templates(theme.folders)
    return Press(library, theme, words, templates, _tools(theme, words, templates))


@cache
def _templates(folders: tuple[Path, ...]) -> Environment:
    """The templates of a theme in its ``folders``, read once a process; one that changes meanwhile is read again.

    What the first folder does not have is the next one's; ``base/piece.html.j2`` is the one of the theme ``base``,
    which another that replaces it may extend."""
    each = {folder.name: FileSystemLoader(folder / "templates") for folder in folders}
    templates = Environment(
        loader=ChoiceLoader([*each.values(), PrefixLoader(dict(each))]),
        autoescape=True,
        trim_blocks=True,
        lstrip_blocks=True,
        undefined=StrictUndefined,
    )
    templates.filters["fragment"] = lambda bars: fragment_of(bars[0], bars[-1])
    templates.filters["key_words"] = _key_words
    templates.filters["day_title"] = _day_title
    templates.filters["day_words"] = _day_words
    return templates


def _place_of(error: Exception) -> tuple[Path | None, int | None]:
    """The template in which a fault came to light and its line, the last that ran; None where it was none."""
    place: tuple[Path | None, int | None] = (None, None)
    trace = error.__traceback__
    while trace is not None:
        file = Path(trace.tb_frame.f_code.co_filename)
        place = (file, trace.tb_lineno) if file.suffix == ".j2" else place
        trace = trace.tb_next
    return place


@pass_context
def _key_words(page: Context, key: str) -> str:
    return key_in_words(key, page["t"])


@pass_context
def _day_title(page: Context, day: PlanDay) -> str:
    """What a day of a plan is called: its number, and its day of the calendar where that is known."""
    words = page["t"]
    if not day.title.isdigit():
        return day.title
    if not day.date:
        return str(words("piece.day", number=day.title))
    return str(words("plan.day", number=day.title, date=day_in_words(day.date, words)))


@pass_context
def _day_words(page: Context, day: str) -> str:
    return day_in_words(day, page["t"])


def _tools(theme: Theme, words: Catalogue, templates: Environment) -> Tools:
    messages = dict(sorted(words.of_scripts().items()))
    text = templates.get_template("tools.js.j2").render(t=words, words=messages, engine=theme.assets["engine.js"])
    data = (text.strip() + "\n").encode()
    return Tools(f"assets/tools-{hashlib.sha256(data).hexdigest()[:8].upper()}.js", data)
