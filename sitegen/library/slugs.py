"""Names of folders and titles as they appear in addresses."""

from __future__ import annotations

from sitegen.places.letters import in_addresses


def slug_of(name: str) -> str:
    """``name`` as it appears in addresses: small letters, figures and hyphens; ``piece`` where nothing of it can."""
    return in_addresses(name) or "piece"


def slug_meant(name: str) -> str:
    """The slug of the piece that is named: by its folder, of another library ``anna--waltz``."""
    return "--".join(slug_of(part) for part in name.split("--"))
