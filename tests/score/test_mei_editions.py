"""MEI of scholarly editions: all music of it is read, one text of several is chosen, and said."""

from __future__ import annotations

import pytest

from sitegen.errors import ScoreError
from sitegen.score import Score
from tests.score.files import mei, mei_bar, mei_note, read, said

C, D, E, F = (mei_note(f"{step}4") for step in "cdef")
WHOLE_C, WHOLE_D = mei_note("c4", 1), mei_note("d4", 1)
LAYER_C, LAYER_D = f'<layer n="1">{WHOLE_C}</layer>', f'<layer n="1">{WHOLE_D}</layer>'
STAFF_C, STAFF_D = f'<staff n="1">{LAYER_C}</staff>', f'<staff n="1">{LAYER_D}</staff>'
SEVERAL = "the edition has several readings"

#: What stands in a section, what is read of it, and what is said.
EDITIONS: dict[str, tuple[str, list[str], str]] = {
    "notes that are supplied, unclear, added": (
        mei_bar(f"{C}<supplied>{D}</supplied><unclear>{E}</unclear><add>{F}</add>"),
        ["C4 0 1, D4 1 1, E4 2 1, F4 3 1"], ""),
    "within a beam, a tuplet, a chord": (
        mei_bar(f'<beam><supplied>{mei_note("c4", 8)}</supplied>{mei_note("d4", 8)}</beam><tuplet num="3" numbase="2">'
                f'<unclear>{E}</unclear>{E}{E}</tuplet><chord dur="4"><supplied><note pname="c" oct="4"/></supplied>'
                '<note pname="e" oct="4"/></chord>'),
        ["C4 0 1/2, D4 1/2 1/2, E4 1 2/3, E4 5/3 2/3, E4 7/3 2/3, C4 3 1, E4 3 1"], ""),
    "a bar": (f"<supplied>{mei_bar(WHOLE_C)}</supplied>", ["C4 0 4"], ""),
    "a staff": (f'<measure n="1"><unclear>{STAFF_C}</unclear></measure>', ["C4 0 4"], ""),
    "a layer": (f'<measure n="1"><staff n="1"><add>{LAYER_C}</add></staff></measure>', ["C4 0 4"], ""),
    "what is struck out": (mei_bar(f"{C}{D}{E}<del>{F}</del>{F}"), ["C4 0 1, D4 1 1, E4 2 1, F4 3 1"],
                           "bar 1: what is struck out is not played"),
    "what is struck out and restored": (
        mei_bar(f"{C}{D}{E}<restore><del>{F}</del></restore>"), ["C4 0 1, D4 1 1, E4 2 1, F4 3 1"], ""),
    "what is struck out for something else": (
        mei_bar(f"{C}{D}{E}<subst><del>{C}</del><add>{F}</add></subst>"), ["C4 0 1, D4 1 1, E4 2 1, F4 3 1"],
        "what is struck out"),
    "the lemma of bars": (
        mei_bar(WHOLE_C) + f"<app><rdg>{mei_bar(WHOLE_C, number=2)}</rdg><lem>{mei_bar(WHOLE_D, number=2)}</lem></app>",
        ["C4 0 4", "D4 0 4"], f"bar 2: {SEVERAL}; the lemma"),
    "the first reading of staves": (
        f'<measure n="1"><app><rdg>{STAFF_C}</rdg><rdg>{STAFF_D}</rdg></app></measure>', ["C4 0 4"],
        f"bar 1: {SEVERAL}; the first"),
    "the correction of layers": (
        f'<measure n="1"><staff n="1"><choice><sic>{LAYER_C}</sic><corr>{LAYER_D}</corr></choice></staff></measure>',
        ["D4 0 4"], f"bar 1: {SEVERAL}; the correction"),
    "the first of two spellings": (mei_bar(f"<choice><orig>{WHOLE_C}</orig><reg>{WHOLE_D}</reg></choice>"), ["C4 0 4"],
                                   f"bar 1: {SEVERAL}; the first"),
    "what an abbreviation stands for": (
        mei_bar(f"<choice><abbr><halfmRpt/></abbr><expan>{C}{D}</expan></choice>{E}{F}"),
        ["C4 0 1, D4 1 1, E4 2 1, F4 3 1"], "the one that is written out"),
    "an accidental": (
        mei_bar('<note pname="f" oct="4" dur="1"><app><lem><accid accid="s"/></lem><rdg><accid accid="f"/></rdg></app>'
                "</note>"), ["F#4 0 4"], f"{SEVERAL}; the lemma"),
    "an ossia": (
        f'<measure n="1"><ossia>{STAFF_C}<oStaff n="1">{LAYER_D}</oStaff></ossia></measure>', ["C4 0 4"],
        "bar 1: an ossia is left out"),
    "a copy of a bar": (mei_bar(WHOLE_C, attributes='xml:id="m"') + '<measure n="2" copyof="#m"/>',
                        ["C4 0 4", "C4 0 4"], ""),
    "a copy of a note": (
        mei_bar(C.replace("<note ", '<note xml:id="c" ') + '<note copyof="#c"/>' + E + F),
        ["C4 0 1, C4 1 1, E4 2 1, F4 3 1"], ""),
    "a copy that is restored": (
        mei_bar(C.replace("<note ", '<note xml:id="c" ') + '<restore><del><note copyof="#c"/></del></restore>' + E + F),
        ["C4 0 1, C4 1 1, E4 2 1, F4 3 1"], ""),
    "a notehead of two voices": (
        '<measure n="1"><staff n="1">' + LAYER_C.replace("<note ", '<note xml:id="c" ')
        + '<layer n="2"><note sameas="#c"/></layer></staff></measure>', ["C4 0 4"], ""),
}  # fmt: skip


