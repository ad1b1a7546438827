"""Under which address the other machines of this network see this one."""

from __future__ import annotations

import socket

from sitegen.errors import ContentError

_ELSEWHERE = ("192.0.2.1", 9)
"""An address that is nobody's (RFC 5737). Nothing is sent there: the system only says which way it would go."""


def address_in_network() -> str:
    """The address of this machine in its network. Raises ``ContentError`` where it is in none."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as way:
        try:
            way.connect(_ELSEWHERE)
            address = str(way.getsockname()[0])
        except OSError:
            address = ""
    if not address or address.startswith("127.") or address == "0.0.0.0":
        remedy = "Join the network that the phone is in, or leave '--network' out."
        raise ContentError("this machine is in no network that a phone could reach it by", remedy)
    return address
