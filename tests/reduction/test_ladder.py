"""The ladder as a whole: its order, its ends, what makes one stage of two."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

from sitegen.analysis import analyse
from sitegen.analysis.nouns import Analysis, Texture
from sitegen.analysis.texture.passages import find_passages
from sitegen.reduction import build_ladder, not_rising
from sitegen.reduction.ladder.choosing import Draft, choose
from sitegen.reduction.nouns import StageNote
from sitegen.reduction.techniques.registry import techniques
from sitegen.reduction.techniques.rung_order import ladders
from sitegen.reduction.techniques.rungs import Rung, ladder_of
from sitegen.score import Pitch
from tests.fugue import sonata_with_fugato
from tests.notation import score_of
from tests.reduction.invariants import violations
from tests.reduction.reading import line, read

SONATINA = score_of(
    right="D5g E5q D5e C5 B4q C5 | G5q F5e E5 D5h | C5q E5e G5 F5q D5 | C5w",
    left="C4e G4 E4 G4 D4 G4 E4 G4 | B3 G4 D4 G4 B3 G4 D4 G4 | C4 G4 E4 G4 B3 G4 D4 G4 | C4e G4 E4 G4 C4h",
)
CHORDS = "CEG:4 GBD/B:4 CEG:2 GBD/B:2 CEG:4"
FUNCTIONS = {
    "D5.2": "passing note > C5",
    "F5": "passing note > E5.2",
    "B4": "appoggiatura > C5.2",
    "F5.2": "appoggiatura > D5.4",
}


def sonatina():
    return read(SONATINA, CHORDS, functions=FUNCTIONS, right="melody", left="Alberti bass")


def test_a_melody_over_an_alberti_bass_grows_from_its_bass():
    stages = build_ladder(SONATINA, sonatina())
    assert [stage.title for stage in stages if not stage.side_study] == [
        "Bass line", "Outer voices", "Simple tune over blocked chords", "Complete melody over blocked chords",
        "As written",
    ]  # fmt: skip
    assert [stage.title for stage in stages if stage.side_study] == [
        "Harmonic rhythm", "Complete melody over bass", "Right hand alone", "Left hand alone",
    ]  # fmt: skip
    assert line(stages[0].notes, SONATINA, 2) == "0 C4 2 | 2 D4 2 | 4 B3 4 | 8 C4 2 | 10 B3 2 | 12 C4 4"


def test_leaning_notes_in_many_bars_are_a_stage_of_their_own():
    score = score_of(
        right="D5q C5e B4 F5q E5e D5 | E5q D5e E5 C5q B4e C5 | D5q C5e B4 C5h",
        left="C4e G4 E4 G4 C4 G4 E4 G4 | B3 G4 D4 G4 B3 G4 D4 G4 | C4e G4 E4 G4 C4h",
    )
    found = build_ladder(score, read(score, "CEG:4 GBD/B:4 CEG:4", left="Alberti bass"))
    stages = {stage.title: stage for stage in found if not stage.side_study}
    assert line(stages["Simple tune over blocked chords"].notes, score) == "0 C5 2 | 2 E5 2 | 4 D5 2 | 6 B4 2 | 8 C5 4"
    assert line(stages["Leaning notes"].notes, score) == (
        "0 D5 1 | 1 C5 1 | 2 F5 1 | 3 E5 1 | 4 E5 1 | 5 D5 1 | 6 C5 1 | 7 B4 1 | 8 D5 1 | 9 C5 3"
    )


def test_each_stage_has_more_notes_and_is_more_difficult():
    ladder = [stage for stage in build_ladder(SONATINA, sonatina()) if not stage.side_study]
    assert all(len(one.notes) < len(other.notes) for one, other in pairwise(ladder))
    assert not_rising(ladder) == []


def test_a_ladder_that_does_not_rise_is_named():
    ladder = build_ladder(SONATINA, sonatina())
    turned = (ladder[-1], ladder[0])
    assert not_rising(turned) == [turned]


def test_the_last_stage_has_the_ids_of_the_score():
    last = build_ladder(SONATINA, sonatina())[-1]
    assert last.as_written
    assert [note.id for note in last.notes] == [note.id for note in SONATINA.notes]


def test_building_twice_gives_the_same():
    assert build_ladder(SONATINA, sonatina()) == build_ladder(SONATINA, sonatina())


def test_every_ladder_names_techniques_that_there_are():
    for rungs in ladders().values():
        for rung in rungs:
            assert rung.technique in techniques()
            assert {rung.in_fugato} - {""} <= set(techniques())


def _ladder(right: str, left: str, bars: int = 4) -> str:
    score = score_of(right=" ".join(["C5w"] * bars), left=" ".join(["C3w"] * bars))
    return ladder_of(read(score, f"CEG:{4 * bars}", right=right, left=left).passages, False, False)


def test_textures_choose_the_ladder():
    assert _ladder("melody", "Alberti bass") == "melody"
    assert _ladder("broken chord", "broken chord") == "figuration"
    assert _ladder("broken chord", "melody") == "figuration"
    assert _ladder("silent", "arpeggio") == "figuration"
    assert _ladder("chordal", "octave doubling") == "melody"
    # voices that move are no counterpoint while they share no subject
    assert _ladder("contrapuntal", "contrapuntal") == "melody"
    assert _ladder("scale run", "scale run") == "melody"


def test_a_piece_that_changes_texture_has_one_ladder():
    """Four bars of melody over chords, then four of figures in both hands, which come in as one chord a harmony."""
    figures = "C5s E5 G5 E5 C5 E5 G5 E5 C5 E5 G5 E5 C5 E5 G5 E5"
    score = score_of(
        right=f"E5q D5 C5h | G5q F5 E5h | D5h E5 | C5w | {figures} | {figures} | {figures} | {figures}",
        left="C3+E3+G3w | C3+E3+G3w | C3+E3+G3w | C3+E3+G3w | C3w C3w C3w C3w",
    )
    plain = read(score, "CEG:32")
    middle = score.end // 2
    textures = (
        Texture(1, 0, middle, "melody"),
        Texture(1, middle, score.end - middle, "broken chord"),
        Texture(2, 0, score.end, "chordal"),
    )
    sung = {
        note.id: replace(plain.notes[note.id], line="melody")
        for note in score.notes
        if note.staff == 1 and note.onset < middle
    }
    analysis = Analysis(plain.harmonies, {**plain.notes, **sung}, textures)
    analysis = replace(analysis, passages=find_passages(score, analysis))
    assert [(p.together, p.right, p.left) for p in analysis.passages] == [
        ("over", "melody", "chordal"), ("over", "broken chord", "chordal"),
    ]  # fmt: skip
    stage = next(s for s in build_ladder(score, analysis) if s.title == "Simple tune over blocked chords")
    assert line(stage.notes, score).endswith("12 C5 4 | 16 C5+E5+G5 4 | 20 C5+E5+G5 4 | 24 C5+E5+G5 4 | 28 C5+E5+G5 4")


def test_the_voices_of_a_fugato_in_a_sonata_stay_whole():
    """Bars 9 to 16 are a fugue in three voices; before and after them there is a melody over an Alberti bass."""
    score = sonata_with_fugato()
    analysis = analyse(score)
    fugato = analysis.passages[1]
    stages = {stage.title: stage for stage in build_ladder(score, analysis)}
    complete = stages["Simple tune over blocked chords"]
    inside = {s for note in complete.notes for s in note.sources if fugato.onset <= note.onset < fugato.end}
    highest, middle, lowest = map(set, fugato.counterpoint.voices)
    entries = {note for entry in fugato.counterpoint.entries for note in entry.notes}
    bass = {source for note in stages["Bass line"].notes for source in note.sources}
    assert inside == highest | lowest | (middle & (entries | bass))
    outer = stages["Outer voices"]
    assert highest <= {source for note in outer.notes for source in note.sources}
    assert complete.techniques == ("simple tune over blocked chords", "outer voices complete")
    # and outside it there are blocks as ever
    assert line([n for n in complete.notes if n.onset < score.bars[1].onset], score, 2) == "0 C3+E3+G3 4"
    assert violations(score, analysis, tuple(stages.values())) == []


def test_a_tune_of_one_line_has_a_ladder_without_a_bass():
    score = score_of(right="C5q D5 E5 F5 | G5q F5 E5h | D5q E5 F5 D5 | C5w")
    functions = {"D5": "passing note > E5", "F5": "passing note > G5", "F5.2": "passing note > E5.2"}
    stages = build_ladder(score, read(score, "CEG:4 CEG:4 GBDF:4 CEG:4", functions=functions))
    assert stages[0].title == "Main notes of the melody"
    assert stages[-1].title == "As written"


def _draft(count: int, optional: bool = False, side: bool = False, name: str = "x", **more) -> Draft:
    """One note in each of ``count`` bars of four ticks, on a pitch that no draft of another count has."""
    notes = tuple(StageNote(f"n{k}", 4 * k, 4, Pitch("C", 0, 1 + count % 10), 1, (f"s{k}",)) for k in range(count))
    return Draft(Rung(name, optional, side, **more), (name,), notes, bar_of=lambda tick: tick // 4)


def test_two_stages_that_come_out_the_same_become_one():
    chosen = choose([_draft(4, True, name="a"), _draft(4, name="b"), _draft(8), _draft(9), _draft(12, name="end")])
    assert [draft.rung.technique for draft in chosen] == ["b", "x", "x", "end"]


def test_of_too_many_stages_the_optional_that_adds_least_goes():
    drafts = [_draft(10 * k, k in (3, 6), name=str(k)) for k in range(1, 9)]
    for octave, draft in enumerate(drafts, 1):
        notes = tuple(replace(note, pitch=Pitch("C", 0, octave)) for note in draft.notes)
        drafts[octave - 1] = replace(draft, notes=notes)
    assert [draft.rung.technique for draft in choose(drafts)] == ["1", "2", "3", "4", "5", "7", "8"]


def test_a_side_study_that_is_a_stage_already_is_left_out():
    chosen = choose([_draft(4), _draft(8, side=True), _draft(6, side=True), _draft(8), _draft(9), _draft(12)])
    assert [len(draft.notes) for draft in chosen] == [4, 6, 8, 9, 12]


def test_the_figure_has_named_parts_that_sum_to_it():
    stage = build_ladder(SONATINA, sonatina())[-1]
    assert {name for name, _ in stage.difficulty.parts} == {
        "notes a second", "hands together", "stretches", "leaps", "accidentals",
    }  # fmt: skip
    assert abs(sum(value for _, value in stage.difficulty.parts) - stage.difficulty.value) < 0.01


def test_an_empty_score_has_its_one_stage():
    score = score_of(right="rw")
    stages = build_ladder(score, read(score, "CEG:4"))
    assert [stage.slug for stage in stages] == ["as-written"]


def test_figures_with_a_tune_above_them_in_half_of_the_bars_have_the_ladder_of_a_tune():
    """In one bar of two it is sung, in one of three it is not."""

    def titles(bars):
        figure = "E4s C4 G4 C4 E4 C4 G4 C4 E4 C4 G4 C4 E4 C4 G4 C4"
        right = " | ".join([figure] * bars)
        score = score_of(right=f"G5w ; {right}", left=" ".join(["C3w"] * bars))
        plain = read(score, f"CEG:{4 * bars}", right="broken chord", left="broken chord")
        sung = replace(plain, notes={**plain.notes, "G5": replace(plain.notes["G5"], line="melody")})
        return {stage.title for stage in build_ladder(score, sung)}

    assert "Simple tune over blocked chords" in titles(2)
    assert "Blocked chords" in titles(3)


def test_a_piece_of_arpeggios_through_positions_has_a_study_of_one_chord_a_harmony():
    """Its blocks move with the hand, beat by beat; the study beside them holds the first."""
    up = "C4s E4 G4 C5 E4 G4 C5 E5 G4 C5 E5 G5 C5 E5 G5 C6"
    score = score_of(right=f"{up} | {up} | {up} | E5w", left="C3w | C3w | C3w | C3w")
    plain = read(score, "CEG:16", right="arpeggio")
    last = score.notes[-1] if score.notes[-1].staff == 1 else score.notes[-2]
    notes = {**plain.notes, last.id: replace(plain.notes[last.id], line="melody")}
    stages = build_ladder(score, replace(plain, notes=notes))
    study = next(stage for stage in stages if stage.title == "One chord a harmony")
    assert study.side_study
    assert line(study.notes, score).startswith("0 C4+E4+G4+C5 4 |")
