"""A site is published whole: written beside the old one, then put in its place.

Both moves are renames within one folder. A build that dies before them leaves the old site untouched; one that dies
between them leaves it under a name that the next build puts back.
"""

from __future__ import annotations

import shutil
from pathlib import Path

from sitegen.errors import ContentError

KEPT = (".gitkeep", ".gitignore")


def staging_of(output: Path) -> Path:
    """The folder in which the next site is written."""
    return output.with_name(f".{output.name}.next")


def _previous_of(output: Path) -> Path:
    return output.with_name(f".{output.name}.previous")


def begin(output: Path) -> Path:
    """An empty folder beside ``output`` to write into.

    Puts back a site that a killed build had moved away. Raises ``ContentError`` where ``output`` holds something that
    no build wrote, so that nothing of the user's is ever lost.
    """
    if not output.name or output.name == "..":
        raise ContentError("cannot be the place of a site", "Name a folder of its own.", output)
    previous, staging = _previous_of(output), staging_of(output)
    if previous.exists() and not output.exists():
        previous.rename(output)
    if output.exists() and not output.is_dir():
        raise ContentError("is not a folder", "Name another place for the site.", output)
    if output.exists() and not (output / "site.json").exists():
        strangers = [p.name for p in output.iterdir() if p.name not in KEPT]
        if strangers:
            raise ContentError(f"holds '{min(strangers)}' and is no site of ours", "Name an empty folder.", output)
    for left_over in (staging, previous):
        if left_over.exists():
            shutil.rmtree(left_over)
    staging.mkdir(parents=True)
    return staging


def swap(output: Path) -> None:
    """Put the staged site in the place of ``output``; files that version control keeps there stay."""
    previous, staging = _previous_of(output), staging_of(output)
    if output.exists():
        for name in KEPT:
            if (output / name).exists():
                shutil.copy2(output / name, staging / name)
        output.rename(previous)
    try:
        staging.rename(output)
    except OSError:
        if previous.exists():
            previous.rename(output)
        raise
    if previous.exists():
        shutil.rmtree(previous)


def abandon(output: Path) -> None:
    """Drop what was staged."""
    shutil.rmtree(staging_of(output), ignore_errors=True)
