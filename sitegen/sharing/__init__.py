"""Pieces handed on: bundles packed from a piece's folder, and brought in from strangers."""

from typing import TYPE_CHECKING

from sitegen.passing_on import passing_on

if TYPE_CHECKING:
    from sitegen.sharing.manifest import load_schema
    from sitegen.sharing.packing import pack_piece
    from sitegen.sharing.reading import read_bundle
    from sitegen.sharing.unpacking import unpack_bundle
else:
    __getattr__ = passing_on(
        __name__,
        {
            "load_schema": "manifest",
            "pack_piece": "packing",
            "read_bundle": "reading",
            "unpack_bundle": "unpacking",
        },
    )

__all__ = ["load_schema", "pack_piece", "read_bundle", "unpack_bundle"]
