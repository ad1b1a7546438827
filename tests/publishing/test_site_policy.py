"""Every page of a built site says itself what it may load, and has nothing in it that this would refuse."""

from __future__ import annotations

from pathlib import Path

from sitegen.publishing import CONTENT_SECURITY_POLICY
from tests.elements import elements_of


def test_every_page_says_what_it_may_load_before_it_loads_anything(built_site: Path) -> None:
    pages = sorted(built_site.rglob("*.html"))
    assert len(pages) > 20
    for page in pages:
        elements = elements_of(page.read_text(encoding="utf-8"))
        policies = [place for place, (_, given) in enumerate(elements) if "http-equiv" in given]
        assert [elements[place][1] for place in policies] == [
            {"http-equiv": "Content-Security-Policy", "content": CONTENT_SECURITY_POLICY}
        ], page
        loads = [place for place, (tag, _) in enumerate(elements) if tag in ("script", "link", "img", "style")]
        assert policies[0] < loads[0], page


def test_no_page_has_a_script_a_style_or_a_handler_in_itself(built_site: Path) -> None:
    for page in sorted(built_site.rglob("*.html")):
        for tag, given in elements_of(page.read_text(encoding="utf-8")):
            assert not [name for name in given if name.startswith("on") or name in ("style", "srcdoc")], (page, tag)
            assert tag not in ("style", "iframe", "object", "embed", "base"), page
            if tag == "script":
                # a script of such a type is data, which nothing runs
                is_data = given.get("type") in ("application/json", "application/ld+json") and "src" not in given
                assert given.get("src", "").lstrip("./").startswith("assets/") or is_data, page
