"""Whatever is wrong with a content folder, ``check`` and ``build`` name the same, each in its own line and order."""

from __future__ import annotations

import tempfile
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from sitegen.building.checking import check_content
from sitegen.building.site import build_site
from sitegen.building.store import Store
from tests.building.studio import musicxml, tree_of, write_content

FIELDS = (
    "level: easy", "tempo: fast", "tempo: quarter = 90", "hand: huge", "tags: [a, b", "compser: B.", "title: Again",
    "composer: Bach: the father", "\tlevel: easy", "practise: [{day: 1, stage: bas line}]",
    "practise: [{day: 1, stage: bass line, bars: '1-9'}, {day: 2, stage: nothing}]",
    "adjustments: [{at: 'bar 1, beat 1', chord: H9}]", "adjustments: [{at: 'bar 7', texture: arpeggio}]",
    "adjustments: [{at: 'bar 1, beat 1, right hand, C5', do: drop}]", "stages: [bass lime]",
    "stages: [bass line, as written]", "stages: [{file: own.musicxml}]",
)  # fmt: skip
WORDS = (
    "Listen.", "[x](bars:1-2)", "[x](bars:7)", "[x](bars:1/tune)", "[x](takt:1)", "[x](../nowhere/piece.md)",
    "![](hand.png)", "![a hand](hand.png)", "[x](sheet.pdf)", "<font>x</font>", "[x](javascript:y)", "> " * 400 + "x",
)  # fmt: skip
SCORES = (
    musicxml("C5q D5 E5 C5 | G5w", "C3w | G3w"),
    musicxml("C5q D5 E5 C5 | G5w", "C3w | G3w").replace("<step>G</step>", "<step>H</step>"),
    "<score-partwise>",
    "",
)
PIECES = st.dictionaries(
    st.sampled_from(("march", "waltz", "galop")),
    st.tuples(
        st.lists(st.sampled_from(FIELDS), max_size=3, unique_by=lambda line: line.split(":")[0]),
        st.lists(st.sampled_from(WORDS), max_size=3),
        st.sampled_from((*[SCORES[0]] * 5, *SCORES)),
    ),
    min_size=1,
)


@pytest.fixture(scope="module")
def cache(tmp_path_factory: pytest.TempPathFactory) -> Store:
    return Store(tmp_path_factory.mktemp("cache"))


@settings(max_examples=25, deadline=None, suppress_health_check=list(HealthCheck))
@given(pieces=PIECES)
def test_check_and_build_name_the_same(cache: Store, pieces: dict[str, tuple[list[str], list[str], str]]) -> None:
    with tempfile.TemporaryDirectory() as made:
        root = Path(made)
        content = write_content(root / "content")
        for name, (fields, words, score) in pieces.items():
            (content / name).mkdir()
            (content / name / "score.musicxml").write_text(score, encoding="utf-8")
            front = "".join(f"{line}\n" for line in fields)
            text = f"---\ntitle: {name}\nscore: score.musicxml\nlicence: CC0-1.0\n{front}---\n\n" + "\n\n".join(words)
            (content / name / "piece.md").write_text(text + "\n", encoding="utf-8")
        before = tree_of(content)
        report = check_content(content, cache, lambda *_: None)
        outcome = build_site(content, root / "site", cache, 0, lambda *_: None)
        assert outcome.findings == report.findings
        at_fault = {name for name in pieces if any(f"/{name}/" in error.file for error in report.errors)}
        assert set(outcome.built) == set(pieces) - at_fault, (
            "a piece is published unless something of its own is at fault"
        )
        for finding in report.findings:
            line = str(finding)
            assert line.startswith(str(content))
            assert "\n" not in line
            assert finding.what
            assert finding.remedy
        assert tree_of(content) == before
