"""Pieces handed on: bundles packed from a piece's folder, and brought in from strangers."""

from typing import TYPE_CHECKING

from sitegen.passing_on import passing_on

if TYPE_CHECKING:
    from sitegen.sharing.packing import pack_piece
    from sitegen.sharing.reading import read_bundle
    from sitegen.sharing.unpacking import unpack_bundle
else:
    __getattr__ = passing_on(
        __name__, {"pack_piece": "packing", "read_bundle": "reading", "unpack_bundle": "unpacking"}
    )

__all__ = ["pack_piece", "read_bundle", "unpack_bundle"]
