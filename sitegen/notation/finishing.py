"""What music21 leaves to be said in the MusicXML it wrote: titles, bar numbers, upbeats, voices, tempo marks.

It also puts in what is not the score's own: a name of its own for a composer who is not named, the date, and ids of
parts that differ at every run. All of that goes, so that the same stage gives the same bytes.
"""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from xml.etree.ElementTree import Element, SubElement

from sitegen.score import Bar

#: Voices are numbered on from staff to staff, as notation programs do: 1 to 4 on the first, 5 to 8 on the second.
VOICES_A_STAFF = 4


def finish(tree: Element, title: str, piece: str, composer: str, bars: Sequence[Bar]) -> None:
    """Amend a score that music21 wrote: ``title`` names the stage, ``piece`` the work, either may be empty."""
    _name(tree, title, piece, composer)
    for number, part in enumerate(tree.iter("part"), 1):
        _rename(tree, part, f"P{number}")
        for bar, measure in zip(bars, part.iter("measure"), strict=True):
            measure.set("number", bar.number)
            if bar.lead:
                measure.set("implicit", "yes")
            _number_voices(measure)
            _join_tempo_words(measure)


def _name(tree: Element, title: str, piece: str, composer: str) -> None:
    for work in tree.findall("work"):
        work.clear()
        SubElement(work, "work-title").text = piece or title
    for movement in tree.findall("movement-title"):
        movement.text = title
    for identification in tree.findall("identification"):
        for encoding in identification.findall("encoding"):
            identification.remove(encoding)
        if not composer:
            for creator in identification.findall("creator"):
                identification.remove(creator)
        if not len(identification):
            tree.remove(identification)


def _rename(tree: Element, part: Element, name: str) -> None:
    for listed in tree.iterfind("part-list/score-part"):
        if listed.get("id") == part.get("id"):
            listed.set("id", name)
    part.set("id", name)


def _number_voices(measure: Element) -> None:
    """music21 counts the voices of a bar through both staves, so that the left hand's change from bar to bar."""
    given: dict[int, dict[str, str]] = {}
    for element in measure.iter("note"):
        staff, voice = int(element.findtext("staff") or 1), element.find("voice")
        if voice is None:
            continue
        of_staff = given.setdefault(staff, {})
        number = VOICES_A_STAFF * (staff - 1) + len(of_staff) + 1
        voice.text = of_staff.setdefault(voice.text or "", str(number))


def _join_tempo_words(measure: Element) -> None:
    """music21 writes the words of a tempo as a direction below its figure: put them before the figure, above. Of a
    tempo whose figure is not printed it writes empty words; only what sounds stays of them."""
    directions = [e for e in measure if e.tag == "direction"]
    for figure, words in itertools.pairwise(directions):
        of_tempo = words.find("direction-type/words[@font-weight]") is not None
        if figure.find("sound") is not None and of_tempo:
            figure.insert(0, words[0])
            measure.remove(words)
    for direction in directions:
        for empty in [e for e in direction.findall("direction-type") if e.find("words") is not None and not e[0].text]:
            direction.remove(empty)
        if direction.find("direction-type/words[@font-weight]") is not None:
            direction.set("placement", "above")
        sound = direction.find("sound")
        if sound is not None and direction.find("direction-type") is None:
            measure.insert(list(measure).index(direction), sound)
            measure.remove(direction)
