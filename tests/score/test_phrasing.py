"""The signs of phrasing, read alike from all four formats: between which notes, where, and what they say."""

from __future__ import annotations

import pytest

from sitegen.score import Score
from tests.score.files import back, kern, mei, mei_bar, mei_note, musicxml, note, read


def slurs(score: Score) -> list[str]:
    """Each slur as ``C5-D5``, in order of its beginning."""
    notes = {n.id: n.pitch.name for n in score.notes}
    return [f"{notes[slur.first]}-{notes[slur.last]}" for slur in score.slurs]


def signs(score: Score) -> list[str]:
    """Each sign as ``hairpin crescendo 1: 0 3`` with its staff and places in quarters."""
    return [
        f"{s.kind} {s.text} {s.staff}: {score.quarters(s.onset)}"
        + (f" {score.quarters(s.end)}" if s.end > s.onset else "")
        for s in score.signs
    ]


def marks(score: Score) -> list[str]:
    """What stands at each note that has anything."""
    found = [(n.pitch.name, *n.articulations, *n.fingerings, *["fermata"] * n.fermata) for n in score.notes]
    return [" ".join(mark) for mark in found if len(mark) > 1]


def _slur(kind: str, number: int = 1) -> str:
    return f'<notations><slur type="{kind}" number="{number}"/></notations>'


def _direction(inside: str, offset: int = 0, staff: int = 1) -> str:
    shift = f"<offset>{offset}</offset>" if offset else ""
    return f"<direction><direction-type>{inside}</direction-type>{shift}<staff>{staff}</staff></direction>"


def test_musicxml_slurs_within_slurs_and_across_bars() -> None:
    first = (
        note("C5", 12, "quarter", _slur("start") + _slur("start", 2))
        + note("D5", 12, "quarter", _slur("stop", 2))
        + note("E5", 24, "half", _slur("start", 2))
    )  # fmt: skip
    second = note("F5", 24, "half", _slur("stop", 2)) + note("G5", 24, "half", _slur("stop"))
    assert sorted(slurs(read(musicxml(first, second), ".musicxml"))) == ["C5-D5", "C5-G5", "E5-F5"]


def test_musicxml_slur_into_the_other_staff_may_end_earlier_in_the_file() -> None:
    upper = note("C5", 24, "half") + note("D5", 24, "half", _slur("stop"))
    lower = note("E3", 48, "whole", _slur("start"), voice=5, staff=2)
    assert slurs(read(musicxml(upper + back(48) + lower, staves=2), ".musicxml")) == ["E3-D5"]


def test_musicxml_two_voices_that_use_one_number_keep_their_slurs() -> None:
    upper = note("E5", 24, "half", _slur("start")) + note("F5", 24, "half", _slur("stop"))
    lower = note("C5", 24, "half", _slur("start"), voice=2) + note("D5", 24, "half", _slur("stop"), voice=2)
    assert sorted(slurs(read(musicxml(upper + back(48) + lower), ".musicxml"))) == ["C5-D5", "E5-F5"]


def test_slur_to_a_tied_note_ends_at_its_last_head_and_names_the_note() -> None:
    tied = "<notations><tied type='stop'/><slur type='stop'/></notations>"
    first = note("C5", 24, "half", _slur("start")) + note("D5", 24, "half", "<tie type='start'/>")
    second = note("D5", 48, "whole", "<tie type='stop'/>", tied)
    score = read(musicxml(first, second), ".musicxml")
    assert slurs(score) == ["C5-D5"]
    assert score.quarters(score.slurs[0].end) == 4


def test_musicxml_directions_stand_where_the_file_has_them() -> None:
    bar = (
        _direction("<dynamics><sf/></dynamics>")
        + note("C5", 12, "quarter")
        + _direction('<wedge type="crescendo"/>', offset=6)
        + note("D5", 12, "quarter")
        + note("E5", 12, "quarter")
        + _direction('<wedge type="stop"/>')
        + _direction("<words>dolce</words>", staff=1)
        + _direction('<octave-shift type="down" size="8"/>')
        + note("F6", 12, "quarter")
        + _direction('<octave-shift type="stop" size="8"/>')
    )
    assert signs(read(musicxml(bar), ".musicxml")) == [
        "dynamic sf 1: 0", "hairpin crescendo 1: 3/2 3", "words dolce 1: 3", "octave 1 1: 3 4",
    ]  # fmt: skip


def test_musicxml_pedal_without_a_release_and_one_changed() -> None:
    pedal = '<pedal type="{}" sign="yes"/>'
    bar = (
        _direction(pedal.format("start")) + note("C3", 12, "quarter") + _direction(pedal.format("change"))
        + note("D3", 12, "quarter") + _direction(pedal.format("stop")) + note("E3", 12, "quarter")
        + _direction(pedal.format("start")) + note("F3", 12, "quarter")
    )  # fmt: skip
    assert signs(read(musicxml(bar), ".musicxml")) == ["pedal  1: 0 1", "pedal  1: 1 2", "pedal  1: 3"]


