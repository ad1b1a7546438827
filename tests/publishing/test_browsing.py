"""Pieces among many: by what they are chosen, the words by which they are found, and what others are told of them."""

from __future__ import annotations

import io
import json
import re
from dataclasses import replace
from xml.etree import ElementTree

import pytest
from PIL import Image

from sitegen.publishing import (
    Catalogue,
    GalleryCard,
    PublishedCollection,
    PublishedLibrary,
    card_of,
    find_theme,
    load_catalogue,
    render_gallery,
    render_piece,
    render_search,
)
from sitegen.publishing.browsing.facets import Shelf, shelve
from sitegen.publishing.browsing.index import INDEX, LARGEST, make_index
from sitegen.publishing.browsing.rows import newest, shelf_data
from sitegen.publishing.browsing.words import words_in, words_of
from sitegen.publishing.card_picture import HEIGHT, WIDTH, card_picture
from sitegen.publishing.datafiles import as_json
from sitegen.publishing.nouns import Drawing, Rights
from sitegen.publishing.press import press_of
from sitegen.unlisted import FOLDER
from tests import many_pieces
from tests.publishing.pieces import three_bars

ATOM = "{http://www.w3.org/2005/Atom}"
SITEMAP = "{http://www.sitemaps.org/schemas/sitemap/0.9}"
ADDRESS = "https://example.org/a"


def _card(slug: str, **facts: object) -> GalleryCard:
    plain = GalleryCard(slug, slug.title(), "", "", "", (), 8, 3)
    return replace(plain, **facts)  # type: ignore[arg-type]


def _shelf(facet: str, *cards: GalleryCard, language: str = "en") -> Shelf:
    words = load_catalogue(find_theme("studio"), language)
    return next(shelf for shelf in shelve(cards, words) if shelf.facet.name == facet)


def _choices(facet: str, *cards: GalleryCard) -> dict[str, list[str]]:
    """The choices of a facet in their order, each with the pieces that have it."""
    return {choice.words: [card.slug for card in choice.cards] for choice in _shelf(facet, *cards).choices}


@pytest.fixture(scope="module")
def english() -> Catalogue:
    return load_catalogue(find_theme("studio"), "en")


def test_keys_stand_by_their_signature_and_major_before_minor() -> None:
    keys = ("B minor", "A minor", "Bb major", "C major", "F# minor", "D major", "F major", "G major")
    cards = [_card(f"in-{place}", key=key) for place, key in enumerate(keys)]
    assert list(_choices("key", *cards)) == [
        "C major", "A minor", "G major", "F major", "D major", "B minor", "B♭ major", "F♯ minor",
    ]  # fmt: skip


def test_a_key_has_the_same_name_in_addresses_in_every_language() -> None:
    for language in ("en", "de"):
        shelf = _shelf("key", _card("a", key="Bb major"), language=language)
        assert [choice.name for choice in shelf.choices] == ["b-flat-major"]


def test_levels_stand_in_the_order_of_how_hard_their_pieces_are() -> None:
    hard, easy = _card("a", level="advanced", difficulty=9.0), _card("b", level="for the first year", difficulty=1.5)
    assert list(_choices("level", hard, easy)) == ["for the first year", "advanced"]


def test_periods_stand_in_the_order_of_history_in_either_language() -> None:
    cards = [_card(str(place), period=said) for place, said in enumerate(("Romantic", "of our days", "Barock"))]
    assert list(_choices("period", *cards)) == ["Barock", "Romantic", "of our days"]


def test_what_lies_under_a_small_hand_lies_under_a_large_one() -> None:
    cards = [
        _card("minor-seventh", span=10),
        _card("octave", span=12),
        _card("ninth", span=14),
        _card("tenth", span=16),
    ]
    assert _choices("span", *cards) == {
        "fits a small hand": ["minor-seventh"],
        "fits a medium hand": ["minor-seventh", "octave"],
        "fits a large hand": ["minor-seventh", "octave", "ninth"],
        "wider than a large hand": ["tenth"],
    }


