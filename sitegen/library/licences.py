"""Licences by their SPDX identifiers: what may be done under each with a score and with what is made of it.

Source: the SPDX License List, https://spdx.org/licenses/, of which those are here that scores and words are published
under; an identifier of one's own begins with ``LicenseRef-`` (SPDX 2.3, annex D).
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from difflib import get_close_matches

NOT_STATED = "not stated"
_OWN = re.compile(r"LicenseRef-[A-Za-z0-9.-]+")
_JOINED = re.compile(r"\s+(AND|OR)\s+")


@dataclass(frozen=True, slots=True)
class Licence:
    """``id`` by SPDX; ``address`` is where its text stands. Copies may be ``shared``, and what is made of it too
    (``adapted``: a stage of a ladder is an adaptation)."""

    id: str
    address: str
    shared: bool = True
    adapted: bool = True


def _of_creative_commons() -> Iterable[Licence]:
    for version in ("4.0", "3.0", "2.5", "2.0"):
        for terms in ("by", "by-sa", "by-nc", "by-nc-sa", "by-nd", "by-nc-nd"):
            address = f"https://creativecommons.org/licenses/{terms}/{version}/"
            yield Licence(f"CC-{terms.upper()}-{version}", address, adapted=not terms.endswith("nd"))


def _of_spdx(*ids: str) -> Iterable[Licence]:
    return (Licence(one, f"https://spdx.org/licenses/{one}.html") for one in ids)


LICENCES: dict[str, Licence] = {
    licence.id: licence
    for licence in (
        Licence("CC0-1.0", "https://creativecommons.org/publicdomain/zero/1.0/"),
        Licence("CC-PDM-1.0", "https://creativecommons.org/publicdomain/mark/1.0/"),
        *_of_creative_commons(),
        *_of_spdx("CC-PDDC", "PDDL-1.0", "ODC-By-1.0", "ODbL-1.0", "LAL-1.2", "LAL-1.3", "ECL-2.0", "OFL-1.1"),
        *_of_spdx("GFDL-1.2-or-later", "GFDL-1.3-only", "GFDL-1.3-or-later", "Unlicense", "0BSD", "WTFPL", "MIT"),
        *_of_spdx("Apache-2.0", "BSD-2-Clause", "BSD-3-Clause", "GPL-2.0-or-later", "GPL-3.0-only"),
        *_of_spdx("GPL-3.0-or-later", "LGPL-3.0-or-later", "AGPL-3.0-or-later", "MPL-2.0", "EUPL-1.2"),
    )
}

#: What people write for a licence, and the identifier that they may mean.
_MEANT: tuple[tuple[str, str], ...] = (
    (r"cc[ -]?0|creativecommons\.org/publicdomain/zero", "CC0-1.0"),
    (r"public domain|gemeinfrei|^pd$|publicdomain/mark", "CC-PDM-1.0"),
)
_TERMS = re.compile(r"\b(by(?:[ -]nc)?(?:[ -](?:sa|nd))?)\b(?:[ -]*(?:v\.?)?(\d\.\d))?", re.IGNORECASE)


def is_known(said: str) -> bool:
    """Whether ``said`` is an SPDX identifier of the table, one of one's own, or several joined by AND or OR."""
    return all(part in LICENCES or _OWN.fullmatch(part) for part in _JOINED.split(said)[::2])


def licence_of(said: str) -> Licence | None:
    """What may be done under ``said``; None where that is not known. Of several joined by AND all hold, of those joined
    by OR the freest."""
    words = _JOINED.split(said)
    parts = [LICENCES.get(word) for word in words[::2]]
    known = [part for part in parts if part is not None]
    if len(known) < len(parts) and "OR" not in words[1::2]:
        return None
    if not known:
        return None
    first, of = known[0], any if "OR" in words[1::2] else all
    return Licence(said, first.address, of(one.shared for one in known), of(one.adapted for one in known))


def meant_by(said: str) -> tuple[str, ...]:
    """The identifiers that may be meant by what was written, the nearest first."""
    for pattern, meant in _MEANT:
        if re.search(pattern, said, re.IGNORECASE):
            return (meant,)
    if re.search("cc|creative", said, re.IGNORECASE) and (terms := _TERMS.search(said)):
        spelt = f"CC-{re.sub(' ', '-', terms[1]).upper()}-{terms[2] or '4.0'}"
        if spelt in LICENCES:
            return (spelt,)
    by_small = {one.lower(): one for one in LICENCES}
    return tuple(by_small[one] for one in get_close_matches(said.lower(), by_small, 2, 0.6))
