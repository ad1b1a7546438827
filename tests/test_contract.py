"""The two machine-readable outputs are what their schemas and the contract say, for every format and many scores."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from fractions import Fraction
from itertools import pairwise
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import pytest
from jsonschema import Draft202012Validator

from sitegen.analysis import analyse
from sitegen.building.contract import analysis_object, load_schema
from sitegen.building.site import build_site
from sitegen.building.store import Store, default_store_folder
from sitegen.errors import ContentError
from sitegen.publishing import find_theme
from sitegen.reduction import build_ladder
from sitegen.score import read_score

ROOT = Path(__file__).resolve().parents[1]
SHARED = ROOT.parent / "shared" / "scores"
DEMO = sorted(ROOT.glob("content/*/score.musicxml"))
REAL = [SHARED / "beethoven-piano-sonatas-21-2.mxl"]
GLYPH = re.compile(r"5|E?[0-9A-F]{3}(-[0-9.]+){0,2}|0[0-9a-f]{8}")

ABC = """X:1
T:Two bars
M:4/4
L:1/4
K:G
V:1 clef=treble
V:2 clef=bass
[V:1] G A B2- | B c d2 |
[V:2] [G,,B,,]2 D,2 | G,,4 |
"""
KERN = """**kern\t**kern
*clefF4\t*clefG2
*M3/4\t*M3/4
=1\t=1
2.C\t4cc
.\t[2ee
=2\t=2
2.GG 2.D\t4ee]
.\t4b
.\t4b
==\t==
*-\t*-
"""


def _faults(name: Any, value: Any) -> list[str]:
    validator = Draft202012Validator(load_schema(name))
    return [f"{'/'.join(map(str, e.absolute_path))}: {e.message[:200]}" for e in validator.iter_errors(value)]


@pytest.mark.parametrize("name", ["analysis", "site", "manifest"])
def test_schemas_are_sound_and_describe_every_field(name: Any) -> None:
    schema = load_schema(name)
    Draft202012Validator.check_schema(schema)

    def fields(node: Any) -> Iterator[tuple[str, Any]]:
        if isinstance(node, dict):
            yield from node.get("properties", {}).items()
            for value in node.values():
                yield from fields(value)
        elif isinstance(node, list):
            for value in node:
                yield from fields(value)

    bare = [key for key, field in fields(schema) if "description" not in field and "$ref" not in field]
    assert bare == []


@pytest.mark.parametrize(
    ("field", "value"),
    [("onset", 0.5), ("onset", "1.5"), ("onset", "2/4/1"), ("onset", "-1"), ("function", "passing"), ("line", "alto"),
     ("pitch", "H4"), ("midi", 128), ("resolves_to", 3), ("written", [])],
)  # fmt: skip
def test_schema_sees_a_wrong_field(field: str, value: Any, small: dict[str, Any]) -> None:
    assert _faults("analysis", small) == []
    wrong = json.loads(json.dumps(small))
    wrong["notes"][0][field] = value
    assert len(_faults("analysis", wrong)) == 1
    del wrong["notes"][0][field]
    assert len(_faults("analysis", wrong)) == 1


@pytest.fixture(scope="module")
def small(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Any]:
    file = tmp_path_factory.mktemp("small") / "two-bars.abc"
    file.write_text(ABC, encoding="utf-8")
    return _analysed(file)


def _analysed(path: Path) -> dict[str, Any]:
    """What ``sitegen analyse --format json`` prints for a score."""
    score = read_score(path)
    analysis = analyse(score)
    found: dict[str, Any] = json.loads(json.dumps(analysis_object(score, analysis, build_ladder(score, analysis))))
    return found


@pytest.mark.parametrize("path", REAL, ids=lambda path: path.name)
def test_analysis_of_a_real_score_is_what_the_contract_says(path: Path) -> None:
    if not path.is_file():
        pytest.skip("../shared/scores is not there")
    found = _analysed(path)
    _analysis_agrees(found)


def _analysis_agrees(found: dict[str, Any]) -> None:
    assert _faults("analysis", found) == []
    _bars_and_harmonies_cover_the_piece(found)
    _notes_agree(found)
    _stages_agree(found)


def _bars_and_harmonies_cover_the_piece(found: dict[str, Any]) -> None:
    bars = found["bars"]
    assert [bar["index"] for bar in bars] == list(range(len(bars)))
    for bar, following in pairwise(bars):
        assert Fraction(bar["onset"]) + Fraction(bar["length"]) == Fraction(following["onset"])
    end = Fraction(bars[-1]["onset"]) + Fraction(bars[-1]["length"])
    at = Fraction(0)
    for harmony in found["harmonies"]:
        assert Fraction(bars[harmony["bar"]]["onset"]) + Fraction(harmony["onset"]) == at
        at += Fraction(harmony["duration"])
        if not harmony["pitch_classes"]:
            assert {harmony[name] for name in ("bass", "root", "key", "numeral", "symbol")} == {None}
    assert at == end
    if found["tension"]:
        assert [(t["bar"], t["onset"]) for t in found["tension"]] == [
            (h["bar"], h["onset"]) for h in found["harmonies"]
        ]


def _notes_agree(found: dict[str, Any]) -> None:
    ids = [note["id"] for note in found["notes"]]
    heads = [head["id"] for note in found["notes"] for head in note["written"]]
    assert len(set(ids)) == len(ids)
    assert len(set(heads)) == len(heads)
    for note in found["notes"]:
        first = note["written"][0]
        assert first["id"] == note["id"]
        assert (first["bar"], first["onset"]) == (note["bar"], note["onset"])
        assert sum(Fraction(head["duration"]) for head in note["written"]) == Fraction(note["duration"])
        assert note["resolves_to"] is None or note["resolves_to"] in ids
        assert note["grace"] == (note["duration"] == "0")


def _stages_agree(found: dict[str, Any]) -> None:
    of_score = {note["id"]: note for note in found["notes"]}
    ids = [note["id"] for stage in found["stages"] for note in stage["notes"]]
    assert len(set(ids)) == len(ids)
    assert len({stage["slug"] for stage in found["stages"]}) == len(found["stages"])
    for stage in found["stages"]:
        assert stage["note_count"] == len(stage["notes"])
        assert {source for note in stage["notes"] for source in note["from"]} <= of_score.keys()
    same = ("bar", "onset", "duration", "pitch", "midi", "staff")
    as_written = {note["id"]: [note[name] for name in same] for note in found["stages"][-1]["notes"]}
    assert as_written == {name: [note[field] for field in same] for name, note in of_score.items()}
    counts = [stage["note_count"] for stage in found["stages"] if not stage["side_study"]]
    assert counts == sorted(counts)


@pytest.fixture(scope="session")
def other_formats(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A site of scores that are no MusicXML, each with a tie."""
    try:
        find_theme("studio")
    except ContentError as error:
        pytest.skip(str(error))
    root = tmp_path_factory.mktemp("formats")
    (root / "content").mkdir()
    (root / "content" / "studio.yaml").write_text("title: Formats\n", encoding="utf-8")
    (root / "content" / "abc.abc").write_text(ABC, encoding="utf-8")
    (root / "content" / "kern.krn").write_text(KERN, encoding="utf-8")
    mei = SHARED / "grieg-op43-4.mei"
    if mei.is_file():
        (root / "content" / "mei.mei").write_bytes(mei.read_bytes())
    outcome = build_site(root / "content", root / "site", Store(default_store_folder()), 1, lambda *_: None)
    assert outcome.errors == ()
    return root / "site"


