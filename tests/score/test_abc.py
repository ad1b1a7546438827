"""ABC: each thing a tune may hold, in a few notes."""

from __future__ import annotations

from pathlib import Path

import pytest

from sitegen.errors import ScoreError
from sitegen.score import Score, open_source, read_score
from sitegen.score.rights import rights_of
from tests.score.files import read, said


def tune(*body: str, key: str = "C", metre: str = "4/4", unit: str = "1/4", head: str = "") -> Score:
    """The score of a tune whose body is ``body``."""
    return read(f"X:1\nT:Air\nC:Nobody\n{head}M:{metre}\nL:{unit}\nK:{key}\n" + "\n".join(body) + "\n", ".abc")


def test_title_composer_and_tempo() -> None:
    score = tune("C4|]", head='Q:"Lento" 1/2=40\n')
    assert (score.title, score.composer) == ("Air", "Nobody")
    assert [(t.text, t.quarters_a_minute) for t in score.tempi] == [("Lento", 80)]


def test_octaves_and_lengths() -> None:
    assert said(tune("C,c/ c// c//c'|C3/2 z/ z|]"))[0] == "C3 0 1, C5 1 1/2, C5 3/2 1/4, C5 7/4 1/4, C6 2 1"


def test_the_signature_of_keys_and_modes() -> None:
    assert said(tune("FCB,2|]", key="D")) == ["F#4 0 1, C#4 1 1, B3 2 2"]
    assert said(tune("FcB2|]", key="Gm")) == ["F4 0 1, C5 1 1, Bb4 2 2"]
    assert said(tune("FcB2|]", key="A minor")) == ["F4 0 1, C5 1 1, B4 2 2"]
    assert said(tune("FcB2|]", key="D dor")) == ["F4 0 1, C5 1 1, B4 2 2"]
    assert said(tune("FcG2|]", key="D exp _g ^f")) == ["F#4 0 1, C5 1 1, Gb4 2 2"]


def test_an_accidental_holds_to_the_bar_line_and_through_a_tie() -> None:
    assert said(tune("^F F =F F|F3 ^F-|F F3|]")) == ["F#4 0 1, F#4 1 1, F4 2 1, F4 3 1", "F4 0 3, F#4 3 2", "F4 1 3"]


def test_an_upbeat_is_bar_0() -> None:
    score = tune("G|c4|]")
    assert [(b.number, score.quarters(b.lead)) for b in score.bars] == [("0", 3), ("1", 0)]


def test_chords_with_a_length_outside_or_inside() -> None:
    assert said(tune("[CEG]2 [c2e2]|]")) == ["C4 0 2, E4 0 2, G4 0 2, C5 2 2, E5 2 2"]


def test_ties_across_bars_and_in_chords() -> None:
    assert said(tune("c2 [ce]2-|[ce]2 c2|]")) == ["C5 0 2, C5 2 4, E5 2 4", "C5 2 2"]


def test_triplets_other_tuplets_and_broken_rhythm() -> None:
    assert said(tune("(3cde (5:4:5c/d/e/d/c/|]")) == [
        "C5 0 2/3, D5 2/3 2/3, E5 4/3 2/3, C5 2 2/5, D5 12/5 2/5, E5 14/5 2/5, D5 16/5 2/5, C5 18/5 2/5"
    ]
    assert said(tune("c>d e<f|]")) == ["C5 0 3/2, D5 3/2 1/2, E5 2 1/2, F5 5/2 3/2"]


def test_graces_and_decorations() -> None:
    score = tune("{/d}c Td !fermata!e !arpeggio![ce]|]")
    assert said(score, lambda n: f"{n.grace:d}{n.fermata:d}{n.arpeggio:d}{n.ornaments}") == [
        "D5 0 0 100(), C5 0 1 000(), D5 1 1 000('trill',), E5 2 1 010(), C5 3 1 001(), E5 3 1 001()"
    ]


def test_repeats_and_endings() -> None:
    bars = tune("|:c4|1 d4:|2 e4|]").bars
    assert [(b.repeat_start, b.repeat_end, b.endings) for b in bars] == [
        (True, False, ()),
        (False, True, (1,)),
        (False, False, (2,)),
    ]
    bars = tune("c4::d4:|").bars
    assert [(b.repeat_start, b.repeat_end) for b in bars] == [(False, True), (True, True)]


def test_key_metre_and_unit_may_change() -> None:
    score = tune("c4|[M:3/4][K:F]B3|", "L:1/8", "B6|]")
    assert [(b.metre.name, b.fifths) for b in score.bars] == [("4/4", 0), ("3/4", -1), ("3/4", -1)]
    assert said(score) == ["C5 0 4", "Bb4 0 3", "Bb4 0 3"]


