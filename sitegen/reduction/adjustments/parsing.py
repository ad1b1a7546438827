"""From the front matter's plain data to wishes: every entry is checked for its fields and their values."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace

from sitegen.places.words import nearest
from sitegen.reduction.adjustments.entries import Faults, WishEntry, entry_of
from sitegen.reduction.adjustments.reading_entries import READINGS, reading_of
from sitegen.reduction.techniques import HANDS_ALONE, find_technique, techniques
from sitegen.reduction.wishes import NoteWish, Reading, StageChange, StageWish, Wish, Wishes
from sitegen.score import Score
from sitegen.score.hand_spans import MEDIUM_HAND

_DEEDS = ("keep", "drop", "hold", "move")
_STAGE_FIELDS = frozenset({"technique", "file", "title", "listen", "bars", "side study", "of"})
_CHANGE_FIELDS = frozenset({"stage", "title", "listen", "bars", "leave out"})
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

    Raises ``ContentError`` with ``file`` and the entry's line for a field or a value that is not understood;
    ``FaultsError`` for several such entries, all of them.
    """
    wishes, faults = parse_what_can_be(adjustments, file, stages, own_scores, hand, in_english)
    faults.tell()
    return wishes


def parse_what_can_be(
    adjustments: Sequence[Wish],
    file: str,
    stages: Sequence[Wish] = (),
    own_scores: Mapping[str, Score] | None = None,
    hand: int = MEDIUM_HAND,
    in_english: Callable[[str], str] = str,
) -> tuple[Wishes, Faults]:
    """As ``parse_wishes``, but the entries that are understood, beside the faults of the others."""
    faults = Faults()
    made = [faults.attempt(lambda wish=wish: _adjustment(wish, file, in_english)) for wish in adjustments]  # type: ignore[misc]
    listed = [faults.attempt(lambda wish=wish: _stage(wish, file, own_scores or {}, in_english)) for wish in stages]  # type: ignore[misc]
    wishes = Wishes(
        file,
        hand,
        tuple(one for one in made if isinstance(one, Reading)),
        tuple(one for one in made if isinstance(one, NoteWish)),
        tuple(one for one in listed if one is not None),
        tuple(one for one in made if isinstance(one, StageChange)),
    )
    return wishes, faults


def _adjustment(wish: Wish, file: str, in_english: Callable[[str], str]) -> Reading | NoteWish | StageChange:
    entry = _in_english(entry_of(wish, file), in_english)
    reading = reading_of(entry)
    if reading is not None:
        return reading
    if "do" in entry.data:
        return _deed(entry)
    if "stage" in entry.data:
        return _change(entry)
    remedy = f"give one of {', '.join(READINGS)}, do (keep, drop, hold, move), or stage"
    raise entry.fault("this adjustment does not say what is to be done", remedy)


def _deed(entry: WishEntry) -> NoteWish:
    entry.only(_DEED_FIELDS)
    do, place = entry.text("do"), entry.place("at")
    if do not in _DEEDS:
        raise entry.fault(f"'{do}' is nothing that can be done to a note", nearest(do, _DEEDS))
    if not place.is_note:
        raise entry.fault(f"'{place.text}' does not name a note", "add its pitch, or top note")
    octaves, hand = entry.data.get("octaves", 0), entry.data.get("hand")
    if not isinstance(octaves, int) or isinstance(octaves, bool):
        raise entry.fault(f"octaves: '{octaves}' is not a whole number", "write 1 for up, -1 for down")
    if hand not in (None, "left", "right"):
        raise entry.fault(f"hand: '{hand}' is no hand", "write left or right")
    if (do == "move") != bool(octaves or hand):
        raise entry.fault("a move says where to, and nothing else does", "add octaves: or hand: to move")
    until = entry.until()
    if (do == "hold") != bool(until):
        raise entry.fault("a hold says until when, and nothing else does", "add until: with bar and beat")
    return NoteWish(do, place.text, entry.line, entry.text("stage", ""), until, octaves, hand)  # type: ignore[arg-type]


def _change(entry: WishEntry) -> StageChange:
    entry.only(_CHANGE_FIELDS)
    leave_out = bool(entry.yes("leave out"))
    title, listen = entry.words("title"), entry.words("listen")
    return StageChange(entry.text("stage"), entry.line, title, listen, entry.bars(), leave_out)


def _stage(wish: Wish, file: str, own_scores: Mapping[str, Score], in_english: Callable[[str], str]) -> StageWish:
    if isinstance(wish.data, str):
        return StageWish(_technique(WishEntry({"technique": in_english(wish.data)}, file, wish.line)), wish.line)
    entry = entry_of(wish, file)
    # '{blocked chords, title: ...}' is YAML for a key without a value
    bare = [key for key, value in entry.data.items() if value is None and key not in _STAGE_FIELDS]
    if len(bare) == 1 and "technique" not in entry.data:
        data = {key: value for key, value in entry.data.items() if key != bare[0]} | {"technique": bare[0]}
        entry = replace(entry, data=data)
    entry = _in_english(entry, in_english)
    entry.only(_STAGE_FIELDS)
    title, listen = entry.words("title"), entry.words("listen")
    bars, side = entry.bars(), entry.yes("side study")
    if "file" in entry.data:
        name = entry.text("file")
        if name not in own_scores:
            raise entry.fault(f"there is no score {name}", "put it in the piece's folder")
        return StageWish("", wish.line, title or name.rsplit(".", 1)[0], listen, bars, side, name, own_scores[name])
    name = _technique(entry)
    of = entry.text("of", "")
    if of and name not in HANDS_ALONE:
        raise entry.fault(f"'of' does not belong to '{name}'", f"it goes with {' and '.join(HANDS_ALONE)}")
    if name == "as written" and (bars or side):
        remedy = "leave out bars: and side study:"
        raise entry.fault("the score as written is the last stage of every ladder, and whole", remedy)
    return StageWish(name, wish.line, title, listen, bars, side, of=of)


def _in_english(entry: WishEntry, in_english: Callable[[str], str]) -> WishEntry:
    """The entry with the names of stages and techniques in English."""
    named = {key: value for key in ("stage", "of", "technique") if isinstance(value := entry.data.get(key), str)}
    return replace(entry, data={**entry.data, **{key: in_english(value) for key, value in named.items()}})


def _technique(entry: WishEntry) -> str:
    name = entry.text("technique")
    found = find_technique(name)
    if not found:
        raise entry.fault(f"there is no technique '{name}'", nearest(name, tuple(techniques())))
    return found