def test_lengths_meet_without_a_gap() -> None:
    cards = [_card(str(bars), bar_count=bars) for bars in (16, 17, 32, 33, 64, 65)]
    assert list(_choices("length", *cards).values()) == [["16"], ["17", "32"], ["33", "64"], ["65"]]


def test_pieces_are_chosen_by_whose_library_they_are_of_and_ones_own_stand_first() -> None:
    cards = [
        _card("mine"),
        _card("b--x", library="Berta"),
        _card("a--x", library="anna"),
        _card("a2--x", library="anna"),
    ]
    assert _choices("library", *cards) == {
        "This studio's own": ["mine"], "anna": ["a--x", "a2--x"], "Berta": ["b--x"],
    }  # fmt: skip
    assert [choice.name for choice in _shelf("library", *cards).choices] == ["_own", "anna", "berta"]


def test_where_there_is_one_library_nothing_is_said_of_it() -> None:
    assert "by/library/index.html" not in render_gallery(PublishedLibrary("S"), [_card("a"), _card("b", level="easy")])
    cards = [_card("a", level="easy"), _card("anna--a", library="Anna & Co", level="easy")]
    site = {
        path: page.decode()
        for path, page in render_gallery(PublishedLibrary("S"), cards).items()
        if path[-5:] == ".html"
    }
    told = re.findall(r'<h2 id="by-([^"]+)">([^<]*)|pieces/([^/]+)/', site["by/library/index.html"])
    assert [one or slug for one, _, slug in told] == ["_own", "a", "anna-co", "anna--a"]
    assert "Anna &amp; Co" in site["by/library/index.html"]
    assert 'name="library"' in site["index.html"]
    assert site["by/level/index.html"].count("From the library of Anna &amp; Co") == 1, "credit wherever it is named"


def test_one_name_written_in_two_ways_is_one_choice() -> None:
    cards = [_card("a", composer="Iván Sorolda"), _card("b", composer="Ivan Sorolda")]
    assert _choices("composer", *cards) == {"Ivan Sorolda": ["a", "b"]}


def test_what_came_last_is_first_and_what_has_no_day_last() -> None:
    cards = [_card("none"), _card("old", added="2025-01-01"), _card("new", added="2026-02-01")]
    assert [card.slug for card in newest(cards)] == ["new", "old", "none"]


def test_the_shelf_says_for_each_piece_what_it_can_be_chosen_by(english: Catalogue) -> None:
    cards = [many_pieces.card(number, 1) for number in range(40)]
    data = json.loads(as_json(shelf_data(cards, english)))
    names = [name for name, _ in data["facets"]]
    assert names == ["composer", "period", "key", "level", "texture", "technique", "span", "library", "length"]
    for card, row in zip(cards, data["pieces"], strict=True):
        chosen = {name: [choices[at] for at in row[9][place]] for place, (name, choices) in enumerate(data["facets"])}
        assert row[0] == card.slug
        assert chosen["level"] == [card.level.replace(" ", "-")]
        assert len(chosen["technique"]) == len(card.techniques)
    assert [data["pieces"][number][1] for number in data["title"]] == sorted(
        (card.title for card in cards), key=str.lower
    )


def test_words_are_folded_as_they_are_typed() -> None:
    assert words_in("Étude in A♭, für Große Hände: 2nd_part") == [
        "etude", "in", "a", "flat", "fur", "grosse", "hande", "2nd", "part",
    ]  # fmt: skip
    assert words_in("E\u0301tude") == ["etude"]
    assert words_in("Færgemand, Żółw, Ночь, 月光") == ["faergemand", "zolw", "ночь", "月光"]


def test_a_piece_is_found_by_all_that_is_said_of_it(english: Catalogue) -> None:
    piece = replace(
        three_bars('<p>A <em>hemiola</em> at the <a href="bars:1">end</a> &amp; no more.</p>'),
        level="easy",
        textures=("Alberti bass",),
        rights=Rights(editor="Ada Sternway", encoder="B. Vargay"),
        library="Anna's studio",
    )
    found = words_of(piece, english)
    assert {"three", "bars", "tests"} <= set(found["called"])
    assert {"bflatmajor", "flat", "major", "easy", "alberti", "melody", "chords"} <= set(found["is"])
    assert {"sternway", "vargay", "anna"} <= set(found["is"])
    assert found["keys"] == ["bflatmajor"]
    assert {"hemiola", "end", "listen", "written"} <= set(found["told"])
    assert not {"href", "em", "amp"} & set(found["told"])
    # each word stands where it is nearest, once
    assert not set(found["called"]) & set(found["told"])


