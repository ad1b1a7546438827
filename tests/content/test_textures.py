"""Every texture that the analysis has a name for is met somewhere in the studio's own pieces."""

from __future__ import annotations

import pytest

from sitegen.analysis.texture.table import KINDS
from tests.content.ladders import ORIGINALS, ladder


def found() -> dict[str, set[str]]:
    """The pieces in which each texture is found."""
    pieces: dict[str, set[str]] = {}
    for slug in ORIGINALS:
        for texture in ladder(slug).analysis.textures:
            pieces.setdefault(texture.kind, set()).add(slug)
    return pieces


@pytest.mark.parametrize("kind", KINDS)
def test_each_texture_is_met_in_the_demo(kind: str) -> None:
    assert found().get(kind), f"no piece of the demo has this texture: {kind}"


@pytest.mark.parametrize(
    ("kind", "slug"),
    [
        ("arpeggio", "nocturne-in-a-flat"),
        ("melody and figuration", "nocturne-in-a-flat"),
        ("contrapuntal", "invention-in-a-minor"),
        ("march bass", "march-in-d"),
        ("stride bass", "march-in-d"),
        ("repeated chords", "march-in-d"),
        ("octave doubling", "march-in-d"),
        ("tremolo", "march-in-d"),
        ("chordal", "march-in-d"),
        ("scale run", "march-in-d"),
    ],
)
def test_a_texture_is_met_in_the_piece_that_was_written_for_it(kind: str, slug: str) -> None:
    assert slug in found()[kind]
