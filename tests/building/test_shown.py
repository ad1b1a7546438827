"""What is worked out for a reader stands on that reader's page, in each language that the program speaks."""

from __future__ import annotations

import json
import re
from html import unescape
from pathlib import Path

import pytest

from tests.building.conftest import Build
from tests.building.studio import musicxml, write_content

RIGHT = "C5q D5 E5 F5 | G5h E5 | A5q G5 F5 E5 | D5w | C5q D5 E5 F5 | G5h E5 | F5q E5 D5 B4 | C5w"
LEFT = (
    "C3e G3 E3 G3 C3 G3 E3 G3 | C3e G3 E3 G3 C3 G3 E3 G3 | F3e C4 A3 C4 F3 C4 A3 C4 | G3e D4 B3 D4 G3 D4 B3 D4 | "
    "C3e G3 E3 G3 C3 G3 E3 G3 | C3e G3 E3 G3 C3 G3 E3 G3 | F3e A3 D4 A3 G3 D4 B3 D4 | C3e G3 E3 G3 C3 G3 E3 G3"
)
"""Eight bars: a half close after four, the same again to a full close."""
NOTE = "Ask before you perform it."

FORM = {
    "en": "Bars 1 to 8: a period; from bar 5 the second phrase begins like the first, and closes more firmly",
    "de": "Takt 1 bis 8: eine Periode; ab Takt 5 beginnt die zweite Phrase wie die erste und schließt fester",
    "pl": "Takty od 1 do 8: okres; od taktu 5 druga fraza zaczyna się jak pierwsza i kończy się mocniej",
}
FOR_THE_PUPIL = {
    "en": (
        "The work of the hands: 5, where an easy five-finger piece has 2",
        "For the teacher: how the piece was",
    ),
    "de": ("Die Arbeit der Hände: 5; ein leichtes Fünffingerstück hat 2", "Für die Lehrkraft: wie das Stück gelesen"),
    "pl": ("Praca rąk: 5; łatwy utwór na pięć palców ma 2", "Dla nauczyciela: jak odczytano utwór"),
}
FOR_THE_TEACHER = {
    "en": (
        "Bars 1 to 4: half cadence",
        "What sounds lowest on the beat: the bass of each harmony, held until the next.",
        "The work of the hands: 5.4, of it the number of notes 4.3; the hands playing together 1.1.",
        "Heard: major chord on G, G in the bass. Its notes: G, B and D. 100% of what sounds belongs to it.",
    ),
    "de": (
        "Takt 1 bis 4: Halbschluss",
        "Was auf dem Schlag am tiefsten klingt: der Bass jeder Harmonie, gehalten bis zum nächsten.",
        "Die Arbeit der Hände: 5,4, davon die Zahl der Noten 4,3; das Zusammenspiel der Hände 1,1.",
        "Gehört: Durakkord auf G, G im Bass. Seine Töne: G, H und D. 100 % von dem, was klingt, gehören dazu.",
    ),
    "pl": (
        "Takty od 1 do 4: kadencja zawieszona",
        "To, co na miarę brzmi najniżej: bas każdej harmonii, trzymany do następnego.",
        "Praca rąk: 5,4, w tym liczba nut 4,3; współgranie rąk 1,1.",
        "Słychać: akord durowy na G, G w basie. Jego dźwięki: G, H i D. 100% tego, co brzmi, należy do niego.",
    ),
}
TO_WHO_ASKS = {
    "en": "Heard: major chord on G, G in the bass. Its notes: G, B and D.",
    "de": "Gehört: Durakkord auf G, G im Bass. Seine Töne: G, H und D.",
    "pl": "Słychać: akord durowy na G, G w basie. Jego dźwięki: G, H i D.",
}


def _text(page: Path) -> str:
    return " ".join(unescape(re.sub(r"<[^>]+>", "", page.read_text(encoding="utf-8"))).split())


@pytest.mark.parametrize("language", FORM)
def test_what_is_worked_out_stands_where_its_reader_is(build: Build, tmp_path: Path, language: str) -> None:
    content = write_content(tmp_path / "content", song=musicxml(RIGHT, LEFT))
    (content / "studio.yaml").write_text(f"title: The studio\nlanguage: {language}\nlicence_note: {NOTE}\n")
    assert build(content).errors == ()
    song = tmp_path / "site" / "pieces" / "song"

    pupil, teacher = _text(song / "stages" / "as-written" / "index.html"), _text(song / "reading.html")
    for said in (FORM[language], *FOR_THE_PUPIL[language]):
        assert said in pupil
    for said in (FORM[language], *FOR_THE_TEACHER[language]):
        assert said in teacher
    assert TO_WHO_ASKS[language] in json.loads((song / "harmonies.json").read_text(encoding="utf-8"))

    pages = [*(tmp_path / "site").rglob("*.html")]
    assert [page.name for page in pages if NOTE not in page.read_text(encoding="utf-8")] == []