@pytest.mark.parametrize("case", EDITIONS)
def test_the_music_of_an_edition_is_read(case: str) -> None:
    section, bars, warning = EDITIONS[case]
    score = read(mei(section), ".mei")
    assert said(score) == bars
    assert len(score.warnings) == bool(warning)
    assert warning in "".join(score.warnings)


def movements(*sections: str) -> Score:
    """The score of an MEI file with a movement of each section."""
    whole = [mei(section) for section in sections]
    more = "".join(text[text.index("<mdiv>") : text.index("</body>")] for text in whole[1:])
    return read(whole[0].replace("</body>", f"{more}</body>"), ".mei")


def test_movements_follow_each_other_and_their_bars_are_counted_on() -> None:
    score = movements(mei_bar(WHOLE_C) + mei_bar(WHOLE_D, number=2), mei_bar(WHOLE_D) + mei_bar(WHOLE_C, number=2))
    assert said(score) == ["C4 0 4", "D4 0 4", "D4 0 4", "C4 0 4"]
    assert [bar.number for bar in score.bars] == ["1", "2", "3", "4"]
    assert "bar 3: another movement begins" in score.warnings[0]


def test_movements_that_count_on_themselves_keep_their_numbers() -> None:
    score = movements(mei_bar(WHOLE_C), mei_bar(WHOLE_D, number=7))
    assert [bar.number for bar in score.bars] == ["1", "7"]


def test_copies_of_copies_have_an_end() -> None:
    sections = ['<section xml:id="s0">' + mei_bar(C * 4) + "</section>"]
    sections += [f'<section xml:id="s{n + 1}">' + f'<section copyof="#s{n}"/>' * 9 + "</section>" for n in range(7)]
    with pytest.raises(ScoreError, match="more than 30000 notes"):
        read(mei("".join(sections)), ".mei")


LEGAL = {
    "midi.volume of an instrument": '<instrDef midi.volume="78%" midi.pan="-100.00%" midi.channel="1"/>',
    "a line's width": '<slur lwidth="medium" tstamp="1" tstamp2="0m+2" staff="1"/>',
    "a place before the next bar": '<slur tstamp="1" tstamp2="1m + 1.5" staff="1"/>',
    "a metronome mark of breves": '<tempo mm="60" mm.unit="breve" mm.dots="1" tstamp="1" staff="1"/>',
    "a place in ticks": '<dynam tstamp="1" tstamp.ges="0p" staff="1">p</dynam>',
    "several layers": '<dynam layer="1 2" tstamp="1" staff="1">p</dynam>',
}


@pytest.mark.parametrize("case", LEGAL)
def test_legal_values_are_read_without_a_word(case: str) -> None:
    score = read(mei(mei_bar(WHOLE_C, more=LEGAL[case])), ".mei")
    assert (said(score), score.warnings) == (["C4 0 4"], ())


def test_a_unit_of_the_metre_may_be_a_decimal() -> None:
    score = read(mei(mei_bar(mei_note("c4", 2)), signature='meter.count="2" meter.unit="4.0"'), ".mei")
    assert [bar.metre.name for bar in score.bars] == ["2/4"]


def test_without_a_metre_the_bars_say_it() -> None:
    bars = "".join(mei_bar(C * 3, number=n) for n in (1, 2)) + mei_bar("<mRest/>", number=3)
    score = read(mei(bars, signature='key.sig="0"'), ".mei")
    assert [(b.metre.name, score.quarters(b.length)) for b in score.bars] == [("3/4", 3)] * 3


def test_a_note_under_an_octave_sign_sounds_there_unless_it_says_where() -> None:
    bar = mei_note("c5", 4, 'xml:id="a"') + mei_note("d5", 4, 'xml:id="b" oct.ges="6"') + mei_note("e5", 2)
    sign = '<octave dis="8" dis.place="above" staff="1" startid="#a" endid="#b"/>'
    assert said(read(mei(mei_bar(bar, more=sign)), ".mei")) == ["C6 0 1, D6 1 1, E5 2 2"]


def test_a_transposing_staff_is_read_as_it_sounds() -> None:
    text = mei(mei_bar(mei_note("d5", 1)), signature='meter.count="4" meter.unit="4"')
    clarinet = text.replace('<staffDef n="1"', '<staffDef n="1" trans.diat="-1" trans.semi="-2" key.sig="2s"')
    score = read(clarinet, ".mei")
    assert (said(score), score.bars[0].fifths) == (["C5 0 4"], 0)


def test_ids_are_such_as_every_format_of_a_stage_may_bear() -> None:
    names = ("m1.n-2", "a", "a.2", "c:3", "é4", "E0A4", "b-rend2", "7up")
    bar = "".join(f'<note xml:id="{name}" pname="c" oct="4" dur="8"/>' for name in names)
    score = read(mei(mei_bar(bar, more='<slur startid="#c:3" endid="#é4"/>')), ".mei")
    ids = [note.id for note in score.notes]
    assert ids[:2] == ["m1.n-2", "a"]
    assert len(set(ids)) == len(names)
    assert all(name.isascii() and ":" not in name and not name[0].isdigit() for name in ids)
    assert not set(names[2:]) & set(ids)
    assert [(slur.first, slur.last) for slur in score.slurs] == [(ids[3], ids[4])]


def test_what_other_vocabularies_say_in_the_head_costs_nothing() -> None:
    more = '<extMeta><x:mads xmlns:x="http://www.loc.gov/mads/v2"><x:name>Nobody</x:name></x:mads></extMeta></meiHead>'
    score = read(mei(mei_bar(WHOLE_C)).replace("</meiHead>", more), ".mei")
    assert (said(score), score.composer) == (["C4 0 4"], "Nobody")
