"""What stands around the notes: accidentals, clefs, graces, ornaments, rolled chords, upbeats, repeats, tempo."""

from __future__ import annotations

from dataclasses import replace
from xml.etree import ElementTree

from sitegen.notation import write_stage
from sitegen.score import Clef, Score, Tempo
from tests.notation import score_of
from tests.writing.reading_back import WrittenBar, accidentals, read_bars, spelled, stage_of


def _text(score: Score) -> str:
    return write_stage(score, stage_of(score))


def _signs(right: str, key: int = 0) -> str:
    return accidentals(_text(score_of(right=right, key=key)))


def test_accidental_holds_to_the_bar_line() -> None:
    assert _signs("F#4h F#4h | F#4w") == "F#4 sharp, F#4 | F#4 sharp"


def test_accidental_of_one_voice_holds_in_the_other() -> None:
    assert _signs("F#5h G5h ; A4h F#5h") == "F#5 sharp, A4, G5, F#5"
    assert _signs("F#5h G5h ; A4h F5h") == "F#5 sharp, A4, G5, F5 natural"


def test_accidental_counts_for_its_own_octave_only() -> None:
    assert _signs("F#4h F#5h") == "F#4 sharp, F#5 sharp"


def test_key_signature_needs_no_accidental() -> None:
    assert _signs("F#4h C#5h", key=2) == "F#4, C#5"
    assert _signs("F4h F#4h", key=2) == "F4 natural, F#4 sharp"


def test_note_tied_over_the_bar_line_needs_no_accidental_and_sets_none() -> None:
    assert _signs("rh. F#4q~ F#4q F#4h.") == "F#4 sharp | F#4, F#4 sharp"


def test_bar_after_an_accidental_takes_it_back() -> None:
    assert _signs("F#4w F4w F4w") == "F#4 sharp | F4 natural | F4"


def test_double_signs_are_written_out() -> None:
    assert _signs("F##4h Bbb4h") == "F##4 double-sharp, Bbb4 flat-flat"


def test_left_hand_in_the_treble_gets_its_clef_when_it_stays_there() -> None:
    score = score_of(right="C6w C6w C6w", left="C3w C6+E6w C6+E6w")
    assert _clefs(score, 2) == [["F"], ["G"], []]


def test_clef_of_the_score_is_kept() -> None:
    score = score_of(right="C5w C3w", left="C3w C3w")
    score = replace(score, clefs=(Clef(1, 0, "G", 2), Clef(1, score.bars[1].onset, "F", 4)))
    assert _clefs(score, 1) == [["G"], ["F"]]


def test_grace_stands_before_its_note_and_takes_no_time() -> None:
    assert spelled(_text(score_of(right="C5h D5g E5h"))) == "C5h D5g E5h"


def test_two_graces_keep_their_order() -> None:
    assert spelled(_text(score_of(right="D5g C5g E5w"))) == "D5g C5g E5w"


def test_graces_that_follow_each_other_are_under_one_beam_and_a_single_one_has_its_stroke() -> None:
    graces = [
        e
        for e in _bars(score_of(right="D5g C5h E5g D5g E5g C5h"))[0].element.iter("note")
        if e.find("grace") is not None
    ]
    assert [(e.findtext("type"), e.findtext("beam"), e.find("grace").get("slash")) for e in graces] == [  # type: ignore[union-attr]
        ("eighth", None, "yes"), ("16th", "begin", "no"), ("16th", "continue", "no"), ("16th", "end", "no"),
    ]  # fmt: skip


def test_graces_stay_together_in_the_voice_of_their_note() -> None:
    """The first lies nearer to the lower voice, which it does not belong to."""
    text = _text(score_of(right="G5g A5g B5h A5h ; E5h F5h"))
    graces = [e for e in read_bars(text)[0].events if e.grace]
    assert {e.voice for e in graces} == {"1"}


