"""What a commentary shows and links to lies on the site, and leads there from every page of the piece."""

from __future__ import annotations

import re
from pathlib import Path

from tests.building.conftest import Build
from tests.building.studio import musicxml, write_content, write_piece

PNG = b"\x89PNG\r\n\x1a\n" + bytes(64)
WORDS = (
    "![A curved hand](pictures/hand%20one.png) [A sheet](sheet.pdf) [The waltz](../waltz/piece.md#care) "
    "[again](piece:waltz) [elsewhere](https://example.org/)"
)


def test_pictures_files_and_other_pieces_are_reached_from_every_page(tmp_path: Path, build: Build) -> None:
    content = write_content(tmp_path / "content", waltz=musicxml("E5h.", "C3h.", "3/4"))
    march = write_piece(content, "march", musicxml(), WORDS)
    (march / "pictures").mkdir()
    (march / "pictures" / "hand one.png").write_bytes(PNG)
    (march / "sheet.pdf").write_bytes(b"%PDF-1.7 ...")
    (march / "private.txt").write_text("not linked, and not published")
    outcome = build()
    assert outcome.findings == ()
    site = tmp_path / "site" / "pieces"
    assert (site / "march" / "files" / "pictures" / "hand one.png").read_bytes() == PNG
    assert not list((tmp_path / "site").rglob("private.txt"))
    pages = list((site / "march").rglob("index.html"))
    assert len(pages) > 2
    for page in pages:
        prose = re.search(r'id="commentary">(.*?)</div>', page.read_text(encoding="utf-8"), re.DOTALL)
        assert prose is not None
        (picture,) = re.findall(r'src="([^"]+)"', prose[1])
        assert (page.parent / picture.replace("%20", " ")).resolve().is_file()
        links = re.findall(r'href="([^"]+)"', prose[1])
        assert len(links) == 4
        for link in links:
            assert link == "https://example.org/" or (page.parent / link).resolve().is_file(), link
        assert sum("/waltz/index.html" in link for link in links) == 2
