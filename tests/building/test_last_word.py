"""The teacher's last word, from the text of ``piece.md`` to the stages: each sentence of it once."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from sitegen.analysis import describe_bars
from sitegen.building.checking import check_content
from sitegen.building.driving import Code, run_here
from sitegen.building.looking import look_at
from sitegen.building.progress import Progress
from sitegen.building.reading import UnderstoodMusic, music_of
from sitegen.building.site import build_site
from sitegen.building.store import Store
from sitegen.building.studios import studio_of
from sitegen.library import load_library
from sitegen.notation import write_stage
from tests.building.studio import musicxml, write_content
from tests.notation import score_of
from tests.reduction.reading import line
from tests.writing.reading_back import stage_of

RIGHT = "E5q D5e C5 B4q C5 | G5q F5e E5 D5h | C5q E5e G5 F5q D5 | C5w"
LEFT = "C4e G4 E4 G4 C4 G4 E4 G4 | B3 G4 D4 G4 B3 G4 D4 G4 | C4 G4 E4 G4 B3 G4 D4 G4 | C4e G4 E4 G4 C4h"
CHORDS = (
    "adjustments:",
    '  - {at: "bar 1, beat 1", chord: C, until: "bar 2, beat 1"}',
    '  - {at: "bar 2, beat 1", chord: G/B, until: "bar 3, beat 1"}',
    '  - {at: "bar 3, beat 1", chord: C, until: "bar 3, beat 3"}',
    '  - {at: "bar 3, beat 3", chord: G/B, until: "bar 4, beat 1"}',
)


def nothing(progress: Progress) -> None:
    """Progress that nobody looks at."""


def studio(folder: Path, *front: str, score: str = "", own: str = "") -> Path:
    """A studio of one piece with these lines more in its front matter, from line 5 on."""
    content = write_content(folder / "content", tune=score or musicxml(RIGHT, LEFT))
    piece = content / "tune" / "piece.md"
    piece.write_text("\n".join(["---", "title: Tune", "score: score.musicxml", "licence: CC0-1.0", *front, "---", ""]))
    if own:
        (content / "tune" / "own.musicxml").write_text(own)
    return content


def understood(folder: Path, *front: str, score: str = "", own: str = "") -> UnderstoodMusic:
    library = load_library(studio(folder, *front, score=score, own=own))
    store, matter = Store(folder / "cache"), library.studio.model_copy(update={"hand": 12})
    shared = studio_of(matter, library.slugs, store)
    found = run_here(lambda: look_at(library.pieces[0], shared), store, Code(store)).understood
    assert found is not None
    return music_of(found, store)


def ladder(folder: Path, *front: str, score: str = "", own: str = "") -> dict[str, tuple[str, str]]:
    """Both staves of each stage by its title."""
    found = understood(folder, *front, score=score, own=own)
    return {s.title: (line(s.notes, found.score, 1), line(s.notes, found.score, 2)) for s in found.stages}


def faults(folder: Path, *front: str, score: str = "", own: str = "") -> list[str]:
    """What ``check`` says, by line, held to what ``build`` says."""
    content = studio(folder, *front, score=score, own=own)
    checked = [str(f) for f in check_content(content, Store(folder / "cache"), nothing).errors]
    built = build_site(content, folder / "site", Store(folder / "cache"), 0, nothing)
    assert [str(f) for f in built.errors] == checked
    assert all("\n" not in fault for fault in checked)
    return [fault.replace(str(content / "tune") + "/", "") for fault in checked]


def test_function_texture_and_chord_are_called(tmp_path: Path) -> None:
    found = understood(
        tmp_path, "adjustments:",
        '  - {at: "bar 1, beat 3, right hand, top note", function: chord tone}',
        '  - {at: "bars 3-4, left hand", texture: broken chord}',
        '  - {at: "bar 3, beat 3", chord: V65, until: "bar 4, beat 1"}',
    )  # fmt: skip
    page = describe_bars(found.score, found.analysis, 0, 99)
    assert "bars 3-4, left hand: broken chord" in page
    assert re.search(r"bar 3\n(.*\n)*?  beat 3 +V65 ", page)
    (note,) = [n for n in found.score.notes if n.pitch.name == "B4"]
    assert found.analysis.notes[note.id].function == "chord tone"
    assert any(
        "B4" in line(s.notes, found.score, 1) for s in found.stages if s.title == "Simple tune over blocked chords"
    )


def test_notes_are_kept_dropped_held_and_moved_in_a_stage(tmp_path: Path) -> None:
    plain = ladder(tmp_path / "plain", *CHORDS)
    changed = ladder(
        tmp_path,
        *CHORDS,
        '  - {at: "bar 1, beat 3, right hand, B4", stage: outer voices, do: keep}',
        '  - {at: "bar 2, beat 1, left hand, B3", stage: bass line, do: drop}',
        '  - {at: "bar 3, beat 1, left hand, C4", stage: bass line, do: hold, until: "bar 3, beat 4"}',
        '  - {at: "bar 4, beat 1, left hand, C4", stage: bass line, do: move, octaves: -1}',
        '  - {at: "bar 3, beat 3, left hand, B3", stage: bass line, do: move, hand: right}',
    )  # fmt: skip
    assert "2 B4 " not in plain["Outer voices"][0]
    assert "2 B4 " in changed["Outer voices"][0]
    assert plain["Bass line"] == ("", "0 C4 4 | 4 B3 4 | 8 C4 2 | 10 B3 2 | 12 C4 4")
    assert changed["Bass line"] == ("10 B3 2m", "0 C4 8 | 8 C4 3 | 12 C3 4m")


def test_a_stretch_begins_and_ends_where_the_teacher_says(tmp_path: Path) -> None:
    stages = ladder(tmp_path, *CHORDS, "  - {stage: outer voices, bars: bars 2-3}")
    assert stages["Outer voices"][1] == "4 B3 4 | 8 C4 2 | 10 B3 2"


def test_stages_are_put_in_order_renamed_left_out_and_added(tmp_path: Path) -> None:
    named = ladder(
        tmp_path / "named", "adjustments:",
        "  - {stage: outer voices, title: Two voices, listen: Sing the lower one.}",
        "  - {stage: bass line, leave out: true}",
    )  # fmt: skip
    assert "Two voices" in named
    assert "Outer voices" not in named
    assert "Bass line" not in named
    listed = ladder(
        tmp_path, "stages:", "  - blocked chords", "  - bass line", "  - {rhythm on one pitch, title: Tap it}",
        "  - {left hand alone, of: blocked chords}",
    )  # fmt: skip
    assert list(listed) == ["Blocked chords", "Bass line", "Tap it", "Left hand alone: blocked chords", "As written"]
    assert listed["Left hand alone: blocked chords"] == ("", listed["Blocked chords"][1])


def test_the_score_as_written_has_the_teachers_words_too(tmp_path: Path) -> None:
    found = understood(tmp_path, "stages:", "  - bass line", "  - {as written, title: All of it, listen: Sing.}")
    assert [(stage.title, stage.slug, stage.as_written) for stage in found.stages] == [
        ("Bass line", "bass-line", False), ("All of it", "as-written", True)]  # fmt: skip
    assert found.stages[-1].listen == "Sing."


def test_a_stage_of_the_teachers_own_has_its_place_and_its_provenance(tmp_path: Path) -> None:
    own = score_of(right="E5h C5h | G5w | C5w | C5w", left="C3w B3w C4w C4w")
    found = understood(
        tmp_path, "stages:", "  - bass line", "  - {file: own.musicxml, title: My version}",
        own=write_stage(own, stage_of(own)),
    )  # fmt: skip
    assert [stage.title for stage in found.stages] == ["Bass line", "My version", "As written"]
    mine = found.stages[1]
    assert line(mine.notes, found.score, 2) == "0 C3 4m | 4 B3 4 | 8 C4 4 | 12 C4 4"
    by_id = {note.id: note for note in found.score.notes}
    heads = [by_id[note.sources[0]] for note in mine.notes]
    assert all(head.pitch.pitch_class == note.pitch.pitch_class for head, note in zip(heads, mine.notes, strict=True))
    assert [by_id[n.sources[0]].pitch.name for n in mine.notes if n.onset == 0] == ["C4", "E5"]


@pytest.mark.parametrize(
    ("front", "said"),
    [
        ('adjustments: [{at: "bar 1, beat 1, right hand, F5", do: keep}]', ["matches no note", "E5"]),
        ('adjustments: [{at: "bar 1, left hand, C4", do: drop}]', ["matches 2 notes", "beat 1", "beat 3"]),
        ('adjustments: [{at: "bar 9, left hand", texture: arpeggio}]', ["no bar 9. Its bars are 1 to 4"]),
        ('adjustments: [{stage: outer voice, title: x}]', ["no stage 'outer voice'. Perhaps outer voices"]),
        ('adjustments: [{at: "bar 1, beat 1", chord: H9}]', ["'H9' is no chord"]),
        ("stages: [bass lime]", ["no technique 'bass lime'. Perhaps bass line"]),
        ("stages: [bass line, {left hand alone, of: bas line}]", ["no stage 'bas line'. Perhaps bass line"]),
        ("stages: [{as written, bars: 1-2}]", ["the last stage of every ladder, and whole"]),
        ("stages: [{file: other.musicxml}]", ["'other.musicxml' is not there"]),
    ],
)  # fmt: skip
def test_what_matches_nothing_or_two_things_is_told_with_line_and_nearest(
    tmp_path: Path, front: str, said: list[str]
) -> None:
    (fault,) = faults(tmp_path, front)
    assert fault.startswith("piece.md:5: ")
    for part in said:
        assert part in fault


def test_a_note_of_the_teachers_own_that_nothing_matches_is_told(tmp_path: Path) -> None:
    own = score_of(right="F#5w")
    (fault,) = faults(tmp_path, "stages:", "  - {file: own.musicxml}", own=write_stage(own, stage_of(own)))
    assert fault.startswith("piece.md:6: own.musicxml, bar 1: nothing in the score matches the F#5.")


def test_all_wishes_at_fault_are_told_in_one_run(tmp_path: Path) -> None:
    found = faults(
        tmp_path, "adjustments:",
        '  - {at: "bars 1-2", key: H minor}',
        '  - {at: "bars 1-2", key: E minor}',
        '  - {at: "bar 3", phrase: starts}',
        '  - {at: "bar 30", phrase: begins}',
        "stages:", "  - bass lime", "  - {file: other.musicxml}",
    )  # fmt: skip
    assert [fault.split(" ")[0] for fault in found] == [f"piece.md:{line}:" for line in (6, 8, 9, 11, 12)]


def test_keys_phrases_and_lines_are_called(tmp_path: Path) -> None:
    found = understood(
        tmp_path, "adjustments:",
        '  - {at: "bars 1-2", key: A minor}',
        '  - {at: "bar 2", phrase: begins}',
        '  - {at: "bar 1, beat 1, RH, top note", line: none}',
    )  # fmt: skip
    assert {h.key for h in found.analysis.harmonies if h.onset < found.score.bars[2].onset} == {"A minor"}
    assert found.score.bars[1].onset in [phrase.onset for phrase in found.analysis.phrases]
    first = next(note for note in found.score.notes if note.pitch.name == "E5")
    assert found.analysis.notes[first.id].line is None


def re_exported(text: str) -> str:
    """The same music from another program, which gives its notes no ids."""
    return re.sub(r' id="(?!P)[^"]*"', "", text)


ADJUSTMENTS = (
    "adjustments:",
    '  - {at: "bar 1, beat 3, right hand, B4", stage: outer voices, do: keep}',
    '  - {at: "bar 2, beat 1, left hand, B3", stage: bass line, do: move, octaves: -1}',
)


def test_adjustments_survive_a_new_export(tmp_path: Path) -> None:
    first = musicxml(RIGHT, LEFT)
    again = re_exported(first)
    assert again != first
    assert ladder(tmp_path / "a", *ADJUSTMENTS, score=again) == ladder(tmp_path / "b", *ADJUSTMENTS, score=first)


def test_check_names_those_that_no_longer_apply(tmp_path: Path) -> None:
    """In the new edition a bar of rest comes first: what was in bar 1 is in bar 2."""
    found = faults(tmp_path, *ADJUSTMENTS, score=musicxml(f"rw | {RIGHT}", f"rw | {LEFT}"))
    assert [fault.split(" ")[0] for fault in found] == ["piece.md:6:", "piece.md:7:"]
    assert "'bar 1, beat 3, right hand, B4' matches no note" in found[0]


def test_analyse_prints_addresses_that_can_be_copied(tmp_path: Path) -> None:
    """Every address and every chord that the page gives, put into adjustments, is accepted."""
    page = describe_bars(found.score, found.analysis, 0, 99) if (found := understood(tmp_path / "a")) else ""
    notes = re.findall(r"^    (bar [^:]+): ([a-z ]+)\.", page, re.MULTILINE)
    stretches = re.findall(r"^  (bars? [^:]+ hand): ([a-z ]+)$", page, re.MULTILINE)
    chords, bar = [], ""
    for text in page.splitlines():
        if place := re.match(r"bar (\S+)", text):
            bar = place[1]
        elif chord := re.match(r"  beat (\S+) +(\S+) +(\S+) ", text):
            chords += [(f"bar {bar}, beat {chord[1]}", name) for name in chord.groups()[1:]]
    assert notes
    assert stretches
    assert len(chords) >= 8
    entries = [f'  - {{at: "{at}", function: {what}}}' for at, what in notes]
    entries += [f'  - {{at: "{at}", texture: {kind}}}' for at, kind in stretches if kind != "silent"]
    entries += [f'  - {{at: "{at}", chord: "{name}"}}' for at, name in chords]
    assert faults(tmp_path / "b", "adjustments:", *entries) == []
