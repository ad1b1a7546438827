"""Assignments that nobody should write, laid beside a good one: each is refused in a line or read as it is meant, and
the good one is published. Nothing waits for a pipe, and nothing of a text runs."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from sitegen.building.checking import check_content
from sitegen.building.site import build_site
from sitegen.building.store import Store
from tests.building.conftest import theme_without_sounds  # noqa: F401 - a fixture that all of these use
from tests.building.test_assignments import WEEK, assign, page, studio
from tests.elements import elements_of

SET = "set: [{piece: march}]"
REFUSED = {
    "a text as what is set": [*WEEK, "set: soon"],
    "numbers as what is set": [*WEEK, "set: [1, 2]"],
    "nothing as what is set": [*WEEK, "set:"],
    "fields as what is set": [*WEEK, "set: {piece: march}"],
    "a list of nothing": [*WEEK, "set: [null]"],
    "five thousand things": [*WEEK, "set:", *["  - {piece: march}"] * 5000],
    "set twice": [*WEEK, SET, SET],
    "a year of four nines": ["begins: 9999-12-31", "ends: 9999-12-31", SET],
    "the year nought": ["begins: 0000-01-01", "ends: 2026-01-01", SET],
    "three years": ["begins: 2026-01-01", "ends: 2029-01-01", SET],
    "no fields": [],
    "a tab": ["\tset: x"],
    "a code of five thousand letters": [*WEEK, f"code: {'x' * 5000}", SET],
    "a code with a bell": [*WEEK, "code: 'a\x07'", SET],
    "day nought": [*WEEK, "set: [{piece: march, day: 0}]"],
    "a day of twenty digits": [*WEEK, "set: [{piece: march, day: 99999999999999999999}]"],
    "no number as day": [*WEEK, "set: [{piece: march, day: .nan}]"],
    "a path as piece": [*WEEK, "set: [{piece: ../../etc}]"],
    "an empty piece": [*WEEK, "set: [{piece: ''}]"],
    "fields as piece": [*WEEK, "set: [{piece: {a: b}}]"],
    "bars by the billion": [*WEEK, "set: [{piece: march, bars: 1-1000000000}]"],
    "a list as stage": [*WEEK, "set: [{piece: march, stage: [a]}]"],
    "infinity as hand": [*WEEK, "hand: .inf", SET],
    "true as plan": [*WEEK, "plan: true", SET],
    "a plan that begins": [*WEEK, "plan: {begins: 2026-01-01}", SET],
    "two thousand returns": [*WEEK, f"plan: {{returns: [{', '.join(['1'] * 2000)}]}}", SET],
    "an alarm days before": [*WEEK, "plan: {time: '17:00', alarm: 99999}", SET],
    "a reference as what is set": [*WEEK, "x: &a [1]", "set: *a"],
}
READ = {
    "scripts as code and note": [
        *WEEK,
        "code: <script>alert(1)</script>",
        "set: [{piece: march, note: <img onerror=x>}]",
    ],
    "the last days of a calendar": ["begins: 2100-12-30", "ends: 2100-12-31", "plan: {time: '10:00'}", SET],
    "a year, each day": ["begins: 2026-01-01", "ends: 2026-12-31", "plan: {days: 7}", SET],
    "a code that writes backwards": [*WEEK, "code: 'a\u202eb'", SET],
    "a path as code": [*WEEK, "code: ../../x", SET],
    "a single day": ["begins: 2026-11-30", "ends: 2026-11-30", SET],
}


@pytest.fixture(scope="module")
def root(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("set")


def test_each_is_refused_in_a_line_or_read_as_it_is_meant(root: Path) -> None:
    content, store = studio(root), Store(root / "cache")
    folder = content / "assignments"
    assign(content, "good", *WEEK, SET)
    word = "# <script>x</script> [x](javascript:1) <b onclick=y>"
    for kinds, called in ((REFUSED, "refused"), (READ, "read")):
        for number, fields in enumerate(kinds.values()):
            assign(content, f"{called}-{number}", *fields, word=word)
    os.mkfifo(folder / "pipe.md")
    (folder / "folder.md").mkdir()
    (folder / "loop.md").symlink_to("loop.md")
    (folder / "binary.md").write_bytes(b"---\n\xff\xfe\x00---")
    (folder / "large.md").write_bytes(b"---\n" + b"a: b\n" * 2_000_000)
    outcome = build_site(content, root / "site", store, 0, lambda *_: None)
    at_fault = {Path(finding.file).stem for finding in outcome.errors}
    assert at_fault == {*(f"refused-{number}" for number in range(len(REFUSED))),
                        "pipe", "folder", "loop", "binary", "large"}  # fmt: skip
    assert all("\n" not in str(finding) for finding in outcome.findings)
    assert page(root, "good")
    assert outcome.built == ("march", "waltz")
    for number, kind in enumerate(READ):
        text = page(root, f"read-{number}")
        assert text, kind
        for tag, given in elements_of(text):
            assert not [name for name in given if name.startswith("on")], (kind, tag)
            assert tag != "img", kind
            assert tag != "script" or given.get("src", "").startswith("../../assets/"), kind
    assert check_content(content, store, lambda *_: None).findings == outcome.findings
