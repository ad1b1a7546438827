"""What names bytes: their SHA-256, in the store, in a site's manifest and in its offline lists alike."""

from __future__ import annotations

import hashlib
from pathlib import Path

_AT_ONCE = 1 << 20


def digest_of(data: bytes) -> str:
    """The SHA-256 of ``data`` in hexadecimal."""
    return hashlib.sha256(data).hexdigest()


def digest_of_file(file: Path | str) -> str:
    """The SHA-256 of the bytes of ``file``, read in parts. Raises ``OSError``."""
    digest = hashlib.sha256()
    with open(file, "rb", buffering=0) as opened:
        while part := opened.read(_AT_ONCE):
            digest.update(part)
    return digest.hexdigest()
