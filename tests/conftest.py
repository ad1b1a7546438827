"""What all tests share: a cache of their own, and one build of the studio's library."""

from __future__ import annotations

import os
from pathlib import Path

import pytest
from filelock import FileLock
from hypothesis import settings

ROOT = Path(__file__).resolve().parents[1]


def pytest_configure(config: pytest.Config) -> None:
    """No test reads or fills the cache of whoever runs it; what tests made is kept for the next run.

    No generated example fails for the time that it takes: on a busy machine that says nothing.
    """
    settings.register_profile("untimed", deadline=None)
    settings.load_profile("untimed")
    cache = getattr(config, "cache", None)
    if cache is not None:
        os.environ["SITEGEN_CACHE"] = str(cache.mkdir("sitegen"))


@pytest.fixture(scope="session")
def built_site(tmp_path_factory: pytest.TempPathFactory, testrun_uid: str) -> Path:
    """The folder of the site that ``content/`` gives, built once for all tests of a run. Not to be written to."""
    from sitegen.building.site import build_site
    from sitegen.building.store import Store, default_store_folder
    from sitegen.errors import ContentError
    from sitegen.publishing import find_theme

    try:
        find_theme("studio")
    except ContentError as error:
        if os.environ.get("CI") == "true":
            raise
        pytest.skip(str(error))
    shared = tmp_path_factory.getbasetemp()
    if "PYTEST_XDIST_WORKER" in os.environ:
        shared = shared.parent
    site = shared / f"site-{testrun_uid}"
    with FileLock(f"{site}.lock"):
        if not site.exists():
            build_site(ROOT / "content", site, Store(default_store_folder()), 1, lambda *_: None)
    return site
