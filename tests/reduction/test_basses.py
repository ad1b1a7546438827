"""The bass line: what sounds lowest where something begins."""

from __future__ import annotations

from dataclasses import replace

from sitegen.analysis.analysing import analyse
from sitegen.analysis.nouns import Counterpoint
from sitegen.reduction import build_ladder
from sitegen.reduction.material.indexed import gather
from tests.notation import score_of
from tests.reduction.reading import line, material, read, reduced


def bass(left, chords, metre="4/4", key=0, right="", **said):
    bars = left.count("|") + 1
    right = right or " ".join(["E6w" if metre == "4/4" else "E6h."] * bars)
    score = score_of(right=right, left=left, metre=metre, key=key)
    return line(reduced("bass line", material(score, chords, **said)), score, 2)


def test_a_pedal_foreign_to_the_chord_stays_the_bass():
    assert bass("C3w | C3+G3w | C3w", "CEG:4 GBDF/G:4 CEG:4") == "0 C3 4 | 4 C3 4 | 8 C3 4"
    turns = "C3e G3 E3 G3 C3 G3 E3 G3 | C3 G3 F3 G3 C3 G3 F3 G3"
    assert bass(turns, "CEG:4 GBDF/G:4") == "0 C3 4 | 4 C3 4"


def test_a_key_of_two_voices_of_the_left_hand_is_the_lower_staff_s():
    score = score_of(singer="G3h A3", right="G3q. F3e E3h", left="G3q D3 C3h")
    tenor_and_bass = tuple(replace(staff, hand="right" if staff.number == 1 else "left") for staff in score.staves)
    made = material(replace(score, staves=tenor_and_bass), "GBD:2 CEG:2")
    assert line(reduced("bass line", made), score, 3) == "0 G3 2 | 2 C3 2"


def test_after_a_short_rest_the_bass_stands_on_the_beat():
    assert bass("re C3 E3 G3 re C3 E3 G3", "CEG:4") == "0 C3 4"


def test_a_bass_is_held_while_its_figure_runs_on_in_the_other_staff():
    figure = "B3e3 D4 G4 Bb3 E4 G4 A3 D4 F#4 C4 D4 A4"
    score = score_of(right="B4q G5 F#5 D5", left=f"G3e r C#3 r D3 r F#3 r ; {figure}")
    over = {"G4", "F#4", "A4"}
    crossed = replace(score, notes=tuple(replace(n, staff=1) if n.pitch.name in over else n for n in score.notes))
    made = material(crossed, "GBD:1 C#EGBb:1 DF#A:1 DF#AC/F#:1")
    assert line(reduced("bass line", made), score, 2) == "0 G3 1 | 1 C#3 1 | 2 D3 1 | 3 F#3 1"


def test_a_short_note_that_leads_on_is_no_bass():
    assert bass("C3h. re G2e | C3w", "CEG:3 GBD:1 CEG:4") == "0 C3 4 | 4 C3 4"


def test_a_bass_that_stays_through_two_harmonies_is_one_note():
    assert bass("C3h C3h", "CEG:2 FAC/C:2") == "0 C3 4"


def test_a_figure_that_begins_again_on_another_lowest_note_has_a_new_bass():
    assert bass("D3e A3 F#3 A3 C3 A3 F#3 A3", "DF#A/D:2 DF#AC/C:2", key=1) == "0 D3 2 | 2 C3 2"
    assert bass("D3e A3 F#3 A3 C3 A3 F#3 A3", "DF#AC/D:4", key=1) == "0 D3 2 | 2 C3 2"


def test_a_hand_that_comes_late_to_the_bass_of_its_harmony_has_it_there():
    assert bass("rq G3e r A2 r G3 r", "ACEG:4", right="C4q E4 C4 E4") == "1 G3 1 | 2 A2 1"
    # not an octave of the bass that it has, and not where it goes back to that; nor a step of a line
    assert bass("C3h C2h", "CEG:4") == "0 C3 4"
    assert bass("E3q C3 E3 E3", "CEG:4") == "0 E3 4"
    assert bass("C3q B2 A2 G2", "CEG:4") == "0 C3 4"


