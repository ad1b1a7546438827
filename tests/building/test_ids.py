"""The id of a note is one name from the score file to the drawing, the performance and the card."""

from __future__ import annotations

import json
import re
from pathlib import Path

from tests.building.conftest import Build
from tests.building.studio import STUDIO
from tests.score.files import mei, mei_bar, mei_note


def test_ids_of_any_legal_form_go_through_to_the_page(tmp_path: Path, build: Build) -> None:
    """NCNames of XML: with dots and hyphens, of one letter, of another script, as long as a line."""
    ids = ["n.1", "ü-1", "_x.y-z", "a", "前", "n" * 60]
    notes = "".join(mei_note("c5", 8, f'xml:id="{name}"') for name in ids)
    folder = tmp_path / "content" / "march"
    folder.mkdir(parents=True)
    (tmp_path / "content" / "studio.yaml").write_text(STUDIO)
    score = mei(mei_bar(notes, mei_note("c3", 2) + mei_note("g2", 4)), 2, signature='meter.count="3" meter.unit="4"')
    (folder / "score.mei").write_text(score, encoding="utf-8")
    (folder / "piece.md").write_text("---\ntitle: March\nscore: score.mei\nlicence: CC0-1.0\n---\n")
    assert build().errors == ()
    piece = tmp_path / "site" / "pieces" / "march"
    read = [note["id"] for note in json.loads((piece / "analysis.json").read_text())["notes"]]
    assert len(read) == len(set(read)) == len(ids) + 2
    assert {"n.1", "_x.y-z", "a"} <= set(read), "what every format allows stays as it is"
    for stage in (piece / "stages").iterdir():
        played = {note["id"] for note in json.loads((stage / "timing.json").read_text())["notes"]}
        for sheet in stage.glob("*.svg"):
            assert played <= set(re.findall(r' id="([^"]+)"', sheet.read_text())), (stage.name, sheet.name)
    cards = json.loads((piece / "notes.json").read_text())
    assert set(read) <= set(re.findall(r'"([^"]+)"', json.dumps(cards, ensure_ascii=False)))
