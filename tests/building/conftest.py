"""Building is tested with the theme's scripts as they are built, but without the sounds, which weigh megabytes."""

from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path

import pytest

from sitegen import publishing
from sitegen.building.site import Outcome, build_site
from sitegen.building.store import Store
from sitegen.errors import ContentError

Build = Callable[..., Outcome]


@pytest.fixture(autouse=True)
def theme_without_sounds(monkeypatch: pytest.MonkeyPatch) -> None:
    try:
        look = publishing.find_theme("studio")
    except ContentError as error:
        if os.environ.get("CI") == "true":
            raise
        pytest.skip(str(error))
    assets = {path: data for path, data in publishing.site_assets(look).items() if not path.startswith("sounds/")}
    monkeypatch.setattr(publishing, "site_assets", lambda theme: assets)


@pytest.fixture
def build(tmp_path: Path) -> Build:
    """Builds ``content`` of the test's folder into ``site`` there, in this process, with the test's own cache."""

    def builder(
        content: Path = tmp_path / "content",
        site: Path = tmp_path / "site",
        cache: str = "cache",
        allow_removal: bool = False,
    ) -> Outcome:
        return build_site(content, site, Store(tmp_path / cache), 0, lambda *_: None, allow_removal=allow_removal)

    return builder
