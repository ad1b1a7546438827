"""The words of the pages, from the message catalogues of the theme.

A catalogue is ``locale/<language>.json``: keys to sentences with ``{named}`` places. A regional catalogue (``en-US``)
holds only what differs from its language (``en``); what a language lacks is said in English. A key ending in ``.one``
or ``.other`` is chosen by ``count``, by the rule that English and German share: one is one, all else other.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from sitegen.publishing.theme import Theme

_RIGHT_TO_LEFT = {"ar", "dv", "fa", "he", "ku", "ps", "sd", "ug", "ur", "yi"}


@dataclass(frozen=True, slots=True)
class Catalogue:
    """The messages of one language. ``language`` is the tag that was asked for."""

    language: str
    messages: Mapping[str, str]

    @property
    def direction(self) -> str:
        """``rtl`` or ``ltr``, for the ``dir`` attribute."""
        return "rtl" if self.language.split("-")[0].lower() in _RIGHT_TO_LEFT else "ltr"

    def __call__(self, key: str, /, **values: object) -> str:
        """The message called ``key`` with its places filled. Raises ``KeyError`` for a key in no catalogue."""
        if "count" in values and key not in self.messages:
            key = f"{key}.{'one' if values['count'] == 1 else 'other'}"
        return self.messages[key].format(**values)

    def word(self, group: str, term: str, otherwise: str | None = None) -> str:
        """A term of the trade, such as a note's function, in this language; where none is given ``otherwise``, or the
        term itself."""
        return self.messages.get(f"{group}.{term}", term if otherwise is None else otherwise)

    def group(self, name: str) -> dict[str, str]:
        """The terms of a group with what they are called in this language, such as ``stage``."""
        start = f"{name}."
        return {key.removeprefix(start): text for key, text in self.messages.items() if key.startswith(start)}

    def of_scripts(self) -> dict[str, str]:
        """The messages that scripts need, without their common prefix ``js.``."""
        return self.group("js")


def load_catalogue(theme: Theme, language: str) -> Catalogue:
    """The messages for a BCP 47 ``language``, falling back to its main language and then to English."""
    main = language.split("-")[0]
    messages: dict[str, str] = {}
    for name in ("en", main, language):
        messages |= _read(theme.root / "locale" / f"{name}.json")
    return Catalogue(language, messages)


def _read(path: Path) -> dict[str, str]:
    if not path.is_file():
        return {}
    messages: dict[str, str] = json.loads(path.read_text(encoding="utf-8"))
    return messages
