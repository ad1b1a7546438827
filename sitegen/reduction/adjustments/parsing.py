"""From the front matter's plain data to wishes: every entry is checked for its fields and their values."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import get_args

from sitegen.analysis.nouns import Function
from sitegen.analysis.texture import KINDS
from sitegen.errors import ContentError, located
from sitegen.places.parsing import parse_bars, parse_place
from sitegen.places.words import nearest
from sitegen.reduction.nouns import MEDIUM_HAND
from sitegen.reduction.registry import find_technique, techniques
from sitegen.reduction.techniques.hands_alone import HANDS_ALONE
from sitegen.reduction.wishes import NoteWish, Reading, StageChange, StageWish, Wish, Wishes
from sitegen.score import Score

_READINGS = ("function", "texture", "chord")
_DEEDS = ("keep", "drop", "hold", "move")
_STAGE_FIELDS = frozenset({"technique", "file", "title", "listen", "bars", "side study", "of"})
_CHANGE_FIELDS = frozenset({"stage", "title", "listen", "bars", "leave out"})
_READING_FIELDS = frozenset({"at", "until"})
_DEED_FIELDS = frozenset({"at", "do", "stage", "until", "octaves", "hand"})


def parse_wishes(
    adjustments: Sequence[Wish],
    file: str,
    stages: Sequence[Wish] = (),
    own_scores: Mapping[str, Score] | None = None,
    hand: int = MEDIUM_HAND,
    in_english: Callable[[str], str] = str,
) -> Wishes:
    """Read the entries under ``adjustments`` and ``stages``. ``own_scores`` are the teacher's own stages, already
    read, by the names that ``file:`` gives them; ``hand`` is the span in semitones;
    ``in_english`` tells the English title or technique for one in the library's language.

    Raises ``ContentError`` with ``file`` and the entry's line for a field or a value that is not understood.
    """
    readings: list[Reading] = []
    notes: list[NoteWish] = []
    changes: list[StageChange] = []
    for wish in adjustments:
        data = _in_english(_mapping(wish, file), in_english)
        what = next((name for name in _READINGS if name in data), None)
        if what is not None:
            readings.append(_reading(what, data, wish.line, file))
        elif "do" in data:
            notes.append(_deed(data, wish.line, file))
        elif "stage" in data:
            changes.append(_change(data, wish.line, file))
        else:
            remedy = "give one of function, texture, chord, do (keep, drop, hold, move), or stage"
            raise ContentError("this adjustment does not say what is to be done", remedy, file, wish.line)
    listed = tuple(_stage(wish, file, own_scores or {}, in_english) for wish in stages)
    return Wishes(file, hand, tuple(readings), tuple(notes), listed, tuple(changes))


def _reading(what: str, data: dict[str, object], line: int, file: str) -> Reading:
    _only(data, _READING_FIELDS | {what}, line, file)
    at, value = _place(data, "at", line, file), _text(data, what, line, file)
    place = parse_place(at)
    allowed = {"function": get_args(Function), "texture": KINDS}.get(what)
    if allowed is not None and value not in allowed:
        raise ContentError(f"'{value}' is no {what}", nearest(value, allowed), file, line)
    if what == "function" and not place.is_note:
        raise ContentError(f"'{at}' does not name a note", "add its pitch, or top note", file, line)
    if what == "chord" and place.beat is None and place.first != place.last:
        raise ContentError(f"'{at}' does not say where the chord begins", "give its bar and beat", file, line)
    until = _place(data, "until", line, file) if "until" in data else ""
    return Reading(what, at, value, line, until)  # type: ignore[arg-type]


def _deed(data: dict[str, object], line: int, file: str) -> NoteWish:
    _only(data, _DEED_FIELDS, line, file)
    do, at = _text(data, "do", line, file), _place(data, "at", line, file)
    if do not in _DEEDS:
        raise ContentError(f"'{do}' is nothing that can be done to a note", nearest(do, _DEEDS), file, line)
    if not parse_place(at).is_note:
        raise ContentError(f"'{at}' does not name a note", "add its pitch, or top note", file, line)
    octaves, hand = data.get("octaves", 0), data.get("hand")
    if not isinstance(octaves, int) or isinstance(octaves, bool):
        raise ContentError(f"octaves: '{octaves}' is not a whole number", "write 1 for up, -1 for down", file, line)
    if hand not in (None, "left", "right"):
        raise ContentError(f"hand: '{hand}' is no hand", "write left or right", file, line)
    if (do == "move") != bool(octaves or hand):
        raise ContentError("a move says where to, and nothing else does", "add octaves: or hand: to move", file, line)
    until = _place(data, "until", line, file) if "until" in data else ""
    if (do == "hold") != bool(until):
        raise ContentError("a hold says until when, and nothing else does", "add until: with bar and beat", file, line)
    stage = _text(data, "stage", line, file) if "stage" in data else ""
    return NoteWish(do, at, line, stage, until, octaves, hand)  # type: ignore[arg-type]


def _change(data: dict[str, object], line: int, file: str) -> StageChange:
    _only(data, _CHANGE_FIELDS, line, file)
    leave_out = _yes(data, "leave out", line, file)
    title, listen = (_text(data, key, line, file) if key in data else "" for key in ("title", "listen"))
    return StageChange(_text(data, "stage", line, file), line, title, listen, _bars(data, line, file), bool(leave_out))


def _stage(wish: Wish, file: str, own_scores: Mapping[str, Score], in_english: Callable[[str], str]) -> StageWish:
    if isinstance(wish.data, str):
        return StageWish(_technique(in_english(wish.data), wish.line, file), wish.line)
    data = _mapping(wish, file)
    # '{blocked chords, title: ...}' is YAML for a key without a value
    bare = [key for key, value in data.items() if value is None and key not in _STAGE_FIELDS]
    if len(bare) == 1 and "technique" not in data:
        data["technique"] = bare[0]
        del data[bare[0]]
    data = _in_english(data, in_english)
    _only(data, _STAGE_FIELDS, wish.line, file)
    title, listen = (_text(data, key, wish.line, file) if key in data else "" for key in ("title", "listen"))
    bars, side = _bars(data, wish.line, file), _yes(data, "side study", wish.line, file)
    if "file" in data:
        name = _text(data, "file", wish.line, file)
        if name not in own_scores:
            raise ContentError(f"there is no score {name}", "put it in the piece's folder", file, wish.line)
        return StageWish("", wish.line, title or name.rsplit(".", 1)[0], listen, bars, side, name, own_scores[name])
    name = _technique(_text(data, "technique", wish.line, file), wish.line, file)
    of = _text(data, "of", wish.line, file) if "of" in data else ""
    if of and name not in HANDS_ALONE:
        remedy = f"it goes with {' and '.join(HANDS_ALONE)}"
        raise ContentError(f"'of' does not belong to '{name}'", remedy, file, wish.line)
    return StageWish(name, wish.line, title, listen, bars, side, of=of)


def _in_english(data: dict[str, object], in_english: Callable[[str], str]) -> dict[str, object]:
    """The entry with the names of stages and techniques in English."""
    named = {key: value for key in ("stage", "of", "technique") if isinstance(value := data.get(key), str)}
    return data | {key: in_english(value) for key, value in named.items()}


def _technique(name: str, line: int, file: str) -> str:
    found = find_technique(name)
    if not found:
        raise ContentError(f"there is no technique '{name}'", nearest(name, tuple(techniques())), file, line)
    return found


def _mapping(wish: Wish, file: str) -> dict[str, object]:
    if not isinstance(wish.data, dict) or not all(isinstance(key, str) for key in wish.data):
        raise ContentError(f"'{wish.data}' is not understood", "write {field: value, ...}", file, wish.line)
    return dict(wish.data)


def _only(data: Mapping[str, object], allowed: frozenset[str], line: int, file: str) -> None:
    for key in data:
        if key not in allowed:
            raise ContentError(f"'{key}' does not belong here", f"fields: {', '.join(sorted(allowed))}", file, line)


def _text(data: Mapping[str, object], key: str, line: int, file: str) -> str:
    value = data.get(key)
    if not isinstance(value, str) or not value.strip():
        what = f"'{key}' is missing" if key not in data else f"{key}: '{value}' is not a text"
        raise ContentError(what, f"add {key}: with a text", file, line)
    return value.strip()


def _place(data: Mapping[str, object], key: str, line: int, file: str) -> str:
    """The words of a place, understood."""
    with located(file, line):
        return parse_place(_figure_or_text(data, key, line, file)).text


def _bars(data: Mapping[str, object], line: int, file: str) -> str:
    """The words for whole bars, empty where none are given."""
    if "bars" not in data:
        return ""
    with located(file, line):
        return parse_bars(_figure_or_text(data, "bars", line, file)).text


def _figure_or_text(data: Mapping[str, object], key: str, line: int, file: str) -> str:
    value = data.get(key)
    is_figure = isinstance(value, int) and not isinstance(value, bool)
    return str(value) if is_figure else _text(data, key, line, file)


def _yes(data: Mapping[str, object], key: str, line: int, file: str) -> bool | None:
    value = data.get(key)
    if value is not None and not isinstance(value, bool):
        raise ContentError(f"{key}: '{value}' is neither yes nor no", "write true or false", file, line)
    return value
