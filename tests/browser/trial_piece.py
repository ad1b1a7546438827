"""A piece of eight bars in three stages, with a repeat, for trying pages without the whole path from a score."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path

from sitegen.engraving import Timing, engrave, engrave_incipit
from sitegen.publishing.heard import FormInfo, HarmonyInfo, PhraseInfo, ScoreNote, TensionInfo
from sitegen.publishing.nouns import (
    BarInfo,
    Drawing,
    Excerpt,
    HandInfo,
    PiecePage,
    PlanDay,
    PlanTask,
    PublishedLibrary,
    SheetDrawing,
    StageNoteInfo,
    StagePage,
    SystemDrawing,
)

_STEPS = {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}
_WRITTEN = {
    Fraction(3): "<type>half</type><dot/>",
    Fraction(1): "<type>quarter</type>",
    Fraction(1, 2): "<type>eighth</type>",
}
_BEAMS = {Fraction(0): "begin", Fraction(5, 2): "end"}
_ATTRIBUTES = (
    "<attributes><divisions>2</divisions><time><beats>3</beats><beat-type>4</beat-type></time><staves>2</staves>"
    '<clef number="1"><sign>G</sign><line>2</line></clef><clef number="2"><sign>F</sign><line>4</line></clef>'
    "</attributes>"
)
_REPEAT = '<barline location="right"><bar-style>light-heavy</bar-style><repeat direction="backward"/></barline>'
QUARTERS_A_MINUTE = 160

# Each bar: the melody in quarters, the notes of the broken chord from below, its numeral and its symbol.
_BARS = [
    ("E5 D5 C5", "C3 G3 E4", "I", "C"),
    ("B4 C5 D5", "G2 F3 B3", "V7", "G7"),
    ("C5 D5 E5", "A2 E3 C4", "vi", "Am"),
    ("F5 E5 D5", "F2 C4 A3", "IV", "F"),
    ("E5 F5 G5", "C3 G3 E4", "I", "C"),
    ("A5 G5 F5", "D3 A3 F4", "ii", "Dm"),
    ("E5 D5 B4", "G2 F3 B3", "V7", "G7"),
    ("C5 C5 C5", "C3 G3 E4", "I", "C"),
]


@dataclass(frozen=True)
class _Note:
    id: str
    bar: int
    onset: Fraction
    duration: Fraction
    pitch: str
    staff: int
    sources: tuple[str, ...]

    @property
    def midi(self) -> int:
        return 12 * (int(self.pitch[-1]) + 1) + _STEPS[self.pitch[0]]


def library(language: str = "en-GB") -> PublishedLibrary:
    return PublishedLibrary(
        title="A Try-out Studio", language=language, teacher="T. One", address="https://example.org/studio"
    )


def build_piece(folder: Path, slug: str = "eight-bars") -> PiecePage:
    """Engraves the piece into ``folder`` and returns what its pages need."""
    written = _as_written()
    stages = (
        _stage(folder, "bass-line", "Bass line", _bass(written), "The bass falls in thirds, then comes home."),
        _stage(
            folder, "block-chords", "Block chords", _blocks(written), "Most of each chord stays: hear which note moves."
        ),
        _stage(folder, "as-written", "As written", written, "Hear how the last bar holds still.", as_written=True),
    )
    incipit = _incipit(folder, written)
    harmonies = tuple(
        HarmonyInfo(bar, Fraction(0), numeral, symbol, "C major", f"It is {symbol}, 100% sure.", f"It is {symbol}.")
        for bar, (_, _, numeral, symbol) in enumerate(_BARS)
    )
    return PiecePage(
        slug=slug,
        title="Eight Bars",
        composer="The tests",
        licence="CC0 1.0",
        stages=stages,
        bars=tuple(BarInfo(str(bar + 1), Fraction(3), metre="3/4") for bar in range(len(_BARS))),
        notes=tuple(
            ScoreNote(
                note.id,
                note.bar,
                note.onset,
                note.duration,
                note.pitch,
                "chord tone" if note.staff == 2 else "passing note",
            )
            for note in written
        ),
        harmonies=harmonies,
        phrases=(PhraseInfo(0, 3, "half cadence"), PhraseInfo(4, 7, "perfect authentic cadence")),
        forms=(FormInfo(0, 7, "a period"),),
        tension=tuple(
            TensionInfo(h.bar, h.onset, 0.7 if "7" in h.numeral else 0.2, (("roughness", 0.15), ("distance", 0.05)))
            for h in harmonies
        ),
        commentary='<p>The chord of bar 2 leans: <a href="bars:2-3/block-chords">hear it</a>, or '
        '<a href="bars:5-8">the second half</a>.</p><p><img src="bars:1-2/bass-line" alt="The bass alone"></p>',
        summary="Eight bars to try the page with.",
        key="C major",
        tempo="Andante",
        incipit=incipit,
        excerpts=(Excerpt("bars:1-2/bass-line", incipit),),
        plan=(
            PlanDay(
                "Day 1",
                (
                    PlanTask("Bass alone, by heart", "bass-line"),
                    PlanTask("Blocked chords", "block-chords", ("5", "8"), 4, 7),
                ),
            ),
            PlanDay("Day 2", (PlanTask("All of it, slowly", "as-written", ("1", "8"), 0, 7),)),
        ),
        tags=("waltz",),
    )


def _as_written() -> tuple[_Note, ...]:
    notes = []
    for bar, (melody, chord, _, _) in enumerate(_BARS):
        for beat, pitch in enumerate(melody.split()):
            notes.append(_note(f"m{bar}-{beat}", bar, Fraction(beat), Fraction(1), pitch, 1))
        low, middle, high = chord.split()
        for place, pitch in enumerate((low, high, middle, high, middle, high)):
            notes.append(_note(f"l{bar}-{place}", bar, Fraction(place, 2), Fraction(1, 2), pitch, 2))
    return tuple(notes)


def _note(name: str, bar: int, onset: Fraction, duration: Fraction, pitch: str, staff: int) -> _Note:
    return _Note(name, bar, onset, duration, pitch, staff, (name,))


def _bass(written: tuple[_Note, ...]) -> tuple[_Note, ...]:
    return tuple(
        _Note(f"b-{note.id}", note.bar, Fraction(0), Fraction(3), note.pitch, 2, (note.id,))
        for note in written
        if note.staff == 2 and note.onset == 0
    )


def _blocks(written: tuple[_Note, ...]) -> tuple[_Note, ...]:
    blocks = []
    for bar in range(len(_BARS)):
        figure = [note for note in written if note.staff == 2 and note.bar == bar]
        for pitch in dict.fromkeys(note.pitch for note in figure):
            same = tuple(note.id for note in figure if note.pitch == pitch)
            blocks.append(_Note(f"k-{same[0]}", bar, Fraction(0), Fraction(3), pitch, 2, same))
    melody = [_Note(n.id, n.bar, n.onset, n.duration, n.pitch, n.staff, n.sources) for n in written if n.staff == 1]
    return tuple(sorted([*melody, *blocks], key=lambda note: (note.bar, note.onset, note.midi)))


def _stage(
    folder: Path, slug: str, title: str, notes: tuple[_Note, ...], listen: str, *, as_written: bool = False
) -> StagePage:
    place = folder / "stages" / slug
    place.mkdir(parents=True)
    engraving = engrave(
        _musicxml(notes), "musicxml", {note.id: note.midi for note in notes}, [3.0] * len(_BARS), QUARTERS_A_MINUTE
    )
    sheets: dict[str, tuple[SheetDrawing, ...]] = {}
    for layout, drawn in engraving.sheets.items():
        made = []
        for number, sheet in enumerate(drawn, 1):
            name = f"{layout}-{number}.svg"
            (place / name).write_text(sheet.svg)
            rows = tuple(SystemDrawing(row.first_bar, row.last_bar, row.y, row.height) for row in sheet.systems)
            made.append(SheetDrawing(f"stages/{slug}/{name}", sheet.width, rows))
        sheets[layout] = tuple(made)
    (place / "stage.mid").write_bytes(engraving.midi)
    (place / "stage.musicxml").write_text("<score-partwise/>")
    return StagePage(
        slug=slug,
        title=title,
        listen=listen,
        note_count=len(notes),
        sheets=sheets,
        midi=f"stages/{slug}/stage.mid",
        musicxml=f"stages/{slug}/stage.musicxml",
        timing=f"stages/{slug}/timing.json",
        notes=tuple(
            StageNoteInfo(
                n.id, n.bar, n.onset, n.duration, n.pitch, n.midi, "right" if n.staff == 1 else "left", n.sources
            )
            for n in notes
        ),
        played=_timing(engraving.timing),
        techniques=("The broken chord is struck at once.",) if slug == "block-chords" else (),
        hands=(HandInfo("left", 16), HandInfo("right", 0)),
        as_written=as_written,
    )


def _timing(timing: Timing) -> dict[str, object]:
    return {
        "notes": [{"id": note.id, "on": note.on, "off": note.off} for note in timing.notes],
        "velocities": [78] * len(timing.notes),
        "bars": [{"bar": bar.bar, "on": bar.on, "off": bar.off} for bar in timing.bars],
        "tempo": [{"at": 0, "beats_a_minute": QUARTERS_A_MINUTE}],
        "length": timing.length,
    }


def _incipit(folder: Path, notes: tuple[_Note, ...]) -> Drawing:
    sheet = engrave_incipit(_musicxml(notes), "musicxml")
    (folder / "incipit.svg").write_text(sheet.svg)
    return Drawing("incipit.svg", sheet.width, sheet.height)


def _musicxml(notes: tuple[_Note, ...]) -> str:
    measures = "".join(
        f'<measure number="{bar + 1}">{_ATTRIBUTES if bar == 0 else ""}'
        f"{_staff(notes, bar, 1)}<backup><duration>6</duration></backup>{_staff(notes, bar, 2)}"
        f"{_REPEAT if bar == 3 else ''}</measure>"
        for bar in range(len(_BARS))
    )
    return (
        '<?xml version="1.0"?><score-partwise version="4.0"><part-list><score-part id="P1"><part-name/></score-part>'
        f'</part-list><part id="P1">{measures}</part></score-partwise>'
    )


def _staff(notes: tuple[_Note, ...], bar: int, staff: int) -> str:
    here = [note for note in notes if note.bar == bar and note.staff == staff]
    where = f"<voice>{4 * staff - 3}</voice>{{}}<staff>{staff}</staff>"
    if not here:
        return f'<note><rest measure="yes"/><duration>6</duration>{where.format("")}</note>'
    text = []
    for onset in sorted({note.onset for note in here}):
        for place, note in enumerate(n for n in here if n.onset == onset):
            beam = _BEAMS.get(note.onset, "continue") if note.duration == Fraction(1, 2) else ""
            text.append(
                f'<note id="{note.id}">{"<chord/>" if place else ""}<pitch><step>{note.pitch[0]}</step>'
                f"<octave>{note.pitch[-1]}</octave></pitch><duration>{int(2 * note.duration)}</duration>"
                + where.format(_WRITTEN[note.duration])
                + (f'<beam number="1">{beam}</beam>' if beam else "")
                + "</note>"
            )
    return "".join(text)
