"""Within which limits a bundle is read: a stranger's file, of which nothing is believed before it is counted."""

from __future__ import annotations

LARGEST_BUNDLE = 50_000_000  # bytes of the zip: what a mailbox takes, twice
LARGEST_WHOLE = 100_000_000  # bytes of all that is in it
LARGEST_MANIFEST = 200_000  # bytes
MOST_FILES = 100
MOST_TIMES = 200  # by how much a file may be smaller packed; scores reach some sixty
SMALL = 100_000  # bytes up to which that does not matter
LONGEST_PATH = 200  # characters
LONGEST_NAME = 120  # bytes of a part of a path, in UTF-8: file systems take 255
DEEPEST = 4  # folders in folders
MOST_VERSIONS = 1_000  # that a piece remembers of itself