def test_a_bass_struck_between_the_beats_has_the_beat_that_it_is_held_over():
    said = "FAC/C:3/2 BbDF:1 FACEb/A:3/2"
    assert bass("re C3q Bb2 A2q.", said, key=-2) == "0 C3 2 | 2 Bb2 1 | 3 A2 1"
    # let go of before it has been held for as long on the beat, it has none
    assert bass("C3q. Bb2e. A2s rq.", "CEG:3/2 BbDF:5/2", key=-2) == "0 C3 2"


def test_an_after_beat_is_no_bass_though_the_harmony_changes_under_it():
    waltz = "C3q G3+B3 G3+B3 | C3q E3+G3 E3+G3"
    assert bass(waltz, "CEG:1 GBDF/G:2 CEG:3", "3/4") == "0 C3 3 | 3 C3 3"


def test_at_the_bar_line_a_bass_is_struck_again_unless_it_is_tied():
    assert bass("C3w | C3w~ | C3w", "CEG:12") == "0 C3 4 | 4 C3 8"


def test_a_bass_held_over_the_bar_line_is_there_on_the_downbeat():
    assert bass("rw | C3w~ | C3e. rs rh re. C3s | rw", "CEG:16") == "4 C3 5"
    assert bass("rw | C3w~ | C3e. rs rh. | rw", "CEG:16") == "4 C3 19/4"


def test_a_note_that_is_tune_and_bass_at_once_is_held_in_the_outer_voices_as_the_bass_is():
    score = score_of(right="rh rh", left="C3h~ C3e. re C3e.", metre="2/4")
    stages = {stage.slug: list(stage.notes) for stage in build_ladder(score, analyse(score))}
    assert line(stages["bass-line"], score, 2) == "0 C3 4"
    assert line(stages["outer-voices"], score, 2) == "0 C3 3 | 3 C3 1"


def test_nothing_goes_on_with_a_leaning_note_over_a_bass_that_is_not_here():
    score = score_of(right="rh. rh.", left="rh. rh C2+D2+C3+F3e. G2+B2+E3s", metre="3/4")
    stages = {stage.slug: list(stage.notes) for stage in build_ladder(score, analyse(score))}
    assert "B2" not in line(stages["leaning-notes"], score, 2)
    assert "E3" in line(stages["leaning-notes"], score, 2)


def test_a_new_chord_on_a_weak_beat_has_the_bass_that_is_struck_with_it():
    assert bass("C3q C3 C3 B2", "CEG:3 GBD/B:1") == "0 C3 3 | 3 B2 1"


def test_a_bass_is_let_go_where_its_hand_rests():
    assert bass("C3q rq rh | C3w", "CEG:8") == "0 C3 1 | 4 C3 4"


def test_a_tune_alone_has_no_bass():
    assert bass("rw | C3w", "CEG:8", right="C5q D5 E5 F5 | E5w") == "4 C3 4"


def test_a_tune_that_two_voices_strike_on_one_key_is_no_bass():
    score = score_of(right="C5h G4q A4 ; rh G4q r", left="C4h rh")
    found = reduced("bass line", material(score, "CEG:2 GBD:2"))
    assert (line(found, score, 2), line(found, score)) == ("0 C4 2", "")


def test_what_lies_more_than_an_octave_above_the_bass_of_its_bar_is_no_bass():
    assert bass("C2e G2 E2 G2 C3 G3 E3 G3", "CEG:4") == "0 C2 2 | 2 C3 2"
    assert bass("C2e G2 E2 G2 C#3 A3 E3 A3", "CEG:2 AC#E/C#:2") == "0 C2 4"


