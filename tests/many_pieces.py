"""A library of hundreds of small pieces, written by rule: tunes of our own over harmonies in all keys, of nobody.

The ``number`` of a piece decides everything: its key, its metre, how its chords are laid out, its tune, who is said to
have written it. So a library of 300 is the beginning of one of 1,000.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from sitegen.publishing.browsing.words import one_word, words_in
from sitegen.publishing.cards import GalleryCard
from sitegen.publishing.nouns import Drawing, PublishedCollection
from tests.building.studio import musicxml

COMPOSERS = (
    "Anselm Torvik", "Mirela Oskan", "Ottilie Brandt-Haule", "Jorun Élvaré", "Casimir Pohl", "Thea Lindqvarn",
    "Edda Marschner-Quill", "Iván Sorolda", "Wenzel Hrubín", "Rosalind Ackerby", "Tobias Kehlmeer", "Néa Dufraine",
    "Gudrun Osterlow", "Bela Vargay", "Philippa Sternway", "Hannes Uhlenbrook", "Ysolde Carrow", "Matteo Brusaschi",
    "Lene Færgemand", "Oskar Wyszogrod", "Clara Tannhof", "Simon Greywater", "Ada Mühlbacher", "Jonas Ekelöf",
)  # fmt: skip
FORMS = (
    "March", "Song without words", "Waltz", "Étude", "Lullaby", "Dance", "Romance", "Invention", "Bagatelle",
    "Nocturne",
)  # fmt: skip
MOODS = ("Little", "Quiet", "Merry", "Evening", "Winter", "Garden", "Old", "Wandering")
LEVELS = ("beginner", "early intermediate", "intermediate", "late intermediate")
PERIODS = ("Baroque", "Classical", "Romantic", "Modern")
LIBRARIES = ("", "", "", "Studio Ostwind", "The house by the weir")
"""Whose libraries the pieces are of; empty for the studio's own."""
#: What the left hand does with a chord of lowest, middle and highest note, in quavers of 4/4 and of 3/4.
LEFT = {
    "Alberti bass": ("LHMHLHMH", "LHMHMH"),
    "broken chord": ("LMHMLMHM", "LMHMHM"),
    "repeated chords": ("CCCC", "CCC"),
    "bass and chord": ("L-C-L-C-", "L-C-C-"),
    "chordal": ("C", "C"),
}
PROGRESSIONS = ((0, 3, 4, 0, 5, 1, 4, 0), (0, 5, 3, 4, 0, 3, 4, 0), (0, 4, 0, 4, 5, 3, 4, 0), (0, 1, 4, 0, 3, 0, 4, 0))
_FIFTHS, _LETTERS = "FCGDAEB", "CDEFGAB"
_MAJOR, _MINOR = (0, 2, 4, -1, 1, 3, 5), (0, 2, -3, -1, 1, -4, -2)
_TONICS = (0, 1, -1, 2, -2, 3, -3, 4, -4)


@dataclass(frozen=True)
class Small:
    """A piece of the library: what it is called, and its notes in the notation of ``tests/notation.py``."""

    number: int
    title: str
    composer: str
    key: str
    level: str
    period: str
    texture: str
    metre: str
    right: str
    left: str
    library: str

    @property
    def slug(self) -> str:
        return f"piece-{self.number:04}"

    @property
    def added(self) -> str:
        return f"2026-{1 + self.number % 10:02}-{1 + self.number % 28:02}"

    @property
    def bars(self) -> int:
        return self.right.count("|") + 1


