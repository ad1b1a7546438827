"""Names of every script in the letters of addresses: small letters, figures and hyphens, short enough for a folder."""

from __future__ import annotations

import hashlib
import re
import unicodedata

from anyascii import anyascii

LONGEST = 200
"""Letters of a name in addresses; file systems take 255 bytes, and endings may be put behind it."""
_OF_DIGEST = 8
_OF_DEVICES = re.compile(r"(?:con|prn|aux|nul|(?:com|lpt)\d)")  # no folder of Windows may be called so


def in_addresses(name: str) -> str:
    """``name`` in small letters, figures and hyphens; empty where nothing of it is a letter or a figure. Accents and
    signs do not count; letters of other scripts are transliterated, so that their names stay apart. Of a name that is
    too long the beginning stays, and a digest of the whole; the name of a device gets a figure more."""
    letters = "".join(map(_plain, unicodedata.normalize("NFKC", name))).lower()
    slug = re.sub(r"[^a-z0-9]+", "-", letters).strip("-")
    if _OF_DEVICES.fullmatch(slug):
        return f"{slug}-0"
    if len(slug) <= LONGEST:
        return slug
    digest = hashlib.sha256(slug.encode()).hexdigest()[:_OF_DIGEST]
    return f"{slug[: LONGEST - _OF_DIGEST - 1].rstrip('-')}-{digest}"


def _plain(character: str) -> str:
    """An accented letter without its accent, one of another script in Latin letters, a sign as nothing."""
    plain = unicodedata.normalize("NFKD", character).encode("ascii", "ignore").decode()
    return anyascii(character) if not plain and unicodedata.category(character)[0] in "LMN" else plain