def _found(files: dict[str, bytes], word: str) -> list[list[int]]:
    """The numbers of the pieces that have a word, as a page finds them: in the part with the longest beginning."""
    parts = sorted(json.loads(files[INDEX])["parts"], key=lambda part: len(part[0]))
    file = [file for beginning, file in parts if word.startswith(beginning)][-1]
    steps = json.loads(files[f"search/{file}"]).get(word, [])
    return [[sum(row[: place + 1]) for place in range(len(row))] for row in steps]


@pytest.mark.parametrize("count", [400, 3000])
def test_every_word_is_found_in_its_part_and_no_part_is_large(count: int) -> None:
    slugs = [f"piece-{number:04}" for number in range(count)]
    words = {slug: many_pieces.words(number) for number, slug in enumerate(slugs)}
    # words enough that one part cannot hold them
    for number, slug in enumerate(slugs):
        words[slug]["told"] += sorted(f"{letter}{number * 7919 % 997}" for letter in "abcs")
    files = make_index({slug: as_json(one) for slug, one in words.items()})
    assert len(files) > 3
    for word in ("torvik", "march", "s7", "hemiola", "aflatmajor"):
        wanted = [
            [number for number, slug in enumerate(slugs) if word in words[slug][near]]
            for near in ("called", "is", "told")
        ]
        found = _found(files, word)
        assert found + [[]] * (3 - len(found)) == wanted, word
    assert max(len(data) for data in files.values()) < 2 * LARGEST


def test_a_sentence_more_changes_few_parts_of_the_index() -> None:
    words = {f"piece-{number:04}": many_pieces.words(number) for number in range(400)}
    for number, one in enumerate(words.values()):
        one["told"] += sorted(f"{letter}{number * 7919 % 997}" for letter in "abcdefghs")
    before = make_index({slug: as_json(one) for slug, one in words.items()})
    words["piece-0007"]["told"].append("tenor")
    after = make_index({slug: as_json(one) for slug, one in words.items()})
    assert len(after.keys() - before.keys()) == 1
    assert len(before) > 5


def test_the_index_is_that_of_the_shelf(english: Catalogue) -> None:
    cards = [many_pieces.card(number, 1) for number in range(5)]
    index = json.loads(render_search({card.slug: b"{}" for card in cards})[INDEX])
    assert index["of"] == shelf_data(cards, english)["of"]
    assert index["of"] != shelf_data(cards[:4], english)["of"]


def test_index_pages_have_every_piece_under_each_of_its_choices_and_the_others_at_the_end() -> None:
    cards = [_card("a", level="easy"), _card("b", level="hard", difficulty=5.0), _card("c")]
    site = render_gallery(PublishedLibrary("S"), cards)
    assert sorted(path for path in site if path.startswith("by/")) == ["by/level/index.html"]
    page = site["by/level/index.html"].decode()
    told = re.findall(r'<h2 id="(?:by-)?([^"]+)">|href="\.\./\.\./pieces/([^/]+)/', page)
    assert [one or other for one, other in told] == ["easy", "a", "hard", "b", "the-others", "c"]


def test_a_collection_has_its_pieces_in_its_order_and_none_that_is_not_there() -> None:
    cards = [_card("a"), _card("b")]
    term = PublishedCollection("term", "The <term>", ("b", "gone", "a"), "", "<p>Sing.</p>")
    site = render_gallery(PublishedLibrary("S"), cards, [term, PublishedCollection("empty", "E", ("gone",))])
    page = site["collections/term/index.html"].decode()
    assert re.findall(r'href="\.\./\.\./pieces/([^/]+)/', page) == ["b", "a"]
    assert "The &lt;term&gt;" in page
    assert "<p>Sing.</p>" in page
    assert "collections/empty/index.html" not in site
    assert re.findall(r"collections/([a-z]+)/", site["index.html"].decode()) == ["term"]