def test_graces_struck_together_are_one_chord() -> None:
    score = score_of(right="D5+F5g C5w")
    assert spelled(_text(score)) == "D5+F5g C5w"


def test_grace_at_the_end_of_a_bar_stays_in_it() -> None:
    score = score_of(right="C5w D5g E5w")
    notes = tuple(replace(n, bar=0) if n.grace else n for n in score.notes)
    assert spelled(_text(score)) == "C5w | D5g E5w"
    assert spelled(_text(replace(score, notes=notes))) == "C5w D5g | E5w"


def test_grace_in_a_silent_bar_is_not_lost() -> None:
    assert spelled(_text(score_of(right="C5w D5g", left="C3w C3w"))) == "C5w | D5g r?"


def test_ornaments_stand_at_the_first_of_tied_notes() -> None:
    assert spelled(_text(score_of(right="C5h. D5h!trill E5h."))) == "C5h. D5q~!trill-mark | D5q E5h."


def test_rolled_chord_is_marked_once() -> None:
    assert spelled(_text(score_of(right="C4+E4+G4h.!arp C5h F5h."))) == "C4+E4+G4h.!arp C5q~ | C5q F5h."


def test_upbeat_is_a_bar_without_a_count() -> None:
    score = score_of(right="G4q | C5w")
    bars = _bars(score)
    assert [(b.number, b.element.get("implicit")) for b in bars] == [("0", "yes"), ("1", None)]
    assert spelled(_text(score)) == "G4q | C5w"


def test_quavers_of_an_upbeat_are_beamed_as_the_end_of_a_bar() -> None:
    assert [e.beams for e in _bars(score_of(right="G4e A4e | C5w"))[0].events] == [("begin",), ("end",)]


def test_repeats_and_endings_are_written() -> None:
    score = score_of(right="C5w D5w E5w F5w")
    first, second, third, last = score.bars
    score = replace(
        score,
        bars=(
            replace(first, repeat_start=True),
            replace(second, endings=(1,), repeat_end=True),
            replace(third, endings=(2,)),
            last,
        ),
    )
    bars = _bars(score)
    repeats = [[e.get("direction") for e in b.element.iter("repeat")] for b in bars]
    endings = [[(e.get("number"), e.get("type")) for e in b.element.iter("ending")] for b in bars]
    assert repeats == [["forward"], ["backward"], [], []]
    assert endings == [[], [("1", "start"), ("1", "stop")], [("2", "start"), ("2", "stop")], []]


def test_tempo_has_its_word_and_counts_the_felt_beat() -> None:
    score = replace(score_of(right="C5q. D5q.", metre="6/8"), tempi=(Tempo(0, 90.0, "Andante"),))
    root = ElementTree.fromstring(_text(score))
    metronome = root.find(".//metronome")
    assert root.findtext(".//direction-type/words") == "Andante"
    assert metronome is not None
    assert (metronome.findtext("beat-unit"), metronome.find("beat-unit-dot") is not None) == ("quarter", True)
    assert metronome.findtext("per-minute") == "60"


def test_last_bar_ends_with_a_final_bar_line() -> None:
    assert _bars(score_of(right="C5w D5w"))[-1].element.findtext("barline/bar-style") == "light-heavy"


def test_stage_and_piece_are_named_and_no_composer_is_made_up() -> None:
    score = replace(score_of(right="C5w"), title="A dance")
    root = ElementTree.fromstring(_text(score))
    assert (root.findtext("work/work-title"), root.findtext("movement-title")) == ("A dance", "All")
    assert root.find(".//creator") is None
    assert ElementTree.fromstring(_text(replace(score, composer="A. B."))).findtext(".//creator") == "A. B."


def test_same_stage_gives_the_same_text_again() -> None:
    score = score_of(right="C5h. D5h!trill E5h. ; rh E4h", left="C3+G3w C3w")
    assert _text(score) == _text(score)


