"""Which signs stay in a stage and where they then stand, read back from what is written."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from pathlib import Path
from tempfile import TemporaryDirectory
from xml.etree import ElementTree

import pytest
import verovio

from sitegen.notation import write_stage
from sitegen.notation.phrasing import RULES
from sitegen.reduction.nouns import Stage
from sitegen.score import Placement, Score, Sign, Slur, read_score
from tests.notation import score_of
from tests.score.test_phrasing import marks, signs, slurs
from tests.writing.reading_back import faults_in_bars, spelled, stage_of


def _reread(text: str) -> Score:
    with TemporaryDirectory() as folder:
        path = Path(folder) / "stage.musicxml"
        path.write_text(text, encoding="utf-8")
        return read_score(path)


def left(score: Score, keep: str) -> Stage:
    """The stage that keeps the notes with these ids. ``C5<D5,E5`` takes over the time of the other two; ``C5:2``
    sounds with the second staff."""
    whole = {n.id: n for n in stage_of(score).notes}
    notes = []
    for word in keep.split():
        name, _, staff = word.partition(":")
        first, _, heirs = name.partition("<")
        sources = (first, *(heir for heir in heirs.split(",") if heir))
        onset = min(whole[source].onset for source in sources)
        end = max(whole[source].end for source in sources)
        note = replace(whole[first], onset=onset, duration=end - onset, sources=sources)
        notes.append(replace(note, staff=int(staff), moved=True, voice=0) if staff else note)
    return replace(stage_of(score), notes=tuple(sorted(notes, key=lambda n: (n.onset, not n.grace))))


def written(score: Score, keep: str | None = None) -> Score:
    """What the stage that keeps these notes (all, if none are named) reads as."""
    text = write_stage(score, stage_of(score) if keep is None else left(score, keep))
    assert faults_in_bars(text, score) == []
    return _reread(text)


def test_every_sign_has_its_row() -> None:
    assert [rule.sign for rule in RULES] == [
        "slur", "dynamic", "words", "hairpin", "articulation", "fermata", "fingering", "pedal", "octave",
    ]  # fmt: skip


def test_all_signs_come_back_where_all_notes_stay() -> None:
    score = score_of(
        right="*p C5q( D5q) *< E5q!accent!3 F5q *. | *f *8va G6h^ *dolce A6h *loco", left="*ped C3h G3h *up | C3w"
    )
    back = written(score)
    assert signs(back) == signs(score)
    assert marks(back) == marks(score)
    assert slurs(back) == slurs(score)


# slurs


def test_slur_goes_from_the_first_to_the_last_note_left() -> None:
    score = score_of(right="C5q( D5 E5 F5)")
    assert slurs(written(score, "C5 E5<F5")) == ["C5-E5"]
    assert slurs(written(score, "D5 E5 F5")) == ["D5-F5"]


def test_slur_whose_notes_are_merged_into_one_goes() -> None:
    score = score_of(right="D5q( C5q) E5h")
    assert slurs(written(score, "C5<D5 E5")) == []


def test_slur_over_a_chord_stays_with_what_is_left_of_it() -> None:
    score = score_of(right="C5+E5h( D5+F5h)")
    score = replace(score, slurs=(Slur("C5", "D5", 0, 8),))
    assert slurs(written(score, "E5 F5")) == ["E5-F5"]


def test_slurs_within_a_slur_and_across_bars_stay_apart() -> None:
    score = score_of(right="C5h( D5q( E5q) | F5q( G5q) A5h)")
    assert sorted(slurs(written(score))) == ["C5-A5", "D5-E5", "F5-G5"]


def test_slur_of_a_grace_to_its_note() -> None:
    score = score_of(right="D5g( C5h) E5h")
    assert slurs(written(score)) == ["D5-C5"]
    assert slurs(written(score, "C5 E5")) == []


def test_slur_ends_at_the_last_of_tied_heads() -> None:
    score = score_of(right="C5h( D5h~ | D5w)")
    back = written(score)
    assert back.quarters(back.slurs[0].end) == 4


def test_slur_across_the_staves() -> None:
    score = score_of(right="rh C5h", left="C3h rh")
    score = replace(score, slurs=(Slur("C3", "C5", 0, 8),))
    assert slurs(written(score)) == ["C3-C5"]


def test_of_two_voices_the_upper_has_its_slur_above_and_the_lower_below() -> None:
    score = score_of(right="E5h( F5h) ; C5h( D5h)")
    back = written(score)
    notes = {n.id: n.pitch.name for n in back.notes}
    assert {notes[s.first]: s.placement for s in back.slurs} == {"E5": "above", "C5": "below"}


@pytest.mark.parametrize(("side", "ends"), [("above", ["G3-A3"]), ("below", ["C3-D3"]), ("", ["G3-A3"])])
def test_slur_meets_the_outermost_note_of_a_chord_on_its_side(side: Placement, ends: list[str]) -> None:
    score = score_of(left="C3+E3+G3h D3+F3+A3h")
    score = replace(score, slurs=(Slur("C3", "F3", 0, 8, side),))
    assert slurs(written(score)) == ends


def test_slur_with_a_side_belongs_to_the_whole_chord_whichever_note_it_is_put_at() -> None:
    score = score_of(right="C4+C5h E4+E5h")
    above = replace(score, slurs=(Slur("C4", "E4", 0, 8, "above"),))
    assert slurs(written(above, "C5 E5")) == ["C5-E5"]
    two = replace(score_of(right="C4+C5h E4+E5h ; G4h B4h"), slurs=above.slurs)
    back = written(two)
    assert (slurs(back), back.slurs[0].placement) == (["C5-E5"], "above")


def test_slur_from_lowest_to_lowest_note_of_chords_lies_under_them() -> None:
    score = score_of(left="C3+E3+G3h D3+F3+A3h")
    back = written(replace(score, slurs=(Slur("C3", "D3", 0, 8),)))
    assert (slurs(back), back.slurs[0].placement) == (["C3-D3"], "below")


def test_note_in_unison_with_one_that_is_left_is_left_too() -> None:
    score = score_of(right="C5h( D5h) ; C5w")
    back = written(score, "C5.2 D5")
    assert len(back.slurs) == 1


# dynamics, words, hairpins


def test_words_about_the_hand_go_with_the_note_that_they_stand_beside() -> None:
    score = score_of(right="C5+E5+G5w", left="C3w")
    score = replace(score, signs=(Sign("words", 1, 0, 0, "m.g.", "below"),))
    assert signs(written(score, "C5 C3")) == ["words m.g. 1: 0"]
    assert signs(written(score, "G5 C3")) == []


def test_dynamic_moves_to_the_next_note_of_its_beat() -> None:
    score = score_of(right="*sf C5e D5e E5q F5h")
    assert signs(written(score, "D5 E5 F5")) == ["dynamic sf 1: 1/2"]


def test_blow_on_a_note_that_is_gone_goes_and_a_level_waits() -> None:
    score = score_of(right="C5q *{} D5q E5q F5q *p G5w")
    for said, stays in (("sf", ["dynamic p 1: 4"]), ("f", ["dynamic f 1: 3", "dynamic p 1: 4"])):
        told = replace(score, signs=tuple(replace(s, kind="dynamic", text=said) if s.text == "{}" else s
                                          for s in score.signs))  # fmt: skip
        assert signs(written(told, "C5 F5 G5")) == stays


def test_level_that_nothing_is_played_in_goes() -> None:
    score = score_of(right="C5q *f D5q *p E5h")
    assert signs(written(score, "C5 E5")) == ["dynamic p 1: 2"]


def test_sign_between_the_staves_goes_with_the_hand_that_plays() -> None:
    score = score_of(right="*p C5h *< D5h *. | E5w", left="C3h D3h | E3w")
    back = written(score, "C3 D3 E3")
    assert signs(back) == ["dynamic p 2: 0", "hairpin crescendo 2: 2 4"]
    assert {s.placement for s in back.signs} == {"above"}


def test_sign_of_the_left_hand_alone_goes_with_it() -> None:
    score = score_of(right="C5w", left="C3w")
    score = replace(score, signs=(Sign("dynamic", 2, 0, 0, "f", "below"),))
    assert signs(written(score, "C5")) == []
    assert signs(written(score, "C3")) == ["dynamic f 2: 0"]


def test_hairpin_needs_two_notes() -> None:
    score = score_of(right="*< C5q D5q E5q *. F5q | G5w")
    assert signs(written(score, "C5 E5 F5 G5")) == ["hairpin crescendo 1: 0 3"]
    assert signs(written(score, "C5<D5,E5,F5 G5")) == []
    held = score_of(right="C5q *> D5h. *. | E5w")
    assert signs(written(held)) == ["hairpin diminuendo 1: 1 4"], "as the score itself has it"


def test_words_stand_where_something_sounds() -> None:
    score = score_of(right="C5q *dolce D5q E5h")
    assert signs(written(score, "C5<D5 E5")) == ["words dolce 1: 1"]
    assert signs(written(score, "C5 E5")) == []


def test_word_for_a_hand_goes_with_its_note() -> None:
    score = score_of(right="C5q *m.d. D5q E5h")
    assert signs(written(score, "C5<D5 E5")) == []
    assert signs(written(score)) == ["words m.d. 1: 1"]


# articulation, fermata, fingering


def test_staccato_stays_at_a_note_that_fills_its_beat_and_goes_from_one_held_longer() -> None:
    score = score_of(right="C5e!accent!staccato re D5q E5h")
    assert marks(written(score, "C5<C5 D5 E5")) == ["C5 accent staccato"]
    filled = replace(left(score, "C5 D5 E5"), notes=tuple(
        replace(n, duration=4) if n.id == "C5" else n for n in left(score, "C5 D5 E5").notes
    ))  # fmt: skip
    assert marks(_reread(write_stage(score, filled))) == ["C5 accent staccato"], "an eighth that fills its beat"
    assert marks(written(score, "C5<D5 E5")) == ["C5 accent"], "held for two beats"


def test_staccato_bass_of_a_waltz_has_no_dot_where_it_is_held() -> None:
    score = score_of(right="rq E4+G4q E4+G4q", left="C3q!staccato rh", metre="3/4")
    bass = tuple(replace(n, duration=12) for n in left(score, "C3").notes)
    assert marks(_reread(write_stage(score, replace(stage_of(score), notes=bass)))) == []
    assert marks(written(score, "C3")) == ["C3 staccato"]


def test_staccato_of_a_long_note_stays_where_it_is_as_long_as_written() -> None:
    score = score_of(right="C5h!staccato D5h!staccato")
    assert marks(written(score)) == ["C5 staccato", "D5 staccato"]


def test_in_compound_time_the_beat_is_a_dotted_note() -> None:
    score = score_of(right="C5e!staccato D5e E5e F5q.", metre="6/8")
    assert marks(written(score, "C5<D5,E5 F5")) == ["C5 staccato"]
    assert marks(written(score, "C5<D5,E5,F5")) == []


def test_articulation_of_a_note_that_is_struck_earlier_goes() -> None:
    score = score_of(right="D5q C5q!accent E5h")
    assert marks(written(score, "C5<D5 E5")) == []


def test_fermata_goes_to_the_note_that_has_the_time_and_holds_for_all_hands() -> None:
    score = score_of(right="C5h D5q E5q^ | F5w", left="C3w | F3w")
    assert marks(written(score, "C5 D5<E5 F5")) == ["D5 fermata"]
    assert marks(written(score, "C3 F3")) == ["C3 fermata"]


def test_fermata_on_a_tied_note_is_not_at_what_ends_before_its_last_head() -> None:
    score = score_of("C5h D5h~^ | D5w^", "C3w | C3w^")
    stage = left(score, "C5<D5 C3 C3.2")
    notes = tuple(replace(n, duration=score.bars[1].onset) if n.sources[0] == "C5" else n for n in stage.notes)
    assert marks(_reread(write_stage(score, replace(stage, notes=notes)))) == ["C3 fermata"]


def test_fermata_over_a_rest_stays_at_the_rest() -> None:
    score = score_of(right="C5h rh | D5w")
    score = replace(score, signs=(Sign("fermata", 1, 8, 8),))
    assert signs(written(score)) == ["fermata  1: 2"]


def test_fermata_is_at_the_last_of_tied_heads() -> None:
    text = write_stage(score := score_of(right="C5w~ | C5w^"), stage_of(score))
    notes = list(ElementTree.fromstring(text).iter("note"))
    assert [n.find("notations/fermata") is not None for n in notes] == [False, True]


def test_fingering_stays_where_the_hand_lies_as_it_did() -> None:
    score = score_of(right="C5q!1 D5q!2 E5q!3 F5q!4 | G5w!5")
    assert marks(written(score)) == ["C5 1", "D5 2", "E5 3", "F5 4", "G5 5"]
    assert marks(written(score, "C5 D5 E5<F5 G5")) == ["C5 1", "D5 2"]
    chord = score_of(right="C5+E5h!1 D5h")
    assert marks(written(chord, "C5 E5")) == ["C5 1", "E5 1"]
    assert marks(written(chord, "E5 D5")) == []


# pedal, octave signs, metre


def test_pedal_stays_with_its_bass() -> None:
    score = score_of(right="C5w", left="*ped C3q G3q E3h *up")
    assert signs(written(score, "C5 C3<G3,E3")) == ["pedal  2: 0 4"]
    assert signs(written(score, "C5 G3 E3")) == []
    assert signs(written(score, "C5")) == []


def test_octave_sign_covers_what_is_left_under_it() -> None:
    score = score_of(right="C5q *8va D6q E6q F6q *loco | G5w")
    assert signs(written(score, "C5 E6 F6 G5")) == ["octave 1 1: 2 4"]
    assert signs(written(score, "C5 G5")) == []


def _octaves(score: Score) -> list[str]:
    return [sign for sign in signs(score) if sign.startswith("octave")]


def test_octave_sign_stays_over_a_note_of_the_other_hand_that_lies_as_high() -> None:
    score = score_of(right="*8va C6q D6 E6 F6 *loco | E5w", left="C4h rq D6q | E4w")
    assert _octaves(written(score, "C6 D6 E6 F6 E5 D6.2:1 E4")) == ["octave 1 1: 0 4"]


def test_octave_sign_stops_before_a_low_note_of_the_other_hand() -> None:
    """Under it, that would be moved away from the staff."""
    score = score_of(right="*8va C6q D6 E6 F6 *loco | E5w", left="C4h rq D4q | E4w")
    assert _octaves(written(score, "C6 D6 E6 F6 E5 D4:1 E4")) == ["octave 1 1: 0 3"]
    assert _octaves(written(score, "C6 D6 E6 F6 E5 C4:1 E4")) == ["octave 1 1: 1 4"]
    short = score_of(right="*8va C6h D6h *loco | E5w", left="C4h D4h | E4w")
    assert _octaves(written(short, "C6 D6 E5 D4:1 E4")) == [], "for a single note of several none is set"


def test_octave_signs_of_two_voices_are_one() -> None:
    score = score_of(right="*8va C7h D7h *loco | E5w ; C6w")
    second = replace(score.signs[0], onset=8, end=20)
    score = replace(score, signs=(*score.signs, second))
    assert signs(written(score)) == ["octave 1 1: 0 5"]


def _under(text: str) -> list[str]:
    """What stands between the ends of octave signs in the file."""
    under: list[str] = []
    inside = False
    for element in ElementTree.fromstring(text).iter():
        if element.tag == "octave-shift":
            inside = element.get("type") != "stop"
        elif element.tag == "note" and inside and element.find("pitch") is not None:
            under.append(f"{element.findtext('pitch/step')}{element.findtext('pitch/octave')}")
    return under


def _drawn_lower(text: str) -> list[str]:
    """The notes that verovio draws an octave lower than they sound, as they sound."""
    toolkit = verovio.toolkit()
    toolkit.setOptions({"inputFrom": "xml"})
    assert toolkit.loadData(text)
    root = ElementTree.fromstring(toolkit.getMEI())
    notes = (e for e in root.iter() if e.tag.endswith("}note") and e.get("oct.ges"))
    lower = [e for e in notes if int(e.get("oct.ges", "")) == int(e.get("oct", "")) + 1]
    return sorted(f"{e.get('pname', '').upper()}{e.get('oct.ges')}" for e in lower)


@pytest.mark.parametrize(
    ("right", "under"),
    [
        ("*8va C7h D7h *loco E5w ; C6w C5w", ["C7", "C6", "D7"]),
        ("*8va C7h *loco D5h ; C6h E5h", ["C7", "C6"]),
        ("C5h *8va C7e D7 E7 F7 *loco | D5w ; E4h. C6q | C5w", ["C7", "D7", "E7", "C6", "F7"]),
        ("C5h *8va C7q D7q | A7h *loco D5h ; E4w | C6q D6 E5h", ["C7", "D7", "A7", "C6", "D6"]),
        ("C5+E5h *8va C7+E7h | D7+F7h *loco D5+F5h ; C5w | C6+E6h C5h", ["C7", "E7", "D7", "F7", "C6", "E6"]),
        ("C5e3 *8va C7e3 D7 *loco E5q F5h ; C4e3 D4 E4 rq F4h", ["C7", "D4", "D7", "E4"]),
    ],
)  # fmt: skip
def test_octave_sign_holds_for_all_voices_under_it_and_for_no_other_note(right: str, under: list[str]) -> None:
    """Programs take it to hold for all that comes between its ends in the file."""
    text = write_stage(score := score_of(right=right), stage_of(score))
    assert _under(text) == under
    assert _drawn_lower(text) == sorted(under)
    assert faults_in_bars(text, score) == []
    assert _octaves(_reread(text)) == signs(score)


@pytest.mark.parametrize("symbol", ["common", "cut"])
def test_common_and_cut_time_are_printed_as_in_the_score(symbol: str) -> None:
    score = score_of(right="C5w D5w", metre="4/4" if symbol == "common" else "2/2")
    bars = tuple(replace(b, metre=replace(b.metre, symbol=symbol)) for b in score.bars)
    text = write_stage(replace(score, bars=bars), stage_of(score))
    assert [e.get("symbol") for e in ElementTree.fromstring(text).iter("time")] == [symbol]


def test_signs_change_no_note() -> None:
    scores = score_of(right="C5q D5q E5h"), score_of(right="*p C5q( D5q) *< E5h^!accent *.")
    plain, signed = (spelled(write_stage(score, stage_of(score))) for score in scores)
    assert plain == signed


def _names(elements: Iterable[ElementTree.Element]) -> list[str]:
    return [e.tag for e in elements]


def test_what_stands_at_a_note_comes_in_the_order_that_programs_expect() -> None:
    text = write_stage(score := score_of(right="C5h(^!trill!accent!2 D5h)"), stage_of(score))
    notations = ElementTree.fromstring(text).find(".//notations")
    assert notations is not None
    assert _names(notations) == ["slur", "ornaments", "technical", "articulations", "fermata"]


def test_slurs_that_are_open_together_in_the_file_have_numbers_of_their_own() -> None:
    """A file is read staff after staff: a slur of the left hand is still open when the next of the right begins."""
    score = score_of(right="C5q( D5q) E5q( F5q) | G5w", left="C3h( D3h | E3h) F3h")
    score = replace(score, slurs=(*score.slurs, Slur("F5", "G5", 12, 16)))
    open_now: dict[str, bool] = {}
    for element in ElementTree.fromstring(write_stage(score, stage_of(score))).iter("slur"):
        number, starts = element.get("number", ""), element.get("type") == "start"
        assert open_now.get(number, False) is not starts
        open_now[number] = starts
    assert sorted(slurs(written(score))) == ["C3-E3", "C5-D5", "E5-F5", "F5-G5"]
