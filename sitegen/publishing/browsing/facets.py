"""By what a piece is looked for: a row for each facet, with what a card has of it and in which order it is chosen from.

A facet whose choices include each other (a piece that lies under a small hand lies under a large one) gives a piece all
the choices that it fits, so that choosing is always the same: a piece is shown where it has what was chosen.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from statistics import median

from sitegen.fifths import LETTERS, fifths_of
from sitegen.places.letters import in_addresses
from sitegen.publishing.cards import GalleryCard
from sitegen.publishing.messages import Catalogue
from sitegen.publishing.spelling import key_in_words

_PERIODS = (
    ("medieval", "mittelalter"), ("renaissance",), ("baroque", "barock"), ("galant",),
    ("classical", "classic", "klassik", "klassisch"), ("romantic", "romantik", "romantisch"),
    ("impressionist", "impressionism", "impressionismus"), ("modern", "moderne"),
    ("contemporary", "zeitgenossisch", "gegenwart"),
)  # fmt: skip
_AGES: Mapping[str, int] = {name: age for age, names in enumerate(_PERIODS) for name in names}
"""The order of the periods that are usual; a word of the teacher's own comes after them."""
_HANDS = (("small", 10), ("medium", 12), ("large", 14), ("larger", 24))
"""Semitones that lie under a hand, as the field ``hand`` has them; what is wider lies under none as it is written."""
_LENGTHS = (16, 32, 64)
"""Bars of a piece up to which it is short, and so on: one, two and four periods of sixteen."""
_OWN = "_own"
"""The studio's own library in addresses; no other is called so, since no name in them has this sign."""

Labelled = tuple[str, str]
"""What a choice is called in addresses, and in words."""
Rank = tuple[float | str, ...]


@dataclass(frozen=True, slots=True)
class Facet:
    """``of`` gives what a card has; ``order`` puts a choice into its place, by its name in addresses, its words and the
    cards that have it. Those that are ``indexed`` have a page of their own, for readers without scripts. What is said
    only ``among_others`` is no facet where all pieces have the same."""

    name: str
    of: Callable[[GalleryCard, Catalogue], Iterable[Labelled]]
    order: Callable[[str, str, Sequence[GalleryCard]], Rank]
    indexed: bool = False
    among_others: bool = False


@dataclass(frozen=True, slots=True)
class Choice:
    """Something that can be chosen: its name in addresses, its words, and the cards that have it."""

    name: str
    words: str
    cards: tuple[GalleryCard, ...]


@dataclass(frozen=True, slots=True)
class Shelf:
    """A facet with its choices, in their order."""

    facet: Facet
    choices: tuple[Choice, ...]


def _named(words: str) -> Iterator[Labelled]:
    if name := in_addresses(words):
        yield name, words


def _key(card: GalleryCard, words: Catalogue) -> Iterator[Labelled]:
    # the name in addresses is the English one, so that a link goes on when the library changes its language
    if card.key:
        yield in_addresses(card.key.replace("#", " sharp").replace("b ", " flat ")), key_in_words(card.key, words)


def _by_signature(name: str, words: str, cards: Sequence[GalleryCard]) -> Rank:
    """C major and A minor first, then by the number of sharps or flats, sharps before flats, major before minor."""
    tonic, _, mode = cards[0].key.partition(" ")
    if not tonic or tonic[0] not in LETTERS:
        return (99.0, words)
    fifths = fifths_of(tonic) - 3 * (mode == "minor")
    return (abs(fifths), fifths < 0, mode == "minor")


def _by_difficulty(name: str, words: str, cards: Sequence[GalleryCard]) -> Rank:
    """Levels are the teacher's own words: the one whose pieces are easier comes first."""
    return (median(card.difficulty for card in cards), name)


def _of_hands(card: GalleryCard, words: Catalogue) -> Iterator[Labelled]:
    for name, widest in _HANDS[:-1]:
        if 0 < card.span <= widest:
            yield name, words(f"facet.span-{name}")
    if card.span > _HANDS[-2][1]:
        yield _HANDS[-1][0], words("facet.span-larger")


def _length(card: GalleryCard, words: Catalogue) -> Iterator[Labelled]:
    least = 1
    for most in _LENGTHS:
        if card.bar_count <= most:
            yield f"to-{most}", words("facet.bars", least=least, most=most)
            return
        least = most + 1
    yield f"from-{least}", words("facet.bars-more", least=least)


def _library(card: GalleryCard, words: Catalogue) -> Iterator[Labelled]:
    """By the credit of its library, since one teacher's bundles may be joined one by one."""
    if card.library:
        yield from _named(card.library)
    else:
        yield _OWN, words("facet.library-own")


def _alphabetical(name: str, words: str, cards: Sequence[GalleryCard]) -> Rank:
    return (name, words)


FACETS: tuple[Facet, ...] = (
    Facet("composer", lambda card, words: _named(card.composer), _alphabetical, indexed=True),
    Facet("period", lambda card, words: _named(card.period), lambda name, *_: (_AGES.get(name, 99), name)),
    Facet("key", _key, _by_signature, indexed=True),
    Facet("level", lambda card, words: _named(card.level), _by_difficulty, indexed=True),
    Facet(
        "texture",
        lambda card, words: [(in_addresses(name), words.word("texture", name)) for name in card.textures],
        _alphabetical,
        indexed=True,
    ),
    Facet(
        "technique",
        lambda card, words: [(in_addresses(name), words.word("stage", name)) for name in card.techniques],
        _alphabetical,
    ),
    Facet("span", _of_hands, lambda name, *_: ([hand for hand, _ in _HANDS].index(name),)),
    Facet("library", _library, lambda name, words, _: (name != _OWN, words.lower()), indexed=True, among_others=True),
    Facet("length", _length, lambda name, *_: (int(name.partition("-")[2]), name)),
)


def shelve(cards: Sequence[GalleryCard], words: Catalogue) -> tuple[Shelf, ...]:
    """The facets of which the cards have something, each with its choices."""
    shelves = (_shelf(facet, cards, words) for facet in FACETS)
    return tuple(shelf for shelf in shelves if len(shelf.choices) > shelf.facet.among_others)


def _shelf(facet: Facet, cards: Sequence[GalleryCard], words: Catalogue) -> Shelf:
    found: dict[str, list[GalleryCard]] = defaultdict(list)
    called: dict[str, str] = {}
    for card in cards:
        for name, said in dict(facet.of(card, words)).items():
            found[name].append(card)
            # of several ways to write it the first in the alphabet, whatever the order of the pieces
            called[name] = min(called.get(name, said), said)
    ordered = sorted(found, key=lambda name: facet.order(name, called[name], found[name]))
    return Shelf(facet, tuple(Choice(name, called[name], tuple(found[name])) for name in ordered))
