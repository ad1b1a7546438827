"""The page for teachers as Markdown."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

import click
from pydantic import BaseModel
from pydantic.fields import FieldInfo
from pydantic_core import PydanticUndefined

from sitegen.analysis.functions import FUNCTIONS
from sitegen.analysis.texture import TEXTURES
from sitegen.checking.validations import OF_CASE, OF_DRAFT, OF_LIBRARY
from sitegen.checking.words import DEFAULT_THEME, english_of
from sitegen.library import (
    AssignmentMatter,
    CollectionMatter,
    HabitsMatter,
    OwnPageMatter,
    PieceMatter,
    PlanMatter,
    PractiseMatter,
    SetMatter,
    StudioMatter,
)
from sitegen.library.matter import LibraryMatter
from sitegen.publishing import find_theme
from sitegen.reduction.adjustments import READINGS
from sitegen.reduction.techniques import ladders, techniques

_LINKS = (
    ("`[hear it](bars:5-8)`", "opens these bars and plays them"),
    ("`[hear it](bars:5-8/bass-line)`", "opens them in this stage"),
    ("`![the bass](bars:5-8/bass-line)`", "engraves them into the text"),
    (
        "`[the waltz](../waltz-in-e-minor/piece.md)`",
        "leads to another piece; `piece:waltz-in-e-minor` too",
    ),
    (
        "`![a curved hand](hand.jpg)`",
        "shows a picture beside `piece.md`, with words for those who cannot see it",
    ),
    ("`[a worksheet](sheet.pdf)`", "offers a file that lies beside `piece.md`"),
)
_SPARED = " (if it adds enough)"


#: Each way to say where something is, with what it means. The form is that of ``sitegen.places.parsing``.
PLACES = (
    ("bar 4", "the bar with this printed number; `4`, `b. 4`, `m. 4` and `measure 4` too"),
    ("bars 5-8", "these bars; `5–8` and `bars 5 to 8` too"),
    ("upbeat", "what stands before the first full bar; `pickup` and `anacrusis` too"),
    ("bar 5 (second)", "the second of several bars with one number"),
    ("bars 5-8, left hand", "one hand in them; `LH`, `RH`, `l.h.` and `right hand` too"),
    ("bars 5-8, staff 2", "one staff, counted from the top"),
    ("bar 4, beat 2", "a beat, counted from 1"),
    ("bar 4, beat 2+1/2", "half a beat after it; `2 1/2`, `2½` and `2.5` too"),
    ("bar 4, beat 2, right hand, top note", "the highest note that the hand strikes there; `highest` too"),
    ("bar 4, beat 2, left hand, bottom note", "the lowest; `lowest` too"),
    ("bar 4, beat 2, RH, F#5", "the note of this pitch; `F♯5` and `F sharp 5` too, or without its octave"),
    ("bar 4, beat 2, RH, F#5 (second)", "the second of several of this pitch"),
    ("bar 4, beat 2, voice 2", "the note of one voice of the file"),
    ("bar 4, beat 2, RH, grace note (first)", "a grace note"),
)


def reference_page(commands: click.Group) -> str:
    """The page, for a program with these ``commands``."""
    return "\n".join(
        [
            "This page is made from the tables by which the program itself reads and checks.",
            "",
            *_fields("`studio.yaml`", StudioMatter),
            *_fields("`libraries:` in `studio.yaml`, a line for each", LibraryMatter),
            *_fields("`piece.md`: the fields between the lines `---`", PieceMatter),
            *_fields("`practise:` in `piece.md`, a line for each task", PractiseMatter),
            *_fields("`plan:` in `studio.yaml` and in assignments: how plans are made", HabitsMatter),
            *_fields("`plan:` in `piece.md`", PlanMatter),
            *_fields("`assignments/NAME.md`: the fields between the lines `---`", AssignmentMatter),
            *_fields("`set:` in an assignment, a line for each thing", SetMatter),
            *_fields("`collections/NAME.md`: pieces that belong together, with a text", CollectionMatter),
            *_fields("`pages/NAME.md`: pages of your own words, which belong to no piece", OwnPageMatter),
            *_table("Links and pictures in the commentary", ("written", "what it does"), _LINKS),
            *_table("Places", ("written", "where it is"), ((f"`{said}`", meaning) for said, meaning in PLACES)),
            *_readings(),
            *_techniques(),
            *_table("Ladders: the stages that are tried, in their order", ("ladder", "its stages"), _ladders()),
            *_table("Textures", ("name", "what it is"), ((kind.name, kind.meaning) for kind in TEXTURES)),
            *_list("Functions of a note", FUNCTIONS),
            *_list("What is checked", [name for name, _ in (*OF_LIBRARY, *OF_DRAFT, *OF_CASE)]),
            *_commands(commands),
        ]
    )


def named_things(kind: str) -> Sequence[tuple[str, str]]:
    """The ``techniques``, ``textures`` or ``functions`` that can be named, each with what it is (a function: nothing),
    the ``ladders`` with their stages, or the ``sentences`` of pages by their keys, as English has them.

    Raises ``KeyError`` for another kind.
    """
    if kind == "sentences":
        return sorted(english_of(find_theme(DEFAULT_THEME)).items())
    return {
        "techniques": [(name, row.teacher) for name, row in techniques().items()],
        "ladders": list(_ladders()),
        "textures": [(kind.name, kind.meaning) for kind in TEXTURES],
        "functions": [(name, "") for name in FUNCTIONS],
    }[kind]


def _fields(title: str, model: type[BaseModel]) -> Iterator[str]:
    rows = [(f"`{name}`", field.description or "", _otherwise(field)) for name, field in model.model_fields.items()]
    yield from _table(title, ("field", "what it is", "without it"), rows)


def _otherwise(field: FieldInfo) -> str:
    """What holds where a field is not written."""
    if field.default is PydanticUndefined:
        return "is needed"
    has_none = field.default in ("", None, []) or isinstance(field.default, BaseModel)
    return "" if has_none else f"{str(field.default).lower()}"


def _readings() -> Iterator[str]:
    rows = [(f"`{kind.example}`", kind.meaning) for kind in READINGS.values()]
    yield from _table("Readings: what you hear otherwise, under `adjustments:`", ("written", "what it says"), rows)


def _techniques() -> Iterator[str]:
    rows = [(f"`{name}`", meaning) for name, meaning in named_things("techniques")]
    yield from _table("Techniques: the names of stages", ("name", "what the stage holds"), rows)


def _ladders() -> Iterator[tuple[str, str]]:
    """Each ladder with its stages, fewest notes first; side studies and what may be left out are marked."""
    for name, rungs in ladders().items():
        stages = [rung.name + (" (side study)" if rung.side else _SPARED * rung.optional) for rung in rungs]
        yield name, ", ".join([*stages, "as written"])


def _commands(commands: click.Group) -> Iterator[str]:
    yield from ("## Commands", "")
    for name, command in sorted(commands.commands.items()):
        context = click.Context(command, info_name=f"sitegen {name}")
        usage = " ".join(command.collect_usage_pieces(context))
        yield from (f"### `sitegen {name}{f' {usage}' if usage else ''}`", "", _prose(command.help or ""), "")
        rows = [
            (", ".join(f"`{each}`" for each in option.opts), option.help or "")
            for option in command.params
            if isinstance(option, click.Option)
        ]
        if rows:
            yield from _rows(("option", "what it does"), rows)
            yield ""


def _prose(text: str) -> str:
    return "\n\n".join(" ".join(part.split()) for part in text.split("\n\n"))


def _list(title: str, words: Iterable[str]) -> Iterator[str]:
    yield from (f"## {title}", "", *(f"- {word}" for word in words), "")


def _table(title: str, heads: Sequence[str], rows: Iterable[Sequence[str]]) -> Iterator[str]:
    yield from (f"## {title}", "", *_rows(heads, rows), "")


def _rows(heads: Sequence[str], rows: Iterable[Sequence[str]]) -> Iterator[str]:
    yield f"| {' | '.join(heads)} |"
    yield f"| {' | '.join('---' for _ in heads)} |"
    for row in rows:
        yield f"| {' | '.join(cell.replace('|', chr(92) + '|') for cell in row)} |"
