"""The lasting names of stages: from technique and stretch, whatever the title is."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest

from sitegen.errors import ContentError, FaultsError
from sitegen.reduction import Stage, Wish, build_ladder, parse_wishes
from sitegen.reduction.ladder.naming import note_codes
from sitegen.reduction.techniques.rung_order import ladders
from tests.notation import score_of
from tests.reduction.reading import line, read

SCORE = score_of(
    right="E5q D5e C5 B4q C5 | G5q F5e E5 D5h",
    left="C4e G4 E4 G4 C4 G4 E4 G4 | B3 G4 D4 G4 B3h",
)
GERMAN = {"basslinie": "bass line", "außenstimmen": "outer voices"}


def stages(*adjustments: dict[str, object], listed: tuple[object, ...] = (), **own: object) -> list[Stage]:
    functions = {"D5": "passing note > C5", "F5": "passing note > E5.2", "B4": "neighbour note > C5.2"}
    analysis = read(SCORE, "CEG:4 GBD/B:4", functions=functions, right="melody", left="Alberti bass")
    wishes = parse_wishes(
        [Wish(entry, number) for number, entry in enumerate(adjustments, 10)],
        "piece.md",
        [Wish(entry, number) for number, entry in enumerate(listed, 3)],
        own,
        in_english=lambda name: GERMAN.get(name.lower(), name),
    )
    return list(build_ladder(SCORE, analysis, wishes))


def names(*adjustments: dict[str, object], listed: tuple[object, ...] = (), **own: object) -> list[str]:
    return [stage.slug for stage in stages(*adjustments, listed=listed, **own)]


def test_a_new_title_leaves_the_name_as_it_is() -> None:
    renamed = stages({"stage": "bass line", "title": "The low part"})
    assert [stage.slug for stage in renamed] == names()
    assert (renamed[0].slug, renamed[0].title) == ("bass-line", "The low part")
    assert names(listed=({"outer voices": None, "title": "Two voices"},)) == ["outer-voices", "as-written"]


def test_a_stretch_is_part_of_the_name_however_it_is_said() -> None:
    for bars in ("bar 2", "2", 2, "b. 2"):
        assert names(listed=({"outer voices": None, "bars": bars},))[0] == "outer-voices-bar-2"
    for bars in ("bars 1-2", "1–2", "1 to 2"):
        assert names(listed=({"outer voices": None, "bars": bars},))[0] == "outer-voices-bars-1-2"


def test_a_technique_that_stands_twice_has_two_names() -> None:
    alike = ("outer voices", {"outer voices": None, "title": "Again"}, {"outer voices": None, "bars": "1"})
    assert names(listed=alike) == ["outer-voices", "outer-voices-2", "outer-voices-bar-1", "as-written"]


def test_a_hand_alone_is_named_after_its_stage_and_her_own_stage_after_its_file() -> None:
    listed = (
        {"left hand alone": None, "of": "Two voices"},
        {"outer voices": None, "title": "Two voices"},
        {"right hand alone": None, "of": "harmonic rhythm", "bars": "bar 1"},
        {"file": "My version.musicxml", "title": "As I play it"},
    )
    found = names(listed=listed, **{"My version.musicxml": SCORE})
    assert found == [
        "left-hand-alone-of-outer-voices", "outer-voices", "right-hand-alone-of-harmonic-rhythm-bar-1", "my-version",
        "as-written",
    ]  # fmt: skip


def test_no_two_rungs_of_a_ladder_have_one_name() -> None:
    for rungs in ladders().values():
        assert len({rung.called.name for rung in rungs}) == len(rungs)


@pytest.mark.parametrize("name", ["bass line", "Bass Line", "bass-line", "Basslinie", "BASS-LINE"])
def test_a_stage_is_changed_by_each_of_its_names(name: str) -> None:
    changed = stages({"at": "bar 2, beat 3, left hand, B3", "stage": name, "do": "drop"})
    assert line(stages()[0].notes, SCORE, 2) == "0 C4 4 | 4 B3 4"
    assert changed[0].slug == "bass-line"
    assert names({"stage": name, "leave out": True})[0] == "outer-voices"


def test_one_of_two_stages_of_a_technique_is_changed_by_its_name() -> None:
    move = {"at": "bar 2, beat 1, left hand, B3", "do": "move", "octaves": -1}
    listed = ("bass line", {"bass line": None, "title": "Again"})
    for name, changed in (("bass-line", 0), ("bass line", 0), ("bass-line-2", 1), ("again", 1)):
        found = stages({**move, "stage": name}, listed=listed)
        notes = [line(stage.notes, SCORE, 2) for stage in found[:2]]
        assert notes[changed] != notes[1 - changed] == "0 C4 4 | 4 B3 4", name


def test_a_technique_s_name_that_fits_two_stretches_asks_which() -> None:
    listed = ({"bass line": None, "bars": "1"}, {"bass line": None, "bars": "2"})
    with pytest.raises(ContentError) as raised:
        stages({"stage": "bass line", "title": "Low"}, listed=listed)
    said = "piece.md:10: there are 2 stages 'bass line'. Write bass-line-bar-1 or bass-line-bar-2"
    assert str(raised.value) == said


def test_techniques_are_listed_in_any_case_and_in_the_library_s_language() -> None:
    assert names(listed=("Bass Line", "outer-voices")) == names(listed=("Basslinie", "Außenstimmen"))


def test_a_stage_that_is_renamed_is_still_understood_by_what_it_was_called() -> None:
    found = stages(
        {"stage": "outer voices", "title": "Two voices"},
        {"stage": "outer voices", "listen": "Sing."},
        {"stage": "two voices", "title": "Duet"},
        {"at": "bar 2, beat 1, left hand, B3", "stage": "Duet", "do": "move", "octaves": -1},
    )
    (stage,) = [stage for stage in found if stage.slug == "outer-voices"]
    assert (stage.title, stage.listen) == ("Duet", "Sing.")
    assert "Two voices" in stage.also
    assert line(stage.notes, SCORE, 2) == "0 C4 4 | 4 B2 4m"


def test_every_stage_that_is_not_there_is_told() -> None:
    with pytest.raises(FaultsError) as raised:
        stages({"stage": "bass lien", "title": "x"}, {"stage": "inner lines", "title": "y"})
    first, second = raised.value.faults
    assert "the ladder has no stage 'bass lien'. Perhaps bass line; the stages are: bass line, outer voices" in str(
        first
    )
    assert "piece.md:11: the ladder has no stage 'inner lines'" in str(second)


def test_notes_have_short_ids_of_their_own() -> None:
    made = {stage.slug: [note.id for note in stage.notes] for stage in stages()}
    assert made["bass-line"][:2] == ["bl1", "bl2"]
    assert all(re.fullmatch(r"[a-z]+\d+", name) for slug, ids in made.items() if slug != "as-written" for name in ids)
    every = [name for ids in made.values() for name in ids]
    assert len(set(every)) == len(every)


def test_stages_with_the_same_initials_have_notes_of_their_own() -> None:
    assert note_codes(["bass-line", "big-leaps", "bass-line-2", "bass"], SCORE) == {
        "bass": "ba",
        "bass-line": "bl",
        "bass-line-2": "bla",
        "big-leaps": "blb",
    }


def test_notes_of_a_stage_are_not_called_as_those_of_the_score() -> None:
    first, *others = SCORE.notes
    head = replace(first.noteheads[0], id="bl7")
    score = replace(SCORE, notes=(replace(first, id="bl7", noteheads=(head,)), *others))
    assert note_codes(["bass-line"], score) == {"bass-line": "bla"}
