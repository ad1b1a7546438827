"""Front matters that a stranger may hand in, as the lines behind ``title`` and ``score``, by what they try."""

from __future__ import annotations


def _bomb(levels: int, width: int, entries: str = "a0: &a0 [x]") -> str:
    lines = [entries]
    lines += [f"a{n}: &a{n} [{', '.join([f'*a{n - 1}'] * width)}]" for n in range(1, levels)]
    return "\n".join(lines)


def _merges(levels: int) -> str:
    lines = ["a0: &a0 {x0: 1}"]
    lines += [f"a{n}: &a{n} {{<<: [{', '.join([f'*a{n - 1}'] * 9)}], x{n}: 1}}" for n in range(1, levels)]
    return "\n".join(lines)


def _nested_bomb(field: str) -> str:
    """A bomb inside a field that takes any value."""
    lines = [f"{field}:", "  - {at: bar 1, x0: &x0 [a, a, a, a, a, a, a, a, a]}"]
    lines += [f"  - {{at: bar 1, x{n}: &x{n} [{', '.join([f'*x{n - 1}'] * 9)}]}}" for n in range(1, 9)]
    return "\n".join(lines)


FRONT_MATTERS: dict[str, str] = {
    # references
    "aliases of nine levels": _bomb(9, 9),
    "aliases of thirty levels, two each": _bomb(30, 2),
    "merged fields of twenty levels": _merges(20),
    "aliases among the adjustments": _nested_bomb("adjustments"),
    "aliases among the stages": _nested_bomb("stages"),
    "a list that holds itself": "tags: &a [*a]",
    "an adjustment that holds itself": "adjustments:\n  - &a {at: *a}",
    "a stage that holds itself": "stages:\n  - &a {file: *a}",
    "fields merged with themselves": "adjustments:\n  - &a\n    at: bar 1\n    <<: *a",
    "a reference to nothing": "summary: *nothing",
    "a thousand anchors": "tags: [" + ", ".join(f"&t{n} a" for n in range(1000)) + "]",
    "an anchor used once": "summary: &s words\nlevel: *s",
    "a merge of a text": "adjustments:\n  - {<<: text}",
    # depth and size
    "twenty thousand brackets": "tags: " + "[" * 20_000,
    "five thousand closed brackets": "tags: " + "[" * 5000 + "]" * 5000,
    "two thousand groups in groups": "tags: " + "{a: " * 2000 + "}" * 2000,
    "fields two thousand deep": "tags:\n" + "\n".join(" " * n + "a:" for n in range(1, 2000)),
    "lists five thousand deep": "tags:\n" + "- " * 5000 + "a",
    "a stage of two hundred lists": "stages:\n  - " + "[" * 200 + "]" * 200,
    "an adjustment of two hundred lists": "adjustments:\n  - {at: " + "[" * 200 + "]" * 200 + "}",
    "twenty thousand fields": "\n".join(f"k{n}: 1" for n in range(20_000)),
    "fifty thousand tags": "tags: [" + ", ".join("a" * 50_000) + "]",
    "twenty thousand adjustments": "adjustments:\n" + "  - {at: bar 1, do: drop}\n" * 20_000,
    "a line of ten megabytes": 'summary: "' + "a" * 10_000_000 + '"',
    "a megabyte of words": "summary: " + "a " * 500_000,
    "a hundred thousand remarks": "# c\n" * 100_000,
    "a field's name of five thousand letters": "a" * 5000 + ": b",
    "a hundred thousand quotation marks": "summary: " + "'" * 100_001,
    "a text of fifty thousand lines": "summary: |\n" + "  a\n" * 50_000,
    "a title of a megabyte": "title: " + "T" * 1_000_000,
    "twenty thousand lines without a colon": "word\n" * 20_000,
    # kinds of values
    "a year as composer": "composer: 1720",
    "a date as composer": "composer: 1720-05-04",
    "a time as summary": "summary: 2020-01-01T10:00:00Z",
    "a date that cannot be": "composer: 2020-99-99",
    "a time that cannot be": "composer: 2020-01-01T99:99:99",
    "a number of ten thousand digits": "hand: " + "9" * 10_000,
    "a number of twenty digits": "hand: 99999999999999999999",
    "hexadecimal of ten thousand digits": "composer: 0x" + "f" * 10_000,
    "a number beyond all numbers": "summary: 1e999",
    "infinity as tempo": "tempo: .inf",
    "no number as tempo": "tempo: .nan",
    "no number as hand": "hand: .nan",
    "no number as day": "practise:\n  - {day: .nan, stage: bass line}",
    "a day of twenty digits": "practise:\n  - {day: 99999999999999999999, stage: bass line}",
    "bars of twenty digits": "practise:\n  - {day: 1, stage: bass line, bars: 99999999999999999999}",
    "bars by the billion": "practise:\n  - {day: 1, stage: bass line, bars: 1-1000000000}",
    "sexagesimal tempo": "tempo: 1:2:3:4:5",
    "yes as summary": "summary: yes",
    "a list as summary": "summary: [a, b]",
    "fields as title": "title: {a: b}",
    "a number as stages": "stages: 5",
    "a text as stages": "stages: bass line",
    "fields as stages": "stages: {a: b}",
    "a number as adjustments": "adjustments: 5",
    "a text as practise": "practise: soon",
    "numbers as stages": "stages: [1, 2.5, true, null, 2020-01-01]",
    "a list as a stage": "stages:\n  - [bass line]",
    "a list as a stage's file": "stages:\n  - {file: [a, b]}",
    "fields as a stage's file": "stages:\n  - {file: {a: b}}",
    "odd values in an adjustment": "adjustments:\n  - {at: 2020-01-01, chord: .inf, key: 1e400, do: true, stage: [a]}",
    "a date in an adjustment": "adjustments:\n  - {at: bar 1, until: 2020-01-01T10:00:00Z}",
    "twenty digits in an adjustment": "adjustments:\n  - {at: 99999999999999999999999, do: drop}",
    "nothing at all in an adjustment": "adjustments:\n  - {}",
    "null as score": "score: ~",
    "a number as score": "score: 5",
    # names of fields
    "a number as a field's name": "1: a",
    "nothing as a field's name": "~: a",
    "a date as a field's name": "2020-01-01: a",
    "a list as a field's name": "? [a, b]\n: c",
    "fields as a field's name": "? {a: b}\n: c",
    "a list as a name in an adjustment": "adjustments:\n  - {? [a, b] : c, at: bar 1}",
    "numbers as names in an adjustment": "adjustments:\n  - {1: a, 2.5: b, ~: c}",
    "title twice": "title: Other",
    "a field twice in an adjustment": "adjustments:\n  - {at: bar 1, at: bar 2}",
    "a name of the program": "__class__: a\nmodel_config: b\n__init__: c",
    # tags and directives
    "a call of Python": 'tags: !!python/object/apply:os.system ["echo harm"]',
    "an object of Python": "adjustments:\n  - !!python/object:os.path {at: bar 1}",
    "a name of Python": "summary: !!python/name:os.system",
    "bytes": "summary: !!binary aGVsbG8=",
    "bytes in an adjustment": "adjustments:\n  - {at: !!binary aGVsbG8=}",
    "damaged bytes": 'summary: !!binary "*"',
    "a set": "tags: !!set {a, b}",
    "a set as a stage": "stages:\n  - !!set {a, b}",
    "an ordered map": "tags: !!omap [a: 1]",
    "pairs": "stages: !!pairs [a: 1, a: 2]",
    "an own tag": "summary: !foo bar",
    "an own tag as a stage": "stages:\n  - !foo bar",
    "an own tag in an adjustment": "adjustments:\n  - {at: !foo bar}",
    "a tag without a kind": "summary: ! bar",
    "no whole number": "hand: !!int foo",
    "no number": "hand: !!float foo",
    "neither yes nor no": "summary: !!bool foo",
    "no time": "summary: !!timestamp foo",
    "another version of YAML": "...\n%YAML 9.9\n---x\ntitle: A",
    # characters
    "a NUL": "summary: a\0b",
    "a written NUL": 'summary: "a\\0b"',
    "a written escape": 'title: "\\x1b[31mred\\x1b]0;x\\x07"',
    "half a character": 'summary: "\\ud800"',
    "half a character as a name": '"\\ud800": a',
    "half a character in an adjustment": 'adjustments:\n  - {at: "\\udfff"}',
    "half a character as a score": 'score: "\\ud800"',
    "a character that is none": 'summary: "\\ufffe"',
    "emoji and letters from the right": "composer: 🎹 فیروزه 👩‍👩‍👧 שלום\ntags: [🎼, مرحبا]",
    "turned letters": 'summary: "a \\u202e b \\u2066 c"',
    "line ends of all kinds": 'summary: "a\\N b\\L c\\P d\\r e"',
    "a thousand accents on one letter": "summary: a" + "\u0301" * 1000,
    # paths
    "a score outside": "score: ../../../etc/passwd",
    "a score by its full path": "score: /etc/passwd",
    "a score with a written NUL": 'score: "a\\0b"',
    "a score of a long name": "score: " + "a" * 5000,
    "a score of many folders": "score: " + "a/" * 3000 + "b",
    "the folder as score": "score: .",
    "piece.md as score": "score: piece.md",
    "a stage's file outside": "stages:\n  - {file: ../../studio.yaml}",
    "a stage's file of a long name": "stages:\n  - {file: " + "a" * 5000 + "}",
    "a stage's file with a written NUL": 'stages:\n  - {file: "a\\0b"}',
    # what pages show
    "a title that closes the page": "title: \"</title><script>alert(1)</script>\"",
    "a composer in quotation marks": "composer: '\" onmouseover=\"alert(1)'",
    "a summary with a picture": "summary: <img src=x onerror=alert(1)>",
    "a source with a link": "source: <a href='javascript:alert(1)'>x</a>",
    "a licence with a script": "licence: <script>alert(1)</script>",
    "a level that ends JSON": "level: </script><script>alert(1)</script>",
    "tags with scripts": "tags: ['\"><script>alert(1)</script>', \"{{ 7 * 7 }}\", '{% raw %}']",
    "a stage's title with a script": "stages:\n  - {bass line, title: <script>1</script>, listen: <svg onload=x>}",
    "a template as title": "title: '{{ 7 * 7 }}{% for x in y %}'",
    "places of a sentence as title": "stages:\n  - {bass line, title: '{0.__class__} {x}', listen: '{'}",
    "a note to the pupil with a script": "practise:\n  - {day: 1, stage: bass line, note: <script>alert(1)</script>}",
}  # fmt: skip
#: Whole texts of ``piece.md``, as bytes: what is at fault is not a field.
TEXTS: dict[str, bytes] = {
    "nothing": b"",
    "one NUL": b"\0",
    "not UTF-8": b"---\ntitle: \xff\xfe\nscore: score.musicxml\n---\n",
    "a byte too few at the end": "---\ntitle: A\nscore: score.musicxml\n---\n\nä".encode()[:-1],
    "UTF-16": "---\ntitle: A\nscore: score.musicxml\n---\n".encode("utf-16"),
    "a mark of byte order": b"\xef\xbb\xbf---\ntitle: A\nscore: score.musicxml\n---\n",
    "front matter without an end": b"---\ntitle: A\nscore: score.musicxml\n",
    "no front matter": b"# A march\n",
    "only dashes": b"---\n" * 20_000,
    "line ends of an old machine": b"---\rtitle: A\rscore: score.musicxml\r---\r\rWords.\r",
    "thirty megabytes": b"---\ntitle: A\nscore: score.musicxml\n---\n\n" + b"words \n" * 4_500_000,
    "random bytes": bytes((n * 193 + n // 7) % 256 for n in range(5000)),
    "a list in place of fields": b"---\n- title: A\n---\n",
    "a text in place of fields": b"---\ntitle\n---\n",
}