def test_a_figure_that_comes_down_from_above_brings_no_bass_of_its_own():
    assert bass("G4e E4 C4 E4 E4 C4 G3 C4", "CEG:4") == "0 G4 4"
    assert bass("C4e E4 G4 E4 G3 C4 E4 C4", "CEG:4") == "0 C4 2 | 2 G3 2"


def test_a_hand_that_comes_in_after_a_rest_over_the_bar_line_brings_a_bass():
    assert bass("C3q r | r G3 | r E3", "CEG:6", "2/4", right="E6h | E6h | E6h") == "0 C3 1 | 3 G3 1 | 5 E3 1"
    assert bass("C3q r r | C3q r G3", "CEG:6", "3/4") == "0 C3 1 | 3 C3 1"


def test_a_bass_under_the_tune_of_its_hand_is_let_go_as_if_alone():
    assert bass("rw", "CEG:4", right="C6q D6 E6 F6 ; C4q r rh") == "0 C4 1m"


def test_in_counterpoint_a_voice_that_comes_in_after_a_rest_brings_the_bass_of_the_next_beat():
    score = score_of(right="G5w | E5h. F5e G5 ; rw | rq re C5e D5 E5 F5 D5", left="rw | G3q r re E4e D4 C4")
    lower = [n.id for n in score.notes if n.staff == 2]
    upper = [[n.id for n in score.notes if n.staff == 1 and n.voice == voice] for voice in (1, 2)]
    plain = read(score, "CEG:8")
    voices = replace(plain, counterpoint=Counterpoint((*map(tuple, upper), tuple(lower)), ()))
    found = [line(reduced("bass line", gather(score, a, 12)), score, 2) for a in (plain, voices)]
    assert found == ["4 G3 1", "4 G3 1 | 7 D4 1"]


def test_the_left_hand_has_a_bass_that_is_printed_far_under_the_tune_or_in_a_voice_of_its_own():
    far = "C6q D6 E6 F6 ; C4h B3h"
    assert bass("rw", "CEG:2 GBD/B:2", right=far) == "0 C4 2m | 2 B3 2m"
    # what the right hand can hold with its tune it holds
    near = score_of(right="C5q D5 B4 B4 ; C4h B3h", left="rw")
    assert line(reduced("bass line", material(near, "CEG:2 GBD/B:2")), near) == "0 C4 2 | 2 B3 2"
    over = replace(near, notes=tuple(replace(n, voice=5) if n.voice == 2 else n for n in near.notes))
    assert line(reduced("bass line", material(over, "CEG:2 GBD/B:2")), over, 2) == "0 C4 2m | 2 B3 2m"


def test_in_counterpoint_the_left_hand_has_the_bass_also_of_two_voices_above():
    score = score_of(right="G5w ; rq re C5e D5 E5 F5 D5", left="rw")
    upper = [tuple(n.id for n in score.notes if n.voice == voice) for voice in (1, 2)]
    analysis = replace(read(score, "CEG:4"), counterpoint=Counterpoint(tuple(upper), ()))
    assert line(reduced("bass line", gather(score, analysis, 12)), score, 2) == "2 D5 2m"


def test_a_run_of_the_right_hand_alone_has_its_bass_until_it_goes_below_that():
    right = "E4+C5q D4+B4 E4+C5h | C5+A5s B4+G5 A4+F5 G4+E5 F4+D5q G4+B4 E4+C5"
    score = score_of(right, "C3w | rw")
    assert line(reduced("bass line", material(score, "CEG:8")), score) == "4 C5 1"


def test_a_bass_from_which_the_hand_rises_after_a_short_rest_has_the_beat():
    assert bass("re G3e B3 G3 A3h", "GBD:2 ACE:2") == "0 G3 2 | 2 A3 2"
    # what leads to the next harmony has none, nor what the hand falls from
    assert bass("re G3e B3 G3 A3h", "DGB:1 BDG:1 ACE:2").startswith("1 B3 ")
    assert not bass("re G3e E3 G3 A3h", "GBE:2 ACE:2").startswith("0")