@pytest.fixture(params=["the studio's site", "a site of other formats"])
def site(request: pytest.FixtureRequest) -> Path:
    name = "built_site" if request.param == "the studio's site" else "other_formats"
    found: Path = request.getfixturevalue(name)
    return found


def test_site_is_what_the_contract_says(site: Path) -> None:
    listing = json.loads((site / "site.json").read_text(encoding="utf-8"))
    assert _faults("site", listing) == []
    for piece in listing["pieces"]:
        analysis = json.loads((site / piece["analysis"]).read_text(encoding="utf-8"))
        _analysis_agrees(analysis)
        assert [(s["slug"], s["note_count"]) for s in piece["stages"]] == [
            (s["slug"], s["note_count"]) for s in analysis["stages"]
        ]


def test_every_piece_of_the_studio_is_in_its_site(built_site: Path) -> None:
    listing = json.loads((built_site / "site.json").read_text(encoding="utf-8"))
    slugs = [piece["slug"] for piece in listing["pieces"]]
    assert [slug for slug in slugs if "--" not in slug] == [path.parent.name for path in DEMO]
    assert [slug for slug in slugs if "--" in slug] == ["fernwick--waltz-in-e-minor"]  # of the library joined to it


def test_every_address_names_a_file_that_is_there(site: Path) -> None:
    listing = json.loads((site / "site.json").read_text(encoding="utf-8"))
    for piece in listing["pieces"]:
        addresses = [piece["url"], piece["analysis"]]
        for stage in piece["stages"]:
            addresses += [stage["url"], stage["midi"], stage["musicxml"], stage["timing"]]
            addresses += [file for layout in stage["svg"] for file in layout["files"]]
        assert [address for address in addresses if not (site / address).is_file()] == []


