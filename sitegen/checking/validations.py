"""Every validation, in one list: ``check``, ``preview`` and ``build`` call the same.

A row names what is looked at and the function that looks. Those of the library see the content folder, those of a
draft a piece as it is written, those of a case the piece with its music understood. All of them are called, whatever
others find, so that every fault is told in one run.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable

from sitegen.checking import assignments, collections, commentary, library, licences, music, own_pages, plans, words
from sitegen.checking.cases import Case, WrittenPiece
from sitegen.checking.nouns import Finding
from sitegen.library import Library

OF_LIBRARY: tuple[tuple[str, Callable[[Library], Iterable[Finding]]], ...] = (
    ("what lies in the content folder", library.folder),
    ("whether there is a piece", library.empty),
    ("scores without a piece.md", library.without_words),
    ("the theme", library.theme),
    ("words of the studio's own", words.folder),
    ("the language", words.language),
    ("the collections", collections.folder),
    ("the pieces of the collections", collections.pieces),
    ("pages of the studio's own", own_pages.folder),
    ("HTML of these that is left out", own_pages.taken_out),
    ("where these lead", own_pages.links),
    ("codes that are names", assignments.names_in_place_of_codes),
    ("pieces that are set", assignments.pieces_that_are_not_there),
    ("days of assignments", assignments.days_that_are_not_there),
    ("assignments before their pieces", assignments.days_before_the_piece),
    ("links in a teacher's word", assignments.links_of_words),
)
OF_DRAFT: tuple[tuple[str, Callable[[WrittenPiece], Iterable[Finding]]], ...] = (
    ("the licence", licences.no_licence),
    ("the licence's SPDX identifier", licences.unknown_licence),
    ("a licence that allows no adaptations", licences.no_adaptations),
    ("what is said of rights", licences.rights_that_are_needed),
    ("a commentary that can be read", commentary.beyond_limits),
    ("HTML that is left out", commentary.taken_out),
    ("links that are misspelt", commentary.misspelt_schemes),
    ("links to other pieces", commentary.other_pieces),
    ("pictures and files", commentary.files_and_pictures),
    ("paths that lead away", commentary.paths_that_lead_away),
)
OF_CASE: tuple[tuple[str, Callable[[Case], Iterable[Finding]]], ...] = (
    ("what was odd in reading", music.odd_bars),
    ("bars that do not fill their metre", music.bars_off_their_metre),
    ("the rights line of the score", licences.rights_in_the_score),
    ("the note that the tempo counts", music.tempo_without_its_note),
    ("links into the music", commentary.bars_and_stages),
    ("stretches beyond the hand", music.stretches_beyond_the_hand),
    ("stages that do not rise", music.stages_that_do_not_rise),
    ("plans that nobody sees", plans.plans_that_are_not_made),
    ("plans longer than a term", plans.plans_without_end),
    ("plans before their piece", plans.plans_before_their_piece),
    ("alarms without a time", plans.alarms_without_time),
)


def check_library(content: Library) -> tuple[Finding, ...]:
    """What is found in the content folder as a whole."""
    return tuple(finding for _, look in OF_LIBRARY for finding in look(content))


def check_draft(draft: WrittenPiece) -> tuple[Finding, ...]:
    """What is found in a piece as it is written, without its music."""
    return tuple(finding for _, look in OF_DRAFT for finding in look(draft))


def check_case(case: Case) -> tuple[Finding, ...]:
    """What is found in a piece whose music is understood."""
    return tuple(finding for _, look in OF_CASE for finding in look(case))