def test_nothing_of_the_world_is_said_where_the_address_is_not_known() -> None:
    cards = [_card("a", added="2026-01-02")]
    site = render_gallery(PublishedLibrary("S"), cards) | render_piece(PublishedLibrary("S"), three_bars())
    assert not {"feed.xml", "sitemap.xml"} & site.keys()
    for path, data in site.items():
        assert b'property="og:' not in data, path
        assert b"canonical" not in data, path


def test_the_feed_has_the_pieces_whose_day_is_known_the_newest_first() -> None:
    cards = [_card("none"), _card("old", added="2025-01-01"), _card("new", added="2026-02-01", title="A & <B>")]
    feed = ElementTree.fromstring(render_gallery(PublishedLibrary("S", address=f"{ADDRESS}/"), cards)["feed.xml"])
    assert feed.findtext(f"{ATOM}updated") == "2026-02-01T00:00:00Z"
    assert [entry.findtext(f"{ATOM}title") for entry in feed.iter(f"{ATOM}entry")] == ["A & <B>", "Old"]
    assert next(entry.findtext(f"{ATOM}id") for entry in feed.iter(f"{ATOM}entry")) == f"{ADDRESS}/pieces/new/"
    assert "feed.xml" not in render_gallery(PublishedLibrary("S", address=ADDRESS), cards[:1])


def test_the_sitemap_lists_pages_that_are_there() -> None:
    piece = three_bars()
    library = PublishedLibrary("S", address=ADDRESS)
    site = render_gallery(library, [card_of(piece)]) | render_piece(library, piece)
    listed = [one.text or "" for one in ElementTree.fromstring(site["sitemap.xml"]).iter(f"{SITEMAP}loc")]
    assert f"{ADDRESS}/pieces/three-bars/" in listed
    assert f"{ADDRESS}/by/key/" in listed
    for address in listed:
        assert address.removeprefix(f"{ADDRESS}/") + "index.html" in site, address


def test_every_page_says_where_it_stands() -> None:
    library = PublishedLibrary("S", address=ADDRESS)
    site = render_gallery(library, [_card("a")]) | render_piece(library, three_bars())
    for path in ("index.html", "pieces/three-bars/index.html", "pieces/three-bars/stages/bass-line/index.html"):
        page = site[path].decode()
        here = f"{ADDRESS}/{path.removesuffix('index.html')}"
        assert f'<link rel="canonical" href="{here}">' in page
        assert f'<meta property="og:url" content="{here}">' in page
    assert "Three &lt;Bars&gt;" in re.findall(r'og:title" content="([^"]*)"', page)[0]


def test_what_is_in_no_list_does_not_say_where_it_stands() -> None:
    press = press_of(PublishedLibrary("S", address=ADDRESS))
    assert press.address_of("about/index.html") == f"{ADDRESS}/about/"
    assert press.address_of(f"{FOLDER}x/index.html") == ""


@pytest.mark.parametrize(("address", "base"), [("", "./"), (ADDRESS, f"{ADDRESS}/pieces/three-bars/")])
def test_programs_are_told_of_the_composition_and_its_stages(address: str, base: str) -> None:
    rights = Rights(address="https://spdx.org/licenses/CC0-1.0.html", adaptations=True)
    piece = replace(three_bars(), rights=rights, summary="</script><b>")
    site = render_piece(PublishedLibrary("S", address=address), piece)
    (data,) = re.findall(r'ld\+json">(.*?)</script>', site["pieces/three-bars/index.html"].decode())
    told = json.loads(data)
    assert (told["@type"], told["name"], told["musicalKey"]) == ("MusicComposition", "Three <Bars>", "Bb major")
    assert told["description"] == "</script><b>"
    assert told["license"] == "https://spdx.org/licenses/CC0-1.0.html"
    assert [part["url"] for part in told["hasPart"]] == [f"{base}stages/bass-line/", f"{base}stages/as-written/"]
    assert told["hasPart"][0]["encoding"][0]["contentUrl"] == f"{base}stages/bass-line/stage.mid"
    shut = render_piece(PublishedLibrary("S"), replace(piece, rights=Rights()))["pieces/three-bars/index.html"].decode()
    assert '"encoding"' not in shut.partition("ld+json")[2].partition("</script>")[0]
    assert b"ld+json" not in site["pieces/three-bars/stages/bass-line/index.html"]


