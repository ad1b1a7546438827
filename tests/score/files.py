"""A few notes of each format, written to a file and read back, and a score as one line of text a bar."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from tempfile import TemporaryDirectory

from sitegen.score import Note, Score, read_score


def read(text: str | bytes, suffix: str) -> Score:
    """The score that a file of this content holds."""
    with TemporaryDirectory() as folder:
        path = Path(folder) / f"score{suffix}"
        path.write_bytes(text if isinstance(text, bytes) else text.encode())
        return read_score(path)


def said(score: Score, more: Callable[[Note], str] | None = None) -> list[str]:
    """Each bar as ``"C5 0 1, E5 1 1/2"``: pitch, onset in the bar, duration, in quarters; graces have duration 0."""
    return [
        ", ".join(
            f"{n.pitch.name} {score.quarters(n.onset - bar.onset)} {score.quarters(n.duration)}"
            + (f" {more(n)}" if more else "")
            for n in score.notes
            if n.bar == bar.index
        )
        for bar in score.bars
    ]


def musicxml(*bars: str, staves: int = 1, divisions: int = 12, time: str = "4/4", fifths: int = 0) -> str:
    """A MusicXML file of one part; each bar is what stands in its ``measure``."""
    beats, beat_type = time.split("/")
    clefs = {1: [("G", 2)], 2: [("G", 2), ("F", 4)], 3: [("G", 2), ("G", 2), ("F", 4)]}[staves]
    attributes = (
        f"<attributes><divisions>{divisions}</divisions><key><fifths>{fifths}</fifths></key><time><beats>{beats}"
        f"</beats><beat-type>{beat_type}</beat-type></time><staves>{staves}</staves>"
        + "".join(f'<clef number="{i}"><sign>{s}</sign><line>{n}</line></clef>' for i, (s, n) in enumerate(clefs, 1))
        + "</attributes>"
    )
    measures = "".join(
        f'<measure number="{number}">{attributes if number == 1 else ""}{bar}</measure>'
        for number, bar in enumerate(bars, 1)
    )
    return (
        '<score-partwise version="4.0"><part-list><score-part id="P1"><part-name>Piano</part-name></score-part>'
        f'</part-list><part id="P1">{measures}</part></score-partwise>'
    )


def note(pitch: str, duration: int | None, kind: str = "", *signs: str, voice: int = 1, staff: int = 1) -> str:
    """A MusicXML note such as ``note("F#4", 12, "quarter", "<tie type='start'/>")``; ``r`` is a rest.

    ``signs`` are fragments that stand in their right place: ``grace``, ``chord`` and ``cue`` first, ``tie`` after the
    duration, all others after the type.
    """
    early = "".join(s for s in signs if s.startswith(("<grace", "<chord", "<cue")))
    ties = "".join(s for s in signs if s.startswith("<tie "))
    late = [s for s in signs if not s.startswith(("<grace", "<chord", "<cue", "<tie "))]
    before = "".join(s for s in late if s.startswith(("<dot", "<time-mod", "<accidental")))
    after = "".join(s for s in late if not s.startswith(("<dot", "<time-mod", "<accidental")))
    alter = pitch[1:-1].count("#") - pitch[1:-1].count("b")
    altered = f"<alter>{alter}</alter>" if alter else ""
    what = "<rest/>" if pitch == "r" else f"<pitch><step>{pitch[0]}</step>{altered}<octave>{pitch[-1]}</octave></pitch>"
    time = "" if duration is None else f"<duration>{duration}</duration>"
    symbol = f"<type>{kind}</type>" if kind else ""
    return f"<note>{early}{what}{time}{ties}<voice>{voice}</voice>{symbol}{before}<staff>{staff}</staff>{after}</note>"


def tuplet(actual: int, normal: int) -> str:
    """A MusicXML ``time-modification``."""
    return (
        f"<time-modification><actual-notes>{actual}</actual-notes><normal-notes>{normal}</normal-notes>"
        "</time-modification>"
    )


def back(duration: int) -> str:
    """A MusicXML ``backup``."""
    return f"<backup><duration>{duration}</duration></backup>"


def mei(section: str, staves: int = 1, signature: str = 'meter.count="4" meter.unit="4" key.sig="0"') -> str:
    """An MEI file; ``section`` is what stands in its ``section``."""
    clefs = {1: "G2", 2: "G2 F4"}[staves].split()
    defs = "".join(
        f'<staffDef n="{i}" lines="5" clef.shape="{c[0]}" clef.line="{c[1]}"/>' for i, c in enumerate(clefs, 1)
    )
    return (
        '<mei xmlns="http://www.music-encoding.org/ns/mei"><meiHead><fileDesc><titleStmt><title>Trial</title>'
        "<composer>Nobody</composer></titleStmt><pubStmt/></fileDesc></meiHead><music><body><mdiv><score>"
        f'<scoreDef {signature}><staffGrp symbol="brace">{defs}</staffGrp></scoreDef><section>{section}</section>'
        "</score></mdiv></body></music></mei>"
    )


def mei_bar(*staves: str, number: int = 1, more: str = "", attributes: str = "") -> str:
    """An MEI ``measure``; each staff is what stands in its layer, layers separated by ``;;``."""
    filled = "".join(
        f'<staff n="{i}">'
        + "".join(f'<layer n="{k}">{layer}</layer>' for k, layer in enumerate(staff.split(";;"), 1))
        + "</staff>"
        for i, staff in enumerate(staves, 1)
    )
    return f'<measure n="{number}" {attributes}>{filled}{more}</measure>'


def mei_note(pitch: str, dur: int = 4, more: str = "", inside: str = "") -> str:
    """An MEI note without accidental attributes: ``mei_note("f4", 2, 'dots="1"')``."""
    return f'<note pname="{pitch[0]}" oct="{pitch[1]}" dur="{dur}" {more}>{inside}</note>'


def kern(*lines: str) -> str:
    """A ``**kern`` file; fields are separated by two spaces or more, ``*-`` is added."""
    rows = ["\t".join(part for part in line.split("  ") if part) for line in lines]
    return "\n".join([*rows, "\t".join("*-" for _ in rows[-1].split("\t"))]) + "\n"