def test_words_of_a_tempo_are_its_own() -> None:
    tempo = '<direction><direction-type><words>rit.</words></direction-type><sound tempo="50"/></direction>'
    score = read(musicxml(tempo + note("C5", 48, "whole")), ".musicxml")
    assert (signs(score), [t.text for t in score.tempi]) == ([], ["rit."])


@pytest.mark.parametrize(("text", "said"), [
    ("<words>.7</words>", ""), ("<words>-</words>", ""),
    ("<words>SCHERZO </words><words>Allegretto vivace</words>", "Allegretto vivace"),
    ("<words>SCHERZO Allegretto</words>", "Allegretto"), ("<words>LARGO e mesto</words>", "LARGO e mesto"),
    ("<words>Abschied</words><words>Andante </words><words>In Bewegung</words>", "Andante In Bewegung"),
    ("<words>Molto Allegro</words><words>Presto</words>", "Molto Allegro Presto"),
    ("<words>Sehr </words><words>langsam</words>", "Sehr langsam"),
])  # fmt: skip
def test_tempo_says_words_of_tempo_and_no_name_of_a_part(text: str, said: str) -> None:
    mark = f'<direction placement="above"><direction-type>{text}</direction-type><sound tempo="50"/></direction>'
    score = read(musicxml(mark + note("C5", 48, "whole")), ".musicxml")
    assert [(t.text, t.quarters_a_minute) for t in score.tempi] == [(said, 50)]


@pytest.mark.parametrize(("text", "said"), [
    ("\ue520 cresc.", ["dynamic p 1: 0", "words cresc. 1: 0"]), ("\ue522\ue520", ["dynamic fp 1: 0"]),
    ("(\ue52f)", ["dynamic ff 1: 0"]), ("sempre \ue52b", ["words sempre pp 1: 0"]),
    ("\ueca5 dolce", ["words ♩ dolce 1: 0"]), ("\ue4c0", []),
])  # fmt: skip
def test_letters_of_a_music_font_among_words_are_what_they_mean(text: str, said: list[str]) -> None:
    words = _direction(f"<words>{text}</words>")
    assert signs(read(musicxml(words + note("C5", 48, "whole")), ".musicxml")) == said
    bar = mei_note("c5", 1, 'xml:id="a"')
    more = f'<dir staff="1" tstamp="1">{text}</dir>'
    assert signs(read(mei(mei_bar(bar, more=more)), ".mei")) == said


@pytest.mark.parametrize(
    "heading",
    ["SONATE in G III", "Sonata in B flat", "SUITE", "J. Haydn", "R. Schumann (1839)", "Op. 12 Nr. 4", "Sonate d-moll",
     "Hoboken XVI:39"],
)  # fmt: skip
def test_heading_over_the_first_bars_is_no_direction(heading: str) -> None:
    words = _direction(f"<words>{heading}</words>")
    assert signs(read(musicxml(words + note("C5", 48, "whole")), ".musicxml")) == []


@pytest.mark.parametrize("said", ["dolce", "Energico.", "m.d.", "R.H. Solo", "in tempo", "Mit Innigkeit", "D.C. Fine"])
def test_direction_over_the_first_bars_is_one(said: str) -> None:
    words = _direction(f"<words>{said}</words>")
    assert signs(read(musicxml(words + note("C5", 48, "whole")), ".musicxml")) == [f"words {said} 1: 0"]


def test_words_as_large_as_a_title_are_one_over_the_first_bars_and_capitals_name_a_part_later() -> None:
    large = _direction('<words font-size="24">A winter evening</words>')
    bars = [large + note("C5", 48, "whole"), *[note("C5", 48, "whole")] * 3,
            _direction("<words>TRIO I</words>") + note("C5", 48, "whole")]  # fmt: skip
    assert signs(read(musicxml(*bars), ".musicxml")) == ["words TRIO I 1: 16"]


def test_heading_is_none_in_the_other_formats_either() -> None:
    bar = mei_note("c5", 1, 'xml:id="a"')
    more = '<dir staff="1" tstamp="1">SONATA in G</dir><dir staff="1" tstamp="1">dolce</dir>'
    assert signs(read(mei(mei_bar(bar, more=more)), ".mei")) == ["words dolce 1: 0"]
    assert signs(read('X:1\nL:1/4\nK:C\n"^J. Haydn"c "^dolce"d e f|]\n', ".abc")) == ["words dolce 1: 1"]


def test_octave_signs_and_words_of_humdrum() -> None:
    lines = ("**kern", "*M4/4", "=1", "!LO:TX:a:t=dolce", "4c", "*8va", "4ccc", "4ddd", "*X8va", "4c", "==")
    assert signs(read(kern(*lines), ".krn")) == ["words dolce 1: 0", "octave 1 1: 1 3"]


@pytest.mark.parametrize(
    ("name", "octaves"), [("8va", "1"), ("15ma", "2"), ("8vb", "-1"), ("15mb", "-2")],
)  # fmt: skip
def test_octave_sign_of_abc_ends_with_the_note_behind_its_closing_mark(name: str, octaves: str) -> None:
    score = read(f"X:1\nL:1/4\nK:C\nc !{name}(!d !{name})!e f|]\n", ".abc")
    assert signs(score) == [f"octave {octaves} 1: 1 3"]
    assert [n.pitch.name for n in score.notes] == ["C5", "D5", "E5", "F5"]


