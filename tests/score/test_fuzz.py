"""Whatever is done to a small good file, reading it gives a score or a ``ScoreError``, and nothing else."""

from __future__ import annotations

import random
from pathlib import Path
from tempfile import TemporaryDirectory

from defusedxml.ElementTree import fromstring
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from sitegen.errors import ScoreError
from sitegen.score import read_score
from tests.generated_scores import musicxml_of, plans
from tests.score.files import kern, mei, mei_bar, mei_note

ABC = """X:1
T:Small tune
M:3/4
L:1/4
Q:1/4=100
K:G
V:1
V:2 clef=bass
[V:1] G|"G"Bcd|(3e/f/g/ {/a}g2-|g3:|[1 ABc|[2 [GBd]3|]
[V:2] z|G,2D,|z3|G,,3:|[1 D,3|[2 G,3|]
"""
KERN = kern(
    "**kern  **kern", "*clefF4  *clefG2", "*k[f#]  *k[f#]", "*M3/4  *M3/4", "=1  =1", "*  *^", "4G  [4.b  2d",
    "4B  .  .", ".  8b]  .", "4d  12ddL  4r", ".  12cc  .", ".  12bJ  .", "*  *v  *v", "=2:|!  =2:|!", "2.G  2.b 2.d",
)  # fmt: skip
MEI = mei(
    mei_bar(
        mei_note("c4", 4, 'accid="s" tie="i"') + mei_note("c4", 4, 'tie="t"') + '<clef shape="F" line="4"/>'
        '<tuplet num="3" numbase="2">' + mei_note("d3", 8) * 3 + "</tuplet>" + mei_note("e3", 8, 'grace="acc"')
        + "<bTrem>" + mei_note("f3") + "</bTrem>",
        more='<trill tstamp="1" staff="1"/><fermata tstamp="2" staff="1"/>',
    )
    + '<ending n="1">' + mei_bar("<mRest/>", number=2, attributes='right="rptend"') + "</ending>"
)  # fmt: skip
PIECES = [*"!@#^&*()[]{}|:;/\\-_=+,.<>?~\"'0123456789xyzXYZ\t\n\x00é", "*^", "*v", "*-", "[V:", "::", "^^", "z99", "(9"]


def reads_or_refuses(text: str, suffix: str) -> None:
    with TemporaryDirectory() as folder:
        path = Path(folder) / f"score{suffix}"
        path.write_text(text, encoding="utf-8")
        try:
            score, refusal = read_score(path), ""
        except ScoreError as error:
            score, refusal = None, str(error)
    assert score is None or all(0 <= note.onset <= note.end for note in score.notes)
    assert "\n" not in refusal


@st.composite
def mutations(draw: st.DrawFn, text: str) -> str:
    """A text with some characters or lines taken out, put in, changed or repeated."""
    for _ in range(draw(st.integers(1, 4))):
        place, length = draw(st.integers(0, len(text))), draw(st.integers(0, 6))
        what = draw(st.sampled_from(["cut", "insert", "change", "repeat", "end", "line"]))
        lines = text.split("\n")
        if what == "line":
            lines.insert(place % len(lines), lines[length % len(lines)])
            text = "\n".join(lines)
        elif what == "end":
            text = text[:place] if place > len(text) // 2 else text
        else:
            put = "" if what == "cut" else text[place : place + 4 * length] * 2 if what == "repeat" else draw(
                st.sampled_from(PIECES))  # fmt: skip
            text = text[:place] + put + text[place + (0 if what == "insert" else length) :]
    return text


@st.composite
def disordered(draw: st.DrawFn, text: str) -> str:
    """An XML text whose elements are taken out, doubled, renamed, or given each other's texts and attributes."""
    from xml.etree.ElementTree import tostring

    root = fromstring(text)
    chance = random.Random(draw(st.integers(0, 10**9)))
    for _ in range(draw(st.integers(1, 5))):
        parents = {child: parent for parent in root.iter() for child in parent}
        if not parents:
            break
        one, other = chance.choice(list(parents)), chance.choice(list(parents))
        what = draw(st.sampled_from(["remove", "double", "rename", "text", "attribute"]))
        if what == "remove":
            parents[one].remove(one)
        elif what == "double":
            parents[one].append(fromstring(tostring(one)))
        elif what == "rename":
            one.tag = other.tag
        elif what == "text":
            one.text = draw(st.sampled_from(["", "x", "-1", "0", "99999999999", "0.5", other.text]))
        elif one.attrib:
            one.set(chance.choice(list(one.attrib)), draw(st.sampled_from(["", "x", "-1", "0", "99999999999", "300"])))
    return tostring(root, encoding="unicode")


few = settings(max_examples=12, deadline=None, suppress_health_check=[HealthCheck.too_slow])
many = settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])


@many
@given(mutations(ABC))
def test_abc(text: str) -> None:
    reads_or_refuses(text, ".abc")


@many
@given(plans(most_bars=2).flatmap(lambda plan: disordered(musicxml_of(plan))))
def test_musicxml_in_disorder(text: str) -> None:
    reads_or_refuses(text, ".musicxml")


@many
@given(plans(most_bars=1).flatmap(lambda plan: mutations(musicxml_of(plan))))
def test_musicxml_with_wrong_characters(text: str) -> None:
    reads_or_refuses(text, ".musicxml")


@few
@given(mutations(KERN))
def test_humdrum(text: str) -> None:
    reads_or_refuses(text, ".krn")


@few
@given(disordered(MEI))
def test_mei_in_disorder(text: str) -> None:
    reads_or_refuses(text, ".mei")


@many
@given(st.binary(max_size=300), st.sampled_from([".musicxml", ".mxl", ".mei", ".krn", ".abc"]))
def test_bytes_of_any_kind(data: bytes, suffix: str) -> None:
    reads_or_refuses(data.decode("latin-1"), suffix)