def test_the_picture_of_the_first_bars_is_a_png_of_one_size_and_always_the_same() -> None:
    drawn = 'xmlns="http://www.w3.org/2000/svg" viewBox="0 0 400 100" fill="currentColor"'
    svg = f'<svg {drawn}><path d="M0 0h400v50z"/></svg>'
    data = card_picture(svg)
    assert data[:8] == b"\x89PNG\r\n\x1a\n"
    assert (int.from_bytes(data[16:20], "big"), int.from_bytes(data[20:24], "big")) == (WIDTH, HEIGHT)
    assert card_picture(svg) == data
    # words would be drawn with the fonts of the machine
    assert card_picture(svg.replace("</svg>", '<text x="9" y="9">Allegro</text></svg>')) == data
    assert card_picture(svg.replace("h400", "h300")) != data
    with pytest.raises(ValueError, match="no drawing"):
        card_picture("<p>")


def _ink(data: bytes, rows: range) -> int:
    """How many pixels of these rows of a picture are not paper."""
    with Image.open(io.BytesIO(data)) as picture:
        part = picture.convert("L").crop((0, rows.start, WIDTH, rows.stop))
    return sum(part.histogram()[:200])


HEAD = range(0, 130)
"""Where a title of one line and a composer stand."""


def test_title_and_composer_are_letters_and_no_boxes() -> None:
    drawn = (
        '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 400 50" fill="currentColor"><path d="M0 0h9v9z"/></svg>'
    )
    alone = card_picture(drawn)
    assert _ink(alone, HEAD) == 0
    title, accents = (card_picture(drawn, said, "Dvořák") for said in ("Pisne", "Písně"))
    assert _ink(title, HEAD) > 1000
    assert _ink(accents, HEAD) > _ink(title, HEAD), "accents are drawn"
    assert card_picture(drawn, "Pi\u0301sne\u030c", "Dvořák") == accents, "however they are written"
    for said in ("Ночной марш", "Μικρό βαλς", "Étude nº 3, A♭"):
        assert _ink(card_picture(drawn, said), HEAD) > 1000
    # a letter that the font does not have would be a box
    for said in ("夜想曲", "שיר", "Vals 夜", "रात", "😀", ""):
        assert card_picture(drawn, said, "Dvořák") == alone, said
    assert card_picture(drawn, "Valse", "山田") == card_picture(drawn, "Valse")


def test_a_title_of_any_length_leaves_room_for_the_music() -> None:
    drawn = (
        '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 400 50" fill="currentColor"><path d="M0 0h9v9z"/></svg>'
    )
    for said in ("On and on " * 90, "X" * 900):
        long = card_picture(drawn, said, said)
        with Image.open(io.BytesIO(long)) as picture:
            edge = picture.convert("L").crop((WIDTH - 55, 0, WIDTH, HEIGHT))
        assert min(edge.getdata()) > 200, "nothing runs over the edge"
        assert _ink(long, range(300, HEIGHT)) > 100


def test_the_picture_is_told_in_words_too() -> None:
    site = render_piece(PublishedLibrary("S", address=ADDRESS), replace(three_bars(), incipit=Drawing("i.svg", 9, 9)))
    page = site["pieces/three-bars/index.html"].decode()
    assert f'<meta property="og:image" content="{ADDRESS}/pieces/three-bars/card.png">' in page
    assert '<meta property="og:image:alt" content="Three &lt;Bars&gt;, The tests: the first bars">' in page
    gallery = render_gallery(PublishedLibrary("S & T", address=ADDRESS), [_card("a")])["index.html"].decode()
    assert '<meta property="og:image:alt" content="S &amp; T">' in gallery
