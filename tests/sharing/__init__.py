"""Bundles: packed, handed on, unpacked, refused."""
