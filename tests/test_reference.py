"""The page for teachers names everything that the program knows, and is published where a studio asks for it."""

from __future__ import annotations

from pathlib import Path

import pytest
from pydantic import BaseModel

from sitegen.analysis.functions import FUNCTIONS
from sitegen.analysis.texture.table import KINDS
from sitegen.building.site import build_site
from sitegen.building.store import Store
from sitegen.cli import main
from sitegen.library import (
    AssignmentMatter,
    HabitsMatter,
    PieceMatter,
    PlanMatter,
    PractiseMatter,
    SetMatter,
    StudioMatter,
)
from sitegen.places.parsing import parse_place
from sitegen.reduction.techniques.registry import techniques
from sitegen.reference import reference_page
from sitegen.reference.page import PLACES
from tests.building.studio import musicxml, write_content


@pytest.mark.parametrize(
    "model", [StudioMatter, PieceMatter, PractiseMatter, PlanMatter, HabitsMatter, AssignmentMatter, SetMatter]
)
def test_every_field_is_there_with_what_it_is_for(model: type[BaseModel]) -> None:
    page = reference_page(main)
    for name, field in model.model_fields.items():
        assert f"| `{name}` | {field.description} |" in page
        assert field.description


def test_every_technique_texture_function_and_command_is_there() -> None:
    page = reference_page(main)
    for name, row in techniques().items():
        assert f"| `{name}` | {row.teacher} |" in page
    assert "| figuration | bass line, outer voices, one chord a harmony (side study), blocked chords, " in page
    for words in (*KINDS, *FUNCTIONS):
        assert words in page
    for name, command in main.commands.items():
        assert f"### `sitegen {name}" in page
        for option in command.params:
            if option.param_type_name == "option":
                assert f"`{option.opts[-1]}`" in page


def test_every_way_to_say_a_place_that_is_told_is_read() -> None:
    page = reference_page(main)
    for said, meaning in PLACES:
        parse_place(said)
        assert f"| `{said}` | {meaning} |" in page
    read = [parse_place(said) for said, _ in PLACES]
    fields = {name for place in read for name in type(place).__slots__ if getattr(place, name) not in (None, False, "")}
    assert fields == set(type(read[0]).__slots__), "each part of a place is told of"


@pytest.mark.parametrize("asked", [True, False])
def test_it_is_published_where_the_studio_asks(tmp_path: Path, asked: bool) -> None:
    content = write_content(tmp_path / "content", march=musicxml())
    if asked:
        (content / "studio.yaml").write_text("title: Small\nreference: true\n")
    build_site(content, tmp_path / "site", Store(tmp_path / "cache"), 0, lambda *_: None, lambda: reference_page(main))
    page = tmp_path / "site" / "teachers" / "index.html"
    assert page.is_file() == asked
    assert ("teachers/index.html" in (tmp_path / "site" / "about" / "index.html").read_text()) == asked
    if asked:
        assert "<code>practise</code>" in page.read_text(encoding="utf-8")