def test_two_voices_are_two_staves_and_two_hands() -> None:
    for body in (("V:1", "c2 d2|e4|]", "V:2", "C,4|G,,4|]"), ("[V:1] c2 d2|e4|]", "[V:2] C,4|G,,4|]")):
        score = tune(*body)
        assert said(score, lambda n: f"{n.staff}") == ["C3 0 4 2, C5 0 2 1, D5 2 2 1", "G2 0 4 2, E5 0 4 1"]
        assert [s.hand for s in score.staves] == ["right", "left"]
        assert [(c.staff, c.sign) for c in score.clefs] == [(1, "G"), (2, "F")]


def test_voices_in_parentheses_share_a_staff() -> None:
    head = "%%score {(A B) L}\nV:A\nV:B\nV:L clef=bass\n"
    score = tune("[V:A] e4|]", "[V:B] c4|]", "[V:L] C,4|]", head=head)
    assert said(score, lambda n: f"{n.staff} v{n.voice}") == ["C3 0 4 2 v5, C5 0 4 1 v2, E5 0 4 1 v1"]


def test_an_overlay_is_a_second_voice_of_the_bar() -> None:
    assert said(tune("e4&c2B2|d4|]"), lambda n: f"v{n.voice}") == ["C5 0 2 v2, E5 0 4 v1, B4 2 2 v2", "D5 0 4 v1"]


def test_bars_of_rest_and_hidden_rests() -> None:
    score = tune("Z2|x2 c2|]")
    assert said(score) == ["", "", "C5 2 2"]
    assert [score.quarters(b.length) for b in score.bars] == [4, 4, 4]


def test_chord_symbols_lyrics_and_comments_are_passed_over() -> None:
    assert said(tune('"Am"c2 "^slow"d2| % a remark', "w: la la", "e4|]")) == ["C5 0 2, D5 2 2", "E5 0 4"]


def test_a_length_of_five_is_two_noteheads_and_one_note() -> None:
    score = tune("c5 d3|]", unit="1/8")
    assert said(score) == ["C5 0 5/2, D5 5/2 3/2"]
    assert len(score.notes[0].noteheads) == 2


def test_slurs_are_known_at_their_ends() -> None:
    assert [(n.slur_start, n.slur_end) for n in tune("(cde) f|]").notes] == [
        (True, False),
        (False, False),
        (False, True),
        (False, False),
    ]


@pytest.mark.parametrize(
    ("body", "line", "what"),
    [
        ("c4|d4 £|]", 7, "'£|]' is not understood"),
        ("c4|[ce|]", 7, "'[ce|]' is not understood"),
        ("c4|c0|]", 7, "the length '0' is not understood"),
        ("c4|\nK:H\nd4|]", 8, "the key 'H' is not understood"),
        ("[V:1]c4|d4|]\n[V:2]c4|]", None, "the voices have different numbers of bars: 2 in 1, 1 in 2"),
        ("c4|]\n\nX:2\nK:G\nG4|]", 9, "holds 2 tunes, the second here"),
    ],
)
def test_what_is_not_understood_is_named_with_its_line(body: str, line: int | None, what: str) -> None:
    with pytest.raises(ScoreError) as raised:
        tune(body)
    assert (raised.value.line, raised.value.what) == (line, what)


def test_a_voice_that_is_shorter_than_the_others_is_said() -> None:
    score = tune("V:1", "c4|d4|]", "V:2", "C,4|G,,3|]")
    assert said(score) == ["C3 0 4, C5 0 4", "G2 0 3, D5 0 4"]
    assert [line.split(";")[0] for line in score.warnings] == ["bar 2: a voice is shorter than the others"]


def test_bars_of_rest_are_as_long_as_the_metre_of_the_others() -> None:
    score = tune("V:1", "c4|[M:3/4]c3|c3|]", "V:2", "Z3|]")
    assert ([score.quarters(bar.length) for bar in score.bars], score.warnings) == ([4, 3, 3], ())


def test_free_metre_is_as_long_as_each_bar() -> None:
    assert [bar.metre.name for bar in tune("c4|c7|c3|]", metre="none").bars] == ["4/4", "7/4", "3/4"]


def test_who_wrote_a_tune_down_is_no_right(tmp_path: Path) -> None:
    path = tmp_path / "air.abc"
    path.write_text("X:1\nT:Air\nC:Nobody\nZ:A. Scribe\nZ:abc-copyright (c) Somebody\nK:C\nC4|]\n", encoding="utf-8")
    source = open_source(path)
    assert rights_of(source) == ("(c) Somebody",)
    assert '<creator type="transcriber">A. Scribe</creator>' in source.text
    assert read_score(source).composer == "Nobody"


@pytest.mark.parametrize("ending", ["[1" + "9" * 5000, "[1-" + "9" * 5000, "|1" + "9" * 5000])
def test_an_ending_for_no_time_that_anything_is_played_is_none(ending: str) -> None:
    score = read(f"X:1\nM:4/4\nL:1/4\nK:C\n|:CDEF|{ending} GABc:|\n", ".abc")
    assert [note.pitch.name for note in score.notes] == ["C4", "D4", "E4", "F4", "G4", "A4", "B4", "C5"]
