"""MEI: each thing a score may hold, in a few notes."""

from __future__ import annotations

import re
from pathlib import Path
from tempfile import TemporaryDirectory

from sitegen.score import open_source, read_score
from tests.score.files import mei, mei_bar, mei_note, read, said


def test_ids_of_the_file_are_kept_and_missing_ones_made() -> None:
    named = '<note xml:id="mine" pname="c" oct="4" dur="2"/>' + mei_note("d4", 2)
    assert [n.id for n in read(mei(mei_bar(named)), ".mei").notes] == ["mine", "N1"]


def test_ids_that_xml_forbids_or_that_are_doubled_are_made_new() -> None:
    text = mei(
        mei_bar(
            '<note xml:id="1 a" pname="c" oct="4" dur="4"/><note xml:id="b" pname="d" oct="4" dur="4"/>'
            '<note xml:id="b" pname="e" oct="4" dur="2"/>'
        )
    )
    ids = [n.id for n in read(text, ".mei").notes]
    assert len(set(ids)) == 3
    assert not any(" " in name for name in ids)


def test_title_and_composer() -> None:
    score = read(mei(mei_bar(mei_note("c4", 1))), ".mei")
    assert (score.title, score.composer) == ("Trial", "Nobody")


def test_without_sounding_accidentals_the_signature_holds() -> None:
    d_major = 'meter.count="4" meter.unit="4" key.sig="2s"'
    score = read(mei(mei_bar(mei_note("f4", 2) + mei_note("g4", 2)), signature=d_major), ".mei")
    assert said(score) == ["F#4 0 2, G4 2 2"]


def test_a_printed_accidental_holds_to_the_end_of_its_bar_in_its_octave() -> None:
    first = mei_note("f4", 4, 'accid="s"') + mei_note("f4") + mei_note("f5") + mei_note("f4", 4, 'accid="n"')
    score = read(mei(mei_bar(first) + mei_bar(mei_note("f4", 1), number=2)), ".mei")
    assert said(score) == ["F#4 0 1, F#4 1 1, F5 2 1, F4 3 1", "F4 0 4"]


def test_an_accidental_written_as_an_element_counts() -> None:
    assert said(read(mei(mei_bar(mei_note("f4", 1, inside='<accid accid="s"/>'))), ".mei")) == ["F#4 0 4"]


def test_a_tie_carries_the_accidental_across_the_bar_line() -> None:
    for tied, more in (
        (('xml:id="a"', 'xml:id="b"'), '<tie startid="#a" endid="#b"/>'),
        (('tie="i"', 'tie="t"'), ""),
    ):
        first = mei_bar(mei_note("f4", 1, f'accid="s" {tied[0]}'), more=more)
        score = read(mei(first + mei_bar(mei_note("f4", 2, tied[1]) + mei_note("f4", 2), number=2)), ".mei")
        assert said(score) == ["F#4 0 6", "F4 2 2"]


def test_a_tie_at_a_chord_ties_all_its_notes() -> None:
    chord = '<chord dur="2" tie="{}"><note pname="c" oct="4"/><note pname="e" oct="4"/></chord>'
    assert said(read(mei(mei_bar(chord.format("i") + chord.format("t"))), ".mei")) == ["C4 0 4, E4 0 4"]


def test_ties_that_go_in_a_circle_lose_no_note() -> None:
    grace = 'grace="acc" xml:id="{}"'
    bar = mei_note("c4", 8, grace.format("a")) + mei_note("c4", 8, grace.format("b")) + mei_note("c4", 1, 'xml:id="c"')
    ties = "".join(f'<tie startid="#{x}" endid="#{y}"/>' for x, y in ("ab", "ba", "bc", "ca"))
    heads = [h.id for n in read(mei(mei_bar(bar, more=ties)), ".mei").notes for h in n.noteheads]
    assert sorted(heads) == ["a", "b", "c"]


def test_tuplets_and_tuplets_within_them() -> None:
    inner = '<tuplet num="3" numbase="2">' + mei_note("e4", 16) * 3 + "</tuplet>"
    outer = '<tuplet num="3" numbase="2">' + mei_note("c4", 8) + inner + mei_note("g4", 8) + "</tuplet>"
    score = read(mei(mei_bar(outer + mei_note("c5", 2, 'dots="1"'))), ".mei")
    assert said(score) == ["C4 0 1/3, E4 1/3 1/9, E4 4/9 1/9, E4 5/9 1/9, G4 2/3 1/3, C5 1 3"]