def piece(number: int) -> Small:
    """The piece of this number."""
    minor, tonic = number % 3 == 2, _TONICS[number // 2 % len(_TONICS)]
    threes = number % 4 == 1
    texture = list(LEFT)[number % len(LEFT)]
    chords = PROGRESSIONS[number // 5 % len(PROGRESSIONS)] * (1 + number % 4)
    form = FORMS[number % len(FORMS)]
    return Small(
        number,
        f"{MOODS[number // 3 % len(MOODS)]} {form}, No. {number}",
        COMPOSERS[number * 7 % len(COMPOSERS)],
        f"{_name(tonic)} {'minor' if minor else 'major'}",
        LEVELS[number // 7 % len(LEVELS)],
        PERIODS[number // 11 % len(PERIODS)],
        texture,
        "3/4" if threes else "4/4",
        " | ".join(_tune(number, bar, chord, tonic, minor, threes) for bar, chord in enumerate(chords)),
        " | ".join(_accompaniment(LEFT[texture][threes], chord, tonic, minor, threes) for chord in chords),
        LIBRARIES[number // 13 % len(LIBRARIES)],
    )


def _name(fifths: int) -> str:
    signs, letter = divmod(fifths + 1, 7)
    return _FIFTHS[letter] + ("#" * signs if signs > 0 else "b" * -signs)


def _pitch(degree: int, tonic: int, minor: bool, octave: int, leading: bool = False) -> str:
    """The note of a degree of the scale (0 the tonic, further ones beyond the octave); of minor the leading note is
    raised where its chord is the dominant."""
    steps = _MINOR if minor else _MAJOR
    raised = 7 if minor and leading and degree % 7 == 6 else 0
    name = _name(tonic + steps[degree % 7] + raised)
    place = _LETTERS.index(_name(tonic)[0]) + degree
    return f"{name}{octave + place // 7}"


def _tune(number: int, bar: int, chord: int, tonic: int, minor: bool, threes: bool) -> str:
    """A note of the chord on each beat, led into by a step now and then, and a long one at the end of a phrase."""
    beats = 3 if threes else 4
    tones = [chord, chord + 2, chord + 4]
    turn = (number + 3 * bar + bar * bar) % 7
    if bar % 4 == 3:
        return _pitch(tones[turn % 3], tonic, minor, 4, chord == 4) + ("h." if threes else "w")
    notes = []
    for beat in range(beats):
        degree = tones[(turn + beat * (1 + number % 2)) % 3]
        if (turn + beat) % 3 == 1:
            notes += [
                _pitch(degree, tonic, minor, 4, chord == 4) + "e",
                _pitch(degree + (1 if turn % 2 else -1), tonic, minor, 4, chord == 4) + "e",
            ]
        else:
            notes.append(_pitch(degree, tonic, minor, 4, chord == 4) + "q")
    return " ".join(notes)


def _accompaniment(pattern: str, chord: int, tonic: int, minor: bool, threes: bool) -> str:
    low, middle, high = (_pitch(chord + step, tonic, minor, 2, chord == 4) for step in (0, 2, 4))
    whole = f"{low}+{middle}+{high}"
    if pattern == "C":
        return whole + ("h." if threes else "w")
    if set(pattern) == {"C"}:
        return " ".join(whole + "q" for _ in pattern)
    said = {"L": low, "M": middle, "H": high, "C": whole}
    pairs = pattern.replace("-", "")
    value = "q" if "-" in pattern else "e"
    return " ".join(said[one] + value for one in pairs)


def write_many(root: Path, count: int) -> None:
    """A content folder with the first ``count`` pieces, and a collection for each level."""
    root.mkdir(parents=True, exist_ok=True)
    (root / "studio.yaml").write_text(
        "title: The large studio\naddress: https://example.org/studio\nrights: optional\n", "utf-8"
    )
    for one in map(piece, range(count)):
        folder = root / one.slug
        folder.mkdir()
        (folder / "score.musicxml").write_text(musicxml(one.right, one.left, one.metre), "utf-8")
        fields = {
            "title": one.title, "composer": one.composer, "score": "score.musicxml", "licence": "CC0-1.0",
            "level": one.level, "period": one.period, "added": one.added, "summary": _summary(one),
        }  # fmt: skip
        front = "\n".join(f"{name}: {json.dumps(value, ensure_ascii=False)}" for name, value in fields.items())
        (folder / "piece.md").write_text(f"---\n{front}\n---\n\n{_commentary(one)}\n", "utf-8")
    (root / "collections").mkdir()
    for one in collections(count):
        front = {"title": one.title, "summary": one.summary, "pieces": list(one.pieces)}
        lines = "\n".join(f"{name}: {json.dumps(value)}" for name, value in front.items())
        (root / "collections" / f"{one.slug}.md").write_text(f"---\n{lines}\n---\n\nFirst to last.\n", "utf-8")


def collections(count: int) -> Iterator[PublishedCollection]:
    """For each level the pieces of a term, the last one first."""
    for place, level in enumerate(LEVELS):
        slugs = [one.slug for one in map(piece, range(count)) if one.level == level][:8][::-1]
        if slugs:
            yield PublishedCollection(
                f"term-{place + 1}", f"Term {place + 1}", tuple(slugs), level, "<p>First to last.</p>"
            )


def card(number: int, incipits: int) -> GalleryCard:
    """The piece as the gallery knows it; its first bars are one of so many drawings."""
    one = piece(number)
    tags = (one.texture, one.level)
    techniques = ("bass line", "outer voices", "blocked chords", "left hand alone", "right hand alone")
    return GalleryCard(
        one.slug, one.title, one.composer, _summary(one), one.key, tags, one.bars, 6,
        Drawing(f"../../incipits/{number % incipits}.svg", 778.0, 433.0), one.level, one.period, one.added,
        (one.texture,), techniques[: 2 + number % 4], (7, 10, 12, 15)[number % 4], LEVELS.index(one.level) + 1.0,
        one.library,
    )  # fmt: skip


def words(number: int) -> dict[str, list[str]]:
    """The words by which the piece is found; ``tests/publishing`` has those that a build takes from pages."""
    one = piece(number)
    key = one_word(one.key.replace("#", "♯").replace("b ", "♭ "))
    texts = {
        "called": f"{one.title} {one.composer}",
        "is": f"{key} {one.level} {one.period} {one.texture} {_summary(one)}",
        "told": _commentary(one),
    }
    return {nearness: sorted(set(words_in(text))) for nearness, text in texts.items()} | {"keys": [key]}


def _summary(one: Small) -> str:
    return f"A piece of {one.bars} bars in {one.key.split()[1]}, with {one.texture} in the left hand."


def _commentary(one: Small) -> str:
    sung = ("suspension", "sequence", "echo", "pedal point", "canon", "hemiola", "cadence")[one.number % 7]
    return (
        f"Listen for the {sung} near the end. The left hand keeps to its figure while the tune climbs, and the "
        f"harmony changes once a bar. {one.composer} would have sung it first. Number {one.number} of the book."
    )
