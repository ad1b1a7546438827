"""From what was found in quarters to a ``Score`` in ticks."""

from __future__ import annotations

from fractions import Fraction
from xml.etree.ElementTree import Element

from sitegen.score.headings import without_headings
from sitegen.score.layers import XML_ID
from sitegen.score.lettering import told_in_letters
from sitegen.score.mei_values import has_accidental
from sitegen.score.nouns import Bar, Clef, Note, Notehead, Score, Tempo
from sitegen.score.signs_found import mark_notes, place_signs, place_slurs
from sitegen.score.staves import name_hands
from sitegen.score.ties import carry_accidentals, merge_ties, pair_ties
from sitegen.score.time_unit import settle_on_ticks
from sitegen.score.walking import NoteFound, Walk


def assemble(walk: Walk, tree: Element) -> Score:
    """The score of what ``walk`` found; ``tree`` is the whole MEI, for title and composer."""
    tpq = settle_on_ticks(walk)
    bars = _bars(walk, tpq)
    onsets = [bar.onset for bar in bars]
    staves = name_hands(walk.staves)
    heads = [_head(found, walk, onsets[found.bar], tpq, len(staves)) for found in walk.notes]
    clefs = tuple(
        Clef(staff, onsets[bar] + int(at * tpq), *value)
        for staff, bar, at, value in sorted(walk.clefs, key=lambda c: (c[0], c[1], c[2]))
        if bar < len(bars)
    )
    title, composer = _names(tree)
    tempi = tuple(Tempo(onsets[m.bar] + int(m.at * tpq), m.speed, m.text, m.figure) for m in walk.signs.tempi)
    warnings = (f"{walk.unpitched} unpitched notes are left out",) if walk.unpitched else ()
    plain = set() if walk.spelled_out else {n.id for n in walk.notes if not has_accidental(n.event.element)}
    links = _ties(walk, heads, plain)
    notes = mark_notes(merge_ties(carry_accidentals(heads, links, plain), links), walk.phrasing)
    placed = dict.fromkeys(told_in_letters(place_signs(walk.phrasing, bars, notes, tpq)))
    signs = without_headings(placed, bars, title, composer)
    slurs = place_slurs(walk.phrasing, notes)
    return Score(tpq, bars, staves, notes, clefs, tempi, walk.file, title, composer, warnings, signs, slurs)


def _head(found: NoteFound, walk: Walk, bar_onset: int, tpq: int, staves: int) -> Note:
    event = found.event
    onset, duration = bar_onset + int(found.onset * tpq), int(found.duration * tpq)
    names = [found.id] + ([event.parent.get(XML_ID, "")] if event.parent is not None else [])
    marks = walk.signs.at(names, found.bar, found.onset, found.staff)
    return Note(
        found.id, found.bar, onset, duration, found.pitch, min(found.staff, staves), found.voice,
        grace=event.grace, noteheads=(Notehead(found.id, found.bar, onset, duration),), ornaments=marks.ornaments,
        arpeggio=marks.arpeggio, tremolo=event.tremolo, fermata=marks.fermata, slur_start=marks.slur_start,
        slur_end=marks.slur_end, chord=event.chord, small=event.small, implied=event.small and not event.printed,
    )  # fmt: skip


def _ties(walk: Walk, heads: list[Note], plain: set[str]) -> dict[str, str]:
    """Which notehead is tied to which: as the ``tie`` elements say, then by the ends marked at the notes."""
    starts, stops = set(), set()
    if walk.times is not None:
        starts = {name for name, place in walk.times.places.items() if place.tie_start}
        stops = {name for name, place in walk.times.places.items() if place.tie_stop}
        return pair_ties(heads, starts, stops, plain)
    for found in walk.notes:
        element, parent = found.event.element, found.event.parent
        ends = element.get("tie") or (parent.get("tie") if parent is not None else None) or ""
        if set(ends) & {"i", "m"}:
            starts.add(found.id)
        if set(ends) & {"m", "t"}:
            stops.add(found.id)
    links = dict(walk.signs.tie_ends)
    return pair_ties(heads, starts - links.keys(), stops - set(links.values()), plain) | links


def _bars(walk: Walk, tpq: int) -> tuple[Bar, ...]:
    bars: list[Bar] = []
    onset, before = 0, Fraction(0)
    for index, b in enumerate(walk.bars):
        full = b.metre.quarters
        short = full - b.length
        is_upbeat = short > 0 and (index == 0 or before == short)
        lead = short if is_upbeat else Fraction(0)
        start = b.repeat_start or index - 1 in walk.signs.repeat_after
        bars.append(Bar(
            index, b.number, onset, int(b.length * tpq), b.metre, b.fifths, int(lead * tpq), start, b.repeat_end,
            b.endings, b.odd,
        ))  # fmt: skip
        onset += int(b.length * tpq)
        before = b.length if not is_upbeat or index == 0 else Fraction(0)
        if b.length == full:
            before = Fraction(0)
    return tuple(bars)


def _names(tree: Element) -> tuple[str, str]:
    """Title and composer, empty where the source gives none."""

    def first(*paths: str) -> str:
        texts = (" ".join("".join(e.itertext()).split()) for path in paths for e in tree.iterfind(path))
        return next((text for text in texts if text), "")

    title = first(".//{*}workList/{*}work/{*}title/{*}titlePart[@type='main']", ".//{*}titleStmt/{*}title")
    composer = first(
        ".//{*}titleStmt/{*}composer",
        ".//{*}titleStmt//{*}persName[@role='composer']",
        ".//{*}composer/{*}persName",
        ".//{*}work/{*}composer",
    )
    return title, composer
