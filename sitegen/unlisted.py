"""Pages that nobody finds who was not given their address: where they lie, and how the address comes about.

The address holds 128 bits of an HMAC-SHA-256 (RFC 2104) of a name under the studio's secret. So it is the same in every
build, stays when the page changes, tells nothing of the name, and nobody guesses it who does not have the secret.
"""

from __future__ import annotations

import hmac
from base64 import b32encode

FOLDER = "for/"
"""Below the site's root; each page has a folder of its own in it."""
BYTES = 16


def folder_of(secret: str, kind: str, *names: str) -> str:
    """The folder of an unlisted page of this ``kind`` and name, below the site's root, with a slash at its end."""
    told = "\n".join((kind, *names)).encode()
    digest = hmac.digest(secret.encode(), told, "sha256")[:BYTES]
    return f"{FOLDER}{b32encode(digest).decode().rstrip('=').lower()}/"


def is_unlisted(path: str) -> bool:
    """Whether a path below the site's root is that of an unlisted page, or of a file with one."""
    return path.startswith(FOLDER)
