"""The index of all words, in parts by their first letters, each so small that a phone fetches it between two keys.

A part holds the words with one beginning, but for those that have a part with a longer one: for each word, by
nearness, the pieces that have it, as the steps from one number to the next (numbers are those of the pieces in the
order of their slugs). Parts are called by their content, and ``search/index.json`` lists them beside a digest
of the numbering, so that no page reads an index that is not of its own pieces.
"""

from __future__ import annotations

import hashlib
import json
from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence

from sitegen.publishing.browsing.words import NEARNESS
from sitegen.publishing.datafiles import as_json

INDEX = "search/index.json"
LARGEST = 24_000
"""Bytes of a part before compression, which leaves a third of them."""
_OF_DIGEST = 12

Postings = tuple[list[int], ...]


def numbering_of(slugs: Sequence[str]) -> str:
    """A digest that changes when a piece has another number."""
    return hashlib.sha256("\n".join(slugs).encode()).hexdigest()[:_OF_DIGEST]


def make_index(words: Mapping[str, bytes]) -> dict[str, bytes]:
    """The files of the index by their path below the site's root; ``words`` are those of each piece, as ``words_of``
    gives them in JSON, by slug."""
    slugs = sorted(words)
    found: dict[str, Postings] = defaultdict(lambda: tuple([] for _ in NEARNESS))
    keys: set[str] = set()
    for number, slug in enumerate(slugs):
        given = json.loads(words[slug])
        keys.update(given.get("keys", ()))
        for place, nearness in enumerate(NEARNESS):
            for word in given.get(nearness, ()):
                found[word][place].append(number)
    rows = [(word, _row(word, found[word])) for word in sorted(found)]
    files: dict[str, bytes] = {}
    parts = []
    for beginning, text in sorted(_parts(rows, "")):
        data = b"{" + ",\n".join(text).encode() + b"}\n"
        name = f"{hashlib.sha256(data).hexdigest()[:_OF_DIGEST]}.json"
        files[f"search/{name}"] = data
        parts.append([beginning, name])
    files[INDEX] = as_json({"of": numbering_of(slugs), "pieces": len(slugs), "keys": sorted(keys), "parts": parts})
    return files


def _row(word: str, postings: Postings) -> str:
    steps = [[n - before for before, n in zip([0, *numbers], numbers, strict=False)] for numbers in postings]
    while steps and not steps[-1]:
        steps.pop()
    return f"{json.dumps(word, ensure_ascii=False)}:{json.dumps(steps, separators=(',', ':'))}"


def _parts(rows: Sequence[tuple[str, str]], beginning: str) -> Iterator[tuple[str, list[str]]]:
    """The rows, all of which have this beginning, by parts. Where they are too many, those of the next letters that
    weigh most become parts of their own, until the rest is small enough: few parts, of which an edit changes few."""
    longer: dict[str, list[tuple[str, str]]] = defaultdict(list)
    for word, row in rows:
        if word != beginning:
            longer[word[: len(beginning) + 1]].append((word, row))
    left = _size(rows)
    for heaviest in sorted(longer, key=lambda one: (-_size(longer[one]), one)):
        if left <= LARGEST:
            break
        left -= _size(longer[heaviest])
        yield from _parts(longer[heaviest], heaviest)
        rows = [row for row in rows if not row[0].startswith(heaviest)]
    if rows:
        yield beginning, [row for _, row in rows]


def _size(rows: Sequence[tuple[str, str]]) -> int:
    return sum(len(row) for _, row in rows)
