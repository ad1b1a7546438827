"""Slugs: names of stages that are safe in a URL and in an XML id."""

from __future__ import annotations

import re
import unicodedata


def slug_of(title: str) -> str:
    """A title in lower case letters, figures and hyphens, beginning with a letter."""
    plain = unicodedata.normalize("NFKD", title.lower()).encode("ascii", "ignore").decode()
    slug = re.sub(r"[^a-z0-9]+", "-", plain).strip("-")
    return slug if slug[:1].isalpha() else f"stage-{slug}".rstrip("-")


def unused(slug: str, taken: set[str]) -> str:
    """``slug``, with a number behind it if it is among ``taken``, to which it is added."""
    number, name = 1, slug
    while name in taken:
        number += 1
        name = f"{slug}-{number}"
    taken.add(name)
    return name
