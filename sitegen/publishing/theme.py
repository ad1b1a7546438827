"""Where a theme lies, and the files of it that are copied into every site."""

from __future__ import annotations

import json
from dataclasses import dataclass
from pathlib import Path

from sitegen.errors import ContentError

_PACKAGED = Path(__file__).resolve().parent.parent / "_themes"
_CHECKOUT = Path(__file__).resolve().parent.parent.parent / "themes"
_LICENCE_NOTES = (".LEGAL.txt",)


@dataclass(frozen=True, slots=True)
class Theme:
    """A theme on disk: ``templates/``, ``locale/``, ``icons/`` and the built ``dist/``.

    ``assets`` maps the name of a source (``piece.js``) to its built file below the site's root.
    """

    name: str
    root: Path
    assets: dict[str, str]


def find_theme(name: str) -> Theme:
    """The theme called ``name``: from the installed package, or from ``themes/`` of a checkout.

    Raises ``ContentError`` for a theme that is not there or whose scripts have not been built.
    """
    roots = [folder / name for folder in (_PACKAGED, _CHECKOUT) if (folder / name / "templates").is_dir()]
    if not roots:
        raise ContentError(f"No theme is called '{name}'", f"Choose one of: {', '.join(theme_names())}")
    root = roots[0]
    listing = root / "dist" / "assets.json"
    if not listing.is_file():
        raise ContentError(
            f"The scripts of the theme '{name}' have not been built",
            "Install the package with 'pip install .' (or '-e .'), which builds them",
            file=listing,
        )
    return Theme(name, root, json.loads(listing.read_text(encoding="utf-8")))


def theme_names() -> list[str]:
    """The themes that can be chosen, in order of the alphabet."""
    return sorted({path.parent.name for folder in (_PACKAGED, _CHECKOUT) for path in folder.glob("*/templates")})


def site_assets(theme: Theme) -> dict[str, bytes]:
    """The files of the theme that every site holds, by their path below the site's root: scripts, styles, sounds,
    icons, and the worker that keeps pages for use without a connection.
    """
    dist = theme.root / "dist"
    files = {
        path.relative_to(dist).as_posix(): path.read_bytes()
        for path in sorted(dist.rglob("*"))
        if path.is_file() and path.name not in {"assets.json", ".inputs"}
    }
    icons = {f"icons/{path.name}": path.read_bytes() for path in sorted((theme.root / "icons").glob("*.*"))}
    return files | icons
