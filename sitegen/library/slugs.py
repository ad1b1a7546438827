"""Names of folders and titles as they appear in addresses."""

from __future__ import annotations

import re
import unicodedata


def slug_of(name: str) -> str:
    """``name`` as it appears in addresses: small letters, figures and hyphens."""
    plain = unicodedata.normalize("NFKD", name).encode("ascii", "ignore").decode().lower()
    return re.sub(r"[^a-z0-9]+", "-", plain).strip("-") or "piece"
