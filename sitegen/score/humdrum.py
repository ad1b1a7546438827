"""Humdrum before it is imported: that its lines and spines hold together, and no note hides in an abbreviation.

Source: the Humdrum syntax (humdrum.org, "Humdrum file structure") and the ``**kern`` representation.
"""

from __future__ import annotations

import re

from sitegen.errors import ScoreError
from sitegen.score.oddities import Oddities

_TREMOLO = re.compile(r"\*X?tremolo\b")
_LETTERS = re.compile(r"[A-Ga-g]+")
_MOST_SPINES = 64
_UNITS = ("1", "2", "4", "8", "16", "32", "64", "128")
_MOST_LETTERS = 4  # CCCC is C0
_METRE = re.compile(r"\*M(\d+(?:\+\d+)*)/(\d+)\S*")


def without_abbreviations(text: str) -> str:
    """Humdrum with its tremolos left written out, note by note: drawn as strokes, most of them would have no id."""
    return re.sub(r"(?m)^\*.*$", lambda line: _TREMOLO.sub("*", line[0]), text)


def without_odd_metres(text: str, odd: Oddities) -> str:
    """Humdrum without time signatures that cannot be."""

    def kept(found: re.Match[str]) -> str:
        beats = sum(map(int, found[1].split("+"))) if len(found[1]) < 20 else 0
        if 0 < beats <= 99 and found[2] in _UNITS:
            return found[0]
        odd.add("", f"the time signature {found[1][:9]}/{found[2][:9]} cannot be; the one before stays", "Correct it.")
        return "*"

    return _METRE.sub(kept, text)


def with_numbered_upbeat(text: str) -> str:
    """Humdrum with bar 0 before what stands before its first bar line, where that line begins bar 1."""
    lines = text.splitlines()
    music = (k for k, line in enumerate(lines) if line and not line.startswith(("!", "*")))
    first = next(music, None)
    line = next((lines[k] for k in music if lines[k].startswith("=")), "")
    if first is None or lines[first].startswith("=") or not re.match(r"=+1(?!\d)", line):
        return text
    fields = len(lines[first].split("\t"))
    return "\n".join([*lines[:first], "\t".join(["=0-"] * fields), *lines[first:]]) + "\n"


def check_humdrum(text: str, file: str) -> None:
    """Raise ``ScoreError`` (line, what is wrong) where spines and fields do not agree or a token is no note."""
    spines: list[str] = []
    kern = False
    for number, line in enumerate(text.splitlines(), 1):
        if not line or line.startswith("!!"):
            continue
        fields = line.split("\t")
        if not spines:
            if not all(field.startswith("**") for field in fields):
                raise ScoreError("does not begin with spines such as **kern", "Save it as Humdrum again.",
                                 file, line=number)  # fmt: skip
            spines = fields
            kern = kern or "**kern" in spines
            continue
        if len(fields) != len(spines):
            raise ScoreError(f"has {len(fields)} fields where {len(spines)} spines are open",
                             "Separate the fields with one tab each.", file, line=number)  # fmt: skip
        if 0 < sum(field.startswith("=") for field in fields) < len(fields):
            raise ScoreError("a bar line does not go through all spines", "Give it to each of them, in a line alone.",
                             file, line=number)  # fmt: skip
        if line.startswith("*"):
            spines = _interpret(fields, spines, file, number)
            kern = kern or "**kern" in spines
        elif not line.startswith(("!", "=")):
            _check_tokens(fields, spines, file, number)
    if not kern:
        raise ScoreError("holds no **kern spine", "Only **kern is music that can be read.", file)


def _interpret(fields: list[str], spines: list[str], file: str, number: int) -> list[str]:
    """The spines after a line of interpretations: splits, joins, ends, exchanges."""
    out: list[str] = []
    joining = False
    for place, (field, spine) in enumerate(zip(fields, spines, strict=True)):
        if not field.startswith("*"):
            raise ScoreError(f"'{field}' stands among interpretations", "Give this line to interpretations alone.",
                             file, line=number)  # fmt: skip
        if field == "*v":
            if not joining and (place + 1 == len(fields) or fields[place + 1] != "*v"):
                raise ScoreError("a spine is joined with nothing", "Put *v in two fields side by side.",
                                 file, line=number)  # fmt: skip
            if not joining:
                out.append(spine)
            joining = True
            continue
        joining = False
        if field == "*^":
            out += [spine, spine]
        elif field == "*+":
            out += [spine, "**"]
        elif field != "*-":
            out.append(field if field.startswith("**") else spine)
    if len(out) > _MOST_SPINES:
        raise ScoreError(f"more than {_MOST_SPINES} spines", "Split the score.", file, line=number)
    return out


def _check_tokens(fields: list[str], spines: list[str], file: str, number: int) -> None:
    for field, spine in zip(fields, spines, strict=True):
        if spine != "**kern" or field == ".":
            continue
        for token in field.split(" "):
            letters = _LETTERS.search(token)
            rest = "r" in token
            pitched = letters is not None and len(set(letters[0])) == 1
            if pitched and letters is not None and len(letters[0]) > (6 if letters[0].islower() else _MOST_LETTERS):
                raise ScoreError(f"'{token[:20]}' lies beyond the keyboard", "Correct its octave.", file, line=number)
            timed = re.search(r"\d", token) is not None or "q" in token or "Q" in token
            if re.search(r"\d{5}", token) or not (rest or pitched) or not (timed or (rest and not pitched)):
                raise ScoreError(f"'{token}' is not a note or rest", "Correct this token.", file, line=number)