def test_octave_sign_of_mei_ends_with_the_note_that_it_names() -> None:
    bar = "".join(mei_note(f"{p}5", 4, f'xml:id="{p}"') for p in "cdef")
    more = '<octave dis="8" dis.place="above" staff="1" startid="#c" endid="#d"/>'
    assert signs(read(mei(mei_bar(bar, more=more)), ".mei")) == ["octave 1 1: 0 2"]


def test_articulation_and_fermata_hold_for_the_whole_chord_a_finger_for_its_note() -> None:
    inside = (
        "<notations><technical><fingering>1</fingering></technical><articulations><accent/></articulations>"
        "<fermata/></notations>"
    )
    second = "<notations><technical><fingering>3</fingering></technical></notations>"
    bar = note("C5", 48, "whole", inside) + note("E5", 48, "whole", "<chord/>", second)
    assert marks(read(musicxml(bar), ".musicxml")) == ["C5 accent 1 fermata", "E5 accent 3 fermata"]


def test_common_and_cut_time_are_known_by_their_signs() -> None:
    text = musicxml(note("C5", 48, "whole"))
    for symbol in ("common", "cut"):
        beats = "<beats>2</beats><beat-type>2" if symbol == "cut" else "<beats>4</beats><beat-type>4"
        signed = text.replace("<time><beats>4</beats><beat-type>4", f'<time symbol="{symbol}">{beats}')
        assert read(signed, ".musicxml").bars[0].metre.symbol == symbol
    assert read(text, ".musicxml").bars[0].metre.symbol == ""


def test_mei() -> None:
    bar = (
        mei_note("c5", 4, 'xml:id="a"', '<artic artic="stacc"/>') + mei_note("d5", 4, 'xml:id="b" artic="acc ten"')
        + mei_note("e5", 4, 'xml:id="c"') + mei_note("f5", 4, 'xml:id="d"')
    )  # fmt: skip
    more = (
        '<slur startid="#a" endid="#c"/><slur startid="#a" endid="#b"/><dynam staff="1" tstamp="1">p</dynam>'
        '<hairpin form="cres" staff="1" tstamp="2" tstamp2="0m+4"/><dir staff="1" startid="#b">dolce</dir>'
        '<pedal dir="down" staff="1" tstamp="1"/><pedal dir="up" staff="1" tstamp="3"/>'
        '<octave dis="8" dis.place="above" staff="1" startid="#c" endid="#d"/><fing startid="#d">4</fing>'
        '<fermata startid="#d"/>'
    )
    score = read(mei(mei_bar(bar, more=more), signature='meter.sym="common" key.sig="0"'), ".mei")
    assert slurs(score) == ["C5-E6", "C5-D5"]  # E and F sound under the octave sign
    assert signs(score) == [
        "dynamic p 1: 0", "pedal  1: 0 2", "hairpin crescendo 1: 1 3", "words dolce 1: 1", "octave 1 1: 2 4",
    ]  # fmt: skip
    assert marks(score) == ["C5 staccato", "D5 accent tenuto", "F6 4 fermata"]
    assert score.bars[0].metre.symbol == "common"


def test_humdrum() -> None:
    lines = (
        "**kern  **dynam", "*M4/4  *", "*met(c)  *", "=1  =1", "(4c'  p", "4d^  <", "4e)~  [", "4f;  f", "==  ==",
    )  # fmt: skip
    score = read(kern(*lines), ".krn")
    assert slurs(score) == ["C4-E4"]
    assert signs(score)[::2] == ["dynamic p 1: 0", "dynamic f 1: 3"]
    assert signs(score)[1].startswith("hairpin crescendo 1: 1 ")
    assert marks(score) == ["C4 staccato", "D4 accent", "E4 tenuto", "F4 fermata"]
    assert score.bars[0].metre.symbol == "common"


def test_abc() -> None:
    music = '!p!(c !<(!d (e !<)!f))|!ped!!f!.c "^dolce"!3!d !>!e !ped-up!!fermata!f|'
    score = read(f"X:1\nM:C|\nL:1/4\nK:C\n{music}]\n", ".abc")
    assert slurs(score) == ["C5-F5", "E5-F5"]
    assert signs(score) == [
        "dynamic p 1: 0", "hairpin crescendo 1: 1 3", "dynamic f 1: 4", "pedal  1: 4 7", "words dolce 1: 5",
    ]  # fmt: skip
    assert marks(score) == ["C5 staccato", "D5 3", "E5 accent", "F5 fermata"]
    assert score.bars[0].metre.symbol == "cut"


def test_abc_voices_do_not_close_each_others_slurs() -> None:
    score = read("X:1\nM:4/4\nL:1/4\nV:1\nV:2\nK:C\nV:1\n(c d e f|g4)|]\nV:2\nC (D E) F|G4|]\n", ".abc")
    assert sorted(slurs(score)) == ["C5-G5", "D4-E4"]