def test_note_has_one_id_in_analysis_musicxml_drawing_and_timing(site: Path) -> None:
    listing = json.loads((site / "site.json").read_text(encoding="utf-8"))
    for piece in listing["pieces"]:
        analysis = json.loads((site / piece["analysis"]).read_text(encoding="utf-8"))
        written = {head["id"] for note in analysis["notes"] for head in note["written"]}
        for stage, analysed in zip(piece["stages"], analysis["stages"], strict=True):
            notes = {note["id"]: note for note in analysed["notes"]}
            _ids_of_musicxml(site / stage["musicxml"], notes)
            _ids_of_timing(site / stage["timing"], notes)
            heads = written if analysed is analysis["stages"][-1] else _musicxml_ids(site / stage["musicxml"])
            for layout in stage["svg"]:
                _ids_of_drawings([site / file for file in layout["files"]], notes, heads)


def test_all_stages_of_a_piece_last_as_long_bar_by_bar(site: Path) -> None:
    listing = json.loads((site / "site.json").read_text(encoding="utf-8"))
    for piece in listing["pieces"]:
        lasting: dict[str, list[float]] = {}
        for stage in piece["stages"]:
            timing = json.loads((site / stage["timing"]).read_text(encoding="utf-8"))
            lasting[stage["slug"]] = [bar["off"] - bar["on"] for bar in timing["bars"]]
        written = lasting[piece["stages"][-1]["slug"]]
        for slug, seconds in lasting.items():
            assert seconds == pytest.approx(written, abs=0.05), (piece["slug"], slug)


def test_notes_are_timed_where_the_stage_has_them_as_often_as_their_bar_is_played(site: Path) -> None:
    listing = json.loads((site / "site.json").read_text(encoding="utf-8"))
    for piece in listing["pieces"]:
        analysis = json.loads((site / piece["analysis"]).read_text(encoding="utf-8"))
        for stage, analysed in zip(piece["stages"], analysis["stages"], strict=True):
            timing = json.loads((site / stage["timing"]).read_text(encoding="utf-8"))
            assert _timing_faults(analysis["bars"], analysed["notes"], timing) == [], (piece["slug"], stage["slug"])


def _timing_faults(bars: list[Any], notes: list[Any], timing: dict[str, Any]) -> list[str]:
    """Where a note does not sound within 2 ms of its place in its bar, or not to its end, or too often or seldom.

    Notes beside a grace are left out, for they give it their time, and so are rolled chords, struck note by note.
    """
    graced = {(note["bar"], note["onset"]) for note in notes if note.get("grace")}
    played: dict[str, list[Any]] = {}
    for sounding in timing["notes"]:
        played.setdefault(sounding["id"], []).append(sounding)
    found = []
    for note in notes:
        times = [bar for bar in timing["bars"] if bar["bar"] == note["bar"]]
        sounding = played[note["id"]]
        if len(sounding) != len(times):
            found.append(f"{note['id']} sounds {len(sounding)} times, its bar {len(times)}")
        if note.get("grace") or note.get("rolled") or (note["bar"], note["onset"]) in graced:
            continue
        for bar, heard in zip(times, sounding, strict=False):
            pace = (bar["off"] - bar["on"]) / Fraction(bars[note["bar"]]["length"])
            if abs(heard["on"] - (bar["on"] + pace * Fraction(note["onset"]))) > 0.002:
                found.append(f"{note['id']} begins at {heard['on']} in the bar from {bar['on']}")
            ends = Fraction(note["onset"]) + Fraction(note["duration"])
            within = ends < Fraction(bars[note["bar"]]["length"])
            if (
                within
                and (note["bar"], str(ends)) not in graced
                and abs(heard["off"] - bar["on"] - pace * ends) > 0.002
            ):
                found.append(f"{note['id']} ends at {heard['off']} in the bar from {bar['on']}")
            if not within and heard["off"] < bar["off"] - 0.25:
                found.append(f"{note['id']} does not last to the end of the bar that ends at {bar['off']}")
    return found


def _musicxml_ids(file: Path) -> set[str]:
    notes = ElementTree.parse(file).getroot().iter("note")
    return {note.get("id", "") for note in notes if note.find("pitch") is not None}


def _ids_of_musicxml(file: Path, notes: dict[str, Any]) -> None:
    assert notes.keys() <= _musicxml_ids(file)


def _ids_of_timing(file: Path, notes: dict[str, Any]) -> None:
    timing = json.loads(file.read_text(encoding="utf-8"))
    assert {note["id"] for note in timing["notes"]} == notes.keys()
    for card in timing["cards"]:
        assert timing["pitches"][card[4]][1] == notes[card[0]]["midi"]


def _ids_of_drawings(files: list[Path], notes: dict[str, Any], heads: set[str]) -> None:
    drawn: list[str] = []
    for file in files:
        ids = {e.get("id") or "" for e in ElementTree.parse(file).getroot().iter()} - {""}
        drawn += [name for name in ids if not GLYPH.fullmatch(name)]
    assert notes.keys() <= set(drawn)
    assert set(drawn) <= heads
    assert len(drawn) == len(set(drawn)), "a note is drawn in one system only"