def test_tempo_is_said_once_and_announced_by_its_figure_alone() -> None:
    tempi = (Tempo(0, 33.0, "Slow M.M."), Tempo(0, 33.0), Tempo(16, 33.0), Tempo(32, 40.0))
    text = _text(replace(score_of(right="C5w D5w E5w"), tempi=tempi))
    root = ElementTree.fromstring(text)
    assert [e.text for e in root.iter("words")] == ["Slow"]
    assert [e.text for e in root.iter("per-minute")] == ["33", "40"]


def test_figure_without_a_word_for_less_than_a_bar_only_sounds() -> None:
    tempi = (Tempo(0, 80.0, "Slow", 80.0), Tempo(16, 70.0), Tempo(24, 60.0), Tempo(32, 80.0))
    root = ElementTree.fromstring(_text(replace(score_of(right="C5w D5w E5w"), tempi=tempi)))
    assert [e.text for e in root.iter("per-minute")] == ["80", "80"]
    assert [e.get("tempo") for e in root.iter("sound")] == ["80", "70", "60", "80"]


def test_figure_that_is_not_printed_only_sounds() -> None:
    def said(mark: Tempo) -> tuple[str | None, str | None, list[str | None]]:
        root = ElementTree.fromstring(_text(replace(score_of(right="C5w"), tempi=(mark,))))
        sounds = [e.get("tempo") for e in root.iter("sound")]
        return root.findtext(".//words"), root.findtext(".//per-minute"), sounds

    assert said(Tempo(0, 120.0, "Allegretto", 0.0)) == ("Allegretto", None, ["120"])
    assert said(Tempo(0, 45.0, "Andante", 63.0)) == ("Andante", "63", ["45"])
    assert said(Tempo(0, 50.0, "", 0.0)) == (None, None, ["50"])


def test_clef_changes_inside_a_bar_where_the_score_has_it_and_no_clef_fits_all() -> None:
    score = score_of(right="C5w C5w", left="C2h C6h C2h C5h")
    score = replace(score, clefs=(Clef(2, 0, "F", 4), Clef(2, 8, "G", 2), Clef(2, 16, "F", 4), Clef(2, 24, "G", 2)))
    assert _clefs(score, 2) == [["F", "G"], ["F", "G"]]


def test_clef_changes_after_a_rest_where_no_clef_fits_the_whole_bar() -> None:
    score = score_of(right="C5w C5w C5w", left="C3w | D3e C3 D3 G2 C4q re G5 | C5w")
    assert _clefs(score, 2) == [["F"], ["G"], []]
    (bar,) = [bar for bar in _bars(score) if bar.element.get("number") == "2"]
    left = [e for e in bar.element if e.tag == "attributes" or e.findtext("staff") == "2"]
    order = [e.findtext("clef/sign") or e.findtext("pitch/step") or "r" for e in left]
    assert order == ["D", "C", "D", "G", "C", "r", "G", "G"]


def test_clef_that_begins_inside_a_bar_is_not_put_before_it() -> None:
    score = score_of(right="C5w", left="C2h C6h")
    score = replace(score, clefs=(Clef(2, 0, "F", 4), Clef(2, 8, "G", 2)))
    (bar,) = _bars(score)
    order = [
        e.findtext("clef/sign") or e.findtext("pitch/step") for e in bar.element if e.tag in ("attributes", "note")
    ]
    assert order == ["G", "C", "C", "G", "C"]


def test_clef_of_the_score_is_not_taken_for_notes_that_lie_well_without_it() -> None:
    """The score changes to the treble for a figure that this stage leaves out."""
    score = score_of(right="C5w C5w C5w", left="C3w C4w D4w")
    score = replace(score, clefs=(Clef(2, 0, "F", 4), Clef(2, 16, "G", 2), Clef(2, 32, "F", 4)))
    assert _clefs(score, 2) == [["F"], [], []]


