"""What is at fault with assignments as they are written, and codes that are somebody's name."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator
from difflib import get_close_matches

from sitegen.checking.given_names import GIVEN_NAMES
from sitegen.checking.nouns import Finding
from sitegen.library import Assignment, Library, slug_meant
from sitegen.library.references import read_references
from sitegen.places.letters import in_addresses

_WORD = re.compile(r"[^\W\d_]+")
_OF_GROUPS = frozenset({
    "monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday", "morning", "afternoon", "evening",
    "group", "class", "beginners", "all", "everybody", "duo", "trio", "choir", "ensemble", "term", "week", "level",
    "montag", "dienstag", "mittwoch", "donnerstag", "freitag", "samstag", "sonntag", "gruppe", "klasse", "anfänger",
    "alle", "woche", "blue", "red", "green", "yellow", "blau", "rot", "grün", "gelb",
})  # fmt: skip
"""Words with a capital that are nobody's name."""


def looks_like_a_name(code: str) -> bool:
    """Whether a code looks like a person's name: one of its words is a given name, or it has no figure and a word with
    a capital (``Thorben``, ``M. Sandvik``) or of a script that has none. To warn once too often costs a word; a
    child's name on a public page cannot be taken back."""
    words = _WORD.findall(unicodedata.normalize("NFC", code))
    if any(in_addresses(word) in GIVEN_NAMES for word in words):
        return True
    if any(sign.isdigit() for sign in code):
        return False
    return any(_has_a_capital(word) or word.lower() == word.upper() for word in words)


def _has_a_capital(word: str) -> bool:
    return len(word) > 2 and word[0].isupper() and not word.isupper() and word.lower() not in _OF_GROUPS


def names_in_place_of_codes(library: Library) -> Iterator[Finding]:
    """Assignments for a code that looks like a person's name."""
    for one in library.assigned.assignments:
        if looks_like_a_name(one.code):
            what = f"'{one.code}' looks like a person's name, and a published site is public"
            remedy = "Pupils are often children: write a code, such as 'code: blue-3'."
            yield _finding("warning", one, what, remedy, one.lines.get("code"))


def pieces_that_are_not_there(library: Library) -> Iterator[Finding]:
    """Pieces that are set and that the library does not hold."""
    for one in library.assigned.assignments:
        for entry, line in zip(one.matter.set, one.set_lines, strict=True):
            if slug_meant(entry.piece) not in library.slugs:
                near = get_close_matches(slug_meant(entry.piece), sorted(library.slugs), 3, 0.4)
                there = " or ".join(near) if near else ", ".join(sorted(library.slugs)[:12]) or "none yet"
                what = f"there is no piece '{entry.piece}'"
                yield _finding("error", one, what, f"Perhaps: {there}.", line)


def days_that_are_not_there(library: Library) -> Iterator[Finding]:
    """Days after the last day of an assignment."""
    for one in library.assigned.assignments:
        days = (one.matter.ends - one.matter.begins).days + 1
        for entry, line in zip(one.matter.set, one.set_lines, strict=True):
            if entry.day is not None and entry.day > days:
                what = f"day {entry.day} is after the last, which is day {days}"
                yield _finding("error", one, what, "Give it an earlier day, or 'ends' a later one.", line)


def days_before_the_piece(library: Library) -> Iterator[Finding]:
    """Assignments that end before a piece that they set was there: a slip of the year."""
    added = {piece.slug: piece.matter.added for piece in library.pieces}
    for one in library.assigned.assignments:
        for entry, line in zip(one.matter.set, one.set_lines, strict=True):
            day = added.get(slug_meant(entry.piece))
            if day and one.matter.ends.isoformat() < day:
                what = f"it ends on {one.matter.ends}, and '{entry.piece}' came into the library on {day}"
                yield _finding("warning", one, what, "Look at the years of 'begins' and 'ends'.", line)
                break


def links_of_words(library: Library) -> Iterator[Finding]:
    """Links of a teacher's word to the music: what is set is linked already, and bars are those of no piece here."""
    for one in library.assigned.assignments:
        references, taken_out = read_references(one.word, one.word_line)
        for reference in references:
            if reference.kind == "picture" or reference.scheme not in ("http", "https", "mailto"):
                what = f"the {reference.kind} '{reference.target}' leads nowhere from an assignment"
                remedy = "Name piece, stage and bars under 'set:'; a word may link to pages of the web."
                yield _finding("error", one, what, remedy, reference.line)
        for part in taken_out:
            yield _finding("warning", one, f"{part.what} is left out of the page", "", part.line)


def _finding(severity: str, one: Assignment, what: str, remedy: str, line: int | None) -> Finding:
    return Finding("error" if severity == "error" else "warning", what, remedy, str(one.file), line)