def test_layers_spaces_and_a_grace_group() -> None:
    graces = "<graceGrp>" + mei_note("d5", 16, 'grace="acc"') + "</graceGrp>"
    score = read(mei(mei_bar(graces + mei_note("c5", 1) + ';;<space dur="2"/>' + mei_note("e4", 2))), ".mei")
    assert said(score, lambda n: f"v{n.voice}") == ["D5 0 0 v1, C5 0 4 v1, E4 2 2 v2"]


def test_tremolos_fill_their_time() -> None:
    one = "<bTrem>" + mei_note("c5", 2) + "</bTrem>"
    two = "<fTrem>" + mei_note("e5", 2) + mei_note("g5", 2) + "</fTrem>"
    assert said(read(mei(mei_bar(one + two)), ".mei"), lambda n: str(n.tremolo)) == [
        "C5 0 2 True, E5 2 1 True, G5 3 1 True"
    ]


def test_of_two_readings_the_first_is_taken() -> None:
    choice = f"<app><lem>{mei_note('c4', 1)}</lem><rdg>{mei_note('d4', 1)}</rdg></app>"
    assert said(read(mei(mei_bar(choice)), ".mei")) == ["C4 0 4"]


def test_a_note_drawn_on_the_other_staff_keeps_its_voice() -> None:
    score = read(mei(mei_bar(mei_note("c4", 2) + mei_note("e3", 2, 'staff="2"'), mei_note("c3", 1)), 2), ".mei")
    assert said(score, lambda n: f"{n.staff} {n.home_staff}") == ["C3 0 4 2 2, C4 0 2 1 1, E3 2 2 2 1"]


def test_metre_key_and_clef_change() -> None:
    change = '<scoreDef meter.count="3" meter.unit="8" key.sig="1f"/>'
    clef = '<clef shape="F" line="4"/>'
    bars = mei_bar(mei_note("c5", 2) + clef + mei_note("c3", 2)) + change
    score = read(mei(bars + mei_bar(mei_note("b3", 4, 'dots="1"'), number=2)), ".mei")
    assert [(b.metre.name, b.fifths) for b in score.bars] == [("4/4", 0), ("3/8", -1)]
    assert said(score)[1] == "Bb3 0 3/2"
    assert [(c.sign, score.quarters(c.onset)) for c in score.clefs] == [("G", 0), ("F", 2)]


def test_a_clef_that_changes_between_bars_in_one_staff_is_read_and_drawn() -> None:
    change = '<staffDef n="2" clef.shape="G" clef.line="2"/>'
    bars = (
        mei_bar(mei_note("c5", 1), mei_note("c3", 1)) + change + mei_bar(mei_note("c5", 1), mei_note("c4", 1), number=2)
    )
    with TemporaryDirectory() as folder:
        path = Path(folder) / "score.mei"
        path.write_text(mei(bars, staves=2))
        source = open_source(path)
    assert [(c.staff, c.sign) for c in read_score(source).clefs] == [(1, "G"), (2, "F"), (2, "G")]
    assert "<scoreDef><staffGrp><staffDef" in re.sub(r"\w+:(?=s)", "", source.text)


def test_repeats_and_endings() -> None:
    bar, end = mei_note("c4", 1), 'right="rptend"'
    text = (
        mei_bar(bar, attributes='left="rptstart"')
        + f'<ending n="1">{mei_bar(bar, number=2, attributes=end)}</ending>'
        + f'<ending n="2, 3">{mei_bar(bar, number=3)}</ending>'
    )
    bars = read(mei(text), ".mei").bars
    assert [(b.repeat_start, b.repeat_end, b.endings) for b in bars] == [
        (True, False, ()),
        (False, True, (1,)),
        (False, False, (2, 3)),
    ]


def test_ornaments_by_id_and_by_place() -> None:
    signs = '<trill startid="#a"/><fermata tstamp="3" staff="1"/><mordent tstamp="4" staff="1" form="upper"/>'
    bar = mei_note("c5", 2, 'xml:id="a"') + mei_note("d5") + mei_note("e5")
    notes = read(mei(mei_bar(bar, more=signs)), ".mei").notes
    assert [(n.ornaments, n.fermata) for n in notes] == [(("trill",), False), ((), True), (("upper mordent",), False)]


def test_a_bar_of_rest_lasts_as_long_as_its_metre() -> None:
    score = read(mei(mei_bar("<mRest/>")), ".mei")
    assert [score.quarters(b.length) for b in score.bars] == [4]
