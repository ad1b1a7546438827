"""Reading YAML with the line of every field, and its mistakes of form in a teacher's words."""

from __future__ import annotations

import re
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from ruamel.yaml import YAML
from ruamel.yaml.comments import CommentedMap, CommentedSeq
from ruamel.yaml.error import MarkedYAMLError, YAMLError

from sitegen.errors import ContentError
from sitegen.library.limits import check_front_matter

_QUOTE_IT = 'Put the whole text in double quotes: "...".'
_STRAIGHT = 'Put the whole text in straight double quotes: "...". Curly ones are part of the text.'
_NOT_INDENTED = "this line is not indented like those that it belongs to"
_TOO_DEEP = "lists or fields stand too deep in each other"
_ONE_INDENT = "Give fields that belong together the same number of spaces before them."

#: What the reader of YAML says (a pattern), what that is to a teacher, what to do; the first that fits is told.
_MISTAKES: tuple[tuple[str, str, str], ...] = (
    (r"character '\\t'", "a tab stands where spaces are needed", "Write spaces in place of the tab."),
    (r"character '(.)' that cannot start", "a text begins with {0}, which has a meaning of its own here", _QUOTE_IT),
    (r"undefined alias", "a text begins with *, which has a meaning of its own here", _QUOTE_IT),
    (r"duplicate key \"([^\"]*)\"", "field '{0}' is there twice", "Leave one of the two."),
    (r"scanning a quoted scalar", "a quotation mark is opened and not closed", "Close it at the end of the text."),
    (r"unknown escape character", "a backslash in double quotes has a meaning of its own", "Write it twice: \\\\."),
    (r"expected ',' or '([\]}])'", "a list or group of fields is opened and not closed", "Close it with {0}."),
    (r"parsing a flow|scanning a simple key", "brackets or commas do not fit together", "Close every bracket once."),
    (r"scanning a block scalar", "'>' or '|' stands at the beginning of a text", _QUOTE_IT),
    (r"another document|document start", "a line '---' stands inside the fields", "Leave one before and one after."),
    (r"found '<scalar>'", "text follows behind a closing quotation mark", _QUOTE_IT),
    (r"expected <block end>|block (mapping|collection|sequence)", _NOT_INDENTED, _ONE_INDENT),
    (r"special characters|unacceptable", "a character stands here that no text may hold", "Write the word anew."),
)  # fmt: skip


def load_yaml(text: str, file: Path, first_line: int = 1) -> CommentedMap:
    """Read a YAML mapping that begins on ``first_line`` of ``file``. Raises ``ContentError`` with the line and, where
    the form is at fault, what the mistake most likely is."""
    check_front_matter(text, file, first_line)
    try:
        data = YAML(typ="rt").load(text)
    except MarkedYAMLError as error:
        mark = error.problem_mark or error.context_mark
        raise _mistake(
            f"{error.context or ''} {error.problem or ''}", text, mark.line if mark else 0, file, first_line
        ) from error
    except RecursionError as error:
        raise ContentError(_TOO_DEEP, "Write them in fewer levels.", file, line=first_line) from error
    except Exception as error:  # a character that is none, or a value that is not of the kind that it names
        place = _stumbled_over(text)
        if place is None:
            odd = re.search(r"[^\t\n\r\x20-\x7e\x85\xa0-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]", text)
            raise _mistake(
                str(error), text, text.count("\n", 0, odd.start()) if odd else 0, file, first_line
            ) from error
        raise ContentError(
            "a value stands here that cannot be read", _QUOTE_IT, file, line=first_line + place
        ) from error
    if data is None:
        return CommentedMap()
    if not isinstance(data, CommentedMap):
        without_space = re.match(r"(\w[\w ]*):(?=\S)", text.lstrip())
        remedy = (
            f"Write a space behind the colon: '{without_space[1]}: ...'." if without_space else "Write 'title: ...'."
        )
        raise ContentError("fields with values are expected here", remedy, file, line=first_line)
    return data


