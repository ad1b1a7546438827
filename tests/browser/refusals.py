"""What a page's own policy refuses, noted as it happens."""

from __future__ import annotations

from playwright.sync_api import Page

NOTE_REFUSED = """
window.refused = [];
document.addEventListener("securitypolicyviolation", (event) =>
  refused.push(`${event.violatedDirective}: ${event.blockedURI} ${event.sourceFile ?? ""}`));
"""


def refused(page: Page) -> list[str]:
    found: list[str] = page.evaluate("window.refused")
    return found