def test_notes_that_the_other_hand_takes_are_marked_once_for_bars_that_follow_each_other() -> None:
    score = score_of(right="rw rw rw rw rw", left="E4w E4w C3w E4w C3w")
    moved = tuple(replace(n, staff=1, moved=True) if n.pitch.name == "E4" else n for n in stage_of(score).notes)
    text = write_stage(score, replace(stage_of(score), notes=moved))
    assert [[e.text for e in b.element.iter("words")] for b in read_bars(text)] == [["m.d."], [], [], ["m.d."], []]
    taken = tuple(replace(n, staff=2, moved=True) for n in stage_of(score_of(right="E4w", left="rw")).notes)
    score = score_of(right="E4w", left="rw")
    text = write_stage(score, replace(stage_of(score), notes=taken))
    assert [e.text for e in ElementTree.fromstring(text).iter("words")] == ["m.s."]


def test_small_notes_and_notes_in_another_octave_are_small() -> None:
    score = score_of(right="C5h D5h", left="C3w")
    small, large, bass = stage_of(score).notes[1], stage_of(score).notes[2], stage_of(score).notes[0]
    raised = replace(bass, pitch=replace(bass.pitch, octave=4), moved=True)
    text = write_stage(score, replace(stage_of(score), notes=(replace(small, small=True), large, raised)))
    sizes = {e.findtext("pitch/step"): e.find("type").get("size") for e in ElementTree.fromstring(text).iter("note")}  # type: ignore[union-attr]
    assert sizes in ({"C": "cue", "D": None},)


def _bars(score: Score) -> list[WrittenBar]:
    return read_bars(_text(score))


def _clefs(score: Score, staff: int) -> list[list[str | None]]:
    """The clefs written in each bar of a staff; a clef that names no staff is the first's."""
    return [
        [e.findtext("sign") for e in bar.element.iterfind("attributes/clef") if e.get("number", "1") == str(staff)]
        for bar in _bars(score)
    ]


def test_clef_does_not_change_for_a_chord_nor_for_a_bar() -> None:
    score = score_of(right="C5w C5w C5w", left="C3w C4h G4+B4h C3w")
    assert _clefs(score, 2) == [["F"], [], []]
    longer = score_of(right="C5w C5w C5w C5w", left="C3w G4+B4w G4+B4w C3w")
    assert _clefs(longer, 2) == [["F"], ["G"], [], ["F"]]
    high = score_of(right="C5w C5w C5w", left="C3w C6w C3w")
    assert _clefs(high, 2) == [["F"], ["G"], ["F"]]


def test_clef_changes_for_a_bar_where_the_score_has_it() -> None:
    score = score_of(right="C5w C5w C5w", left="C3w G4+B4w C3w")
    score = replace(score, clefs=(Clef(2, 0, "F", 4), Clef(2, 16, "G", 2), Clef(2, 32, "F", 4)))
    assert _clefs(score, 2) == [["F"], ["G"], ["F"]]


def test_fourth_ledger_line_is_not_written_in_a_bar_where_the_score_has_the_other_clef() -> None:
    for left, clefs in (("C3w Bb4w C3w", [["F"], ["G"], ["F"]]), ("C3w G4w C3w", [["F"], [], []])):
        score = score_of(right="C5w C5w C5w", left=left)
        assert _clefs(score, 2) == [["F"], [], []]
        own = (Clef(2, 0, "F", 4), Clef(2, 8, "G", 2), Clef(2, 40, "F", 4))
        assert _clefs(replace(score, clefs=own), 2) == clefs


def test_notes_under_an_octave_sign_need_no_other_clef() -> None:
    score = score_of(right="*8va C8w D8w *loco E5w", left="C3w C3w C3w")
    assert _clefs(score, 1) == [["G"], [], []]
    low = score_of(right="C5w C5w", left="*8va C5w D5w *loco")
    assert _clefs(low, 2) == [["F"], []]