def _stumbled_over(text: str) -> int | None:
    """The line, from 0, of the field whose value cannot be read: a date or a number that there is not."""
    lines = text.split("\n")
    begins = [number for number, line in enumerate(lines) if re.match(r"[^\s#]", line)]
    for start, end in zip(begins, [*begins[1:], len(lines)], strict=True):
        try:
            YAML(typ="rt").load("\n".join(lines[start:end]))
        except YAMLError:
            continue
        except Exception:
            return start
    return None


def line_of(data: Any, path: Sequence[str | int], first_line: int) -> int:
    """The line of the value at ``path``, or of the nearest mapping or list around it."""
    line = first_line
    for step in path:
        try:
            if isinstance(data, CommentedMap):
                line = first_line + data.lc.key(step)[0]
            elif isinstance(data, CommentedSeq) and isinstance(step, int):
                line = first_line + data.lc.item(step)[0]
            data = data[step]
        except (KeyError, IndexError, TypeError, AttributeError):
            break
    return line


def _mistake(said: str, text: str, place: int, file: Path, first_line: int) -> ContentError:
    lines = text.split("\n")
    line = lines[min(place, len(lines) - 1)]
    if "quoted" not in said and (shown := _told_by_the_line(lines, place, file, first_line)):
        return shown
    if "mapping values are not allowed" in said or "expected ':'" in said:
        return _colon(lines, place, file, first_line)
    if "quoted scalar" in said or "flow" in said:
        place = _opened(lines, place)
    for pattern, what, remedy in _MISTAKES:
        if found := re.search(pattern, said):
            if "behind a closing" in what and not re.search(r"['\"]", line):
                continue
            group = found[1] if found.groups() else ""
            return ContentError(what.format(group), remedy.format(group), file, line=first_line + place)
    return ContentError("the form of this line is not understood", _ONE_INDENT, file, line=first_line + place)


def _told_by_the_line(lines: Sequence[str], place: int, file: Path, first_line: int) -> ContentError | None:
    """What the line itself shows, whatever the reader stumbled over: no space behind a colon, no colon, or a text that
    begins with a sign."""
    for number in (place, place - 1):
        line = lines[number] if 0 <= number < len(lines) else ""
        told = (file, first_line + number)
        if joined := re.match(r"(?:- )?([a-z]+):(?=[^\s/])", line):
            remedy = f"Write a space behind the colon: '{joined[1]}: ...'."
            return ContentError("a colon stands here without a space behind it", remedy, *told)
        if re.match(r"[\w-]+: +\[[^\]]*\] *\S", line):
            return ContentError("a text begins with [, which has a meaning of its own here", _QUOTE_IT, *told)
        if re.match(r"[\w-]+: +- ", line):
            return ContentError("a text begins with -, which has a meaning of its own here", _QUOTE_IT, *told)
        if re.match(r"[A-Za-z]+ [^:]*$", line):
            return ContentError("this line has no colon", "Write 'title: ...', with a space behind it.", *told)
    return None


def _colon(lines: Sequence[str], place: int, file: Path, first_line: int) -> ContentError:
    """A colon too many, or one too few on the line before, or a line that is indented too far: all are one to YAML."""
    line = lines[place]
    before = next((text for text in reversed(lines[:place]) if text.strip()), "")
    if line.count(": ") + line.endswith(":") > 1:
        remedy = _STRAIGHT if re.search(r": *[“”„‟‘’‚‛]", line) else _QUOTE_IT
        return ContentError("a text has a colon in it", remedy, file, line=first_line + place)
    if before and ":" not in before and not before.lstrip().startswith(("-", "#")):
        number = first_line + max(i for i in range(place) if lines[i].strip())
        return ContentError("this line has no colon", "Write 'title: ...', with a space behind it.", file, line=number)
    return ContentError(_NOT_INDENTED, _ONE_INDENT, file, line=first_line + place)


def _opened(lines: Sequence[str], place: int) -> int:
    """The line, at or before ``place``, that opens a bracket or a quotation mark and does not close it."""
    for number in range(min(place, len(lines) - 1), -1, -1):
        line = lines[number]
        odd_quotes = any(re.sub(r"\w'\w", "", line).count(mark) % 2 for mark in "'\"")
        if odd_quotes or line.count("[") != line.count("]") or line.count("{") != line.count("}"):
            return number
    return place
