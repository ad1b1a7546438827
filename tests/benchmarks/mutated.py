"""What becomes of files that are wrong: mutated ones of the four formats, and odd values in elements and attributes.

    python -m tests.benchmarks.mutated [--mutated 5000] [--odd 1000] [--seed 1] [--keep FOLDER] [--only FORMAT]

From a few bars made here and the scores in content/, each file is cut, has bits flipped, elements or lines dropped,
doubled, exchanged; or one value of its elements and attributes is set to an odd one of a table. Each is read, analysed
and made into stages in a child of its own batch, under limits of time and memory, as ``sitegen analyse --format json``
does it. One row a format: crash (an exception that is no ``SitegenError``, or the death of the process), hang, over
memory, notes lost in silence, broken schema, refused with a line, published. ``--keep`` writes the files of the first
five columns, so that each can be tried again.
"""

from __future__ import annotations

import argparse
import json
import os
import random
import re
import resource
import select
import signal
import sys
import time
import traceback
from collections import Counter, defaultdict
from collections.abc import Iterator
from pathlib import Path
from tempfile import TemporaryDirectory

import jsonschema

from sitegen.analysis import analyse
from sitegen.building.contract import analysis_object, load_schema
from sitegen.errors import SitegenError
from sitegen.reduction import build_ladder
from sitegen.score import importing, open_source, read_score
from tests.score.files import back, kern, mei, mei_bar, mei_note, musicxml, note, tuplet

PATIENCE = 20.0
"""Seconds for one file, all of its analysis included."""
MEMORY = 1536 << 20
COLUMNS = ("crash", "hang", "memory", "lost", "schema", "refused", "published")
FAULTS = COLUMNS[:5]
_TOLD = re.compile(r"the file has \d+ notes? in this bar and \d+ (?:is|are) read")
"""The warning that tells of any difference between what a file holds and what is read of it."""

ODD_VALUES = ("", "x", "-1", "0", "0.5", "1e9", "99999999999999999999", "-99999999999", "NaN", "1/0", "²", "é", "1 2",
              "a" * 3000, "9" * 5000, "\u202e", "%s", "1000000", "none", "true", "#", "..", "12345")  # fmt: skip


def samples() -> dict[str, dict[str, str]]:
    """Small scores of our own, by format and name."""
    c, g = note("C5", 12, "quarter"), note("G4", 6, "eighth", "<beam number='1'>begin</beam>")
    rich = (
        "<direction><direction-type><metronome><beat-unit>quarter</beat-unit><per-minute>96</per-minute></metronome>"
        "</direction-type><sound tempo='96'/></direction><direction><direction-type><dynamics><p/></dynamics>"
        "</direction-type><staff>1</staff></direction><harmony><root><root-step>C</root-step><root-alter>1</root-alter>"
        "</root><kind>major</kind><inversion>1</inversion><degree><degree-value>7</degree-value><degree-alter>0"
        "</degree-alter><degree-type>add</degree-type></degree></harmony>"
        + note("E5", 12, "quarter", "<tie type='start'/>", "<notations><tied type='start'/><slur type='start' "
               "number='1'/><technical><fingering>3</fingering><string>2</string><fret>1</fret></technical>"
               "<ornaments><tremolo type='single'>2</tremolo></ornaments></notations>")
        + note("E5", 12, "quarter", "<tie type='stop'/>", "<notations><tied type='stop'/><slur type='stop' number='1'/>"
               "</notations>")
        + "".join(note(p, 4, "eighth", tuplet(3, 2)) for p in ("C5", "D5", "E5")) + g + g + back(48)
        + note("C3", 48, "whole", voice=5, staff=2)
        + "<barline location='right'><repeat direction='backward' times='2'/></barline>"
    )  # fmt: skip
    plain = c * 3 + "<note><rest><display-step>B</display-step><display-octave>4</display-octave></rest><duration>12" \
        "</duration><voice>1</voice><type>quarter</type><staff>1</staff></note>" + back(48) + note(
            "G3", 48, "whole", voice=5, staff=2)  # fmt: skip
    grouped = musicxml(*[rich, plain] * 3, staves=2).replace(
        "<part-list>", "<part-list><part-group type='start' number='1'><group-symbol>brace</group-symbol></part-group>"
    ).replace("</part-list>", "<part-group type='stop' number='1'/></part-list>")  # fmt: skip
    upper = mei_note("c5", 4, 'xml:id="a"') + mei_note("e5", 8) * 2 + f"<supplied>{mei_note('g5', 2)}</supplied>"
    signs = (
        '<slur startid="#a" tstamp2="0m+3" staff="1"/><dynam tstamp="1" staff="1">p</dynam><tempo mm="96" mm.unit="4" '
        'tstamp="1" staff="1">Andante</tempo><octave dis="8" dis.place="above" tstamp="1" tstamp2="0m+2" staff="1"/>'
    )
    tuplets = '<tuplet num="3" numbase="2">' + mei_note("e5", 8) * 3 + "</tuplet>" + mei_note("c5", 2, 'dots="1"')
    bars = [mei_bar(upper, mei_note("c3", 1), more=signs), mei_bar(tuplets, "<mRest/>", number=2),
            '<app><lem>' + mei_bar(upper.replace('xml:id="a"', ""), mei_note("g3", 1), number=3)
            + "</lem><rdg>" + mei_bar("<mRest/>", "<mRest/>", number=3) + "</rdg></app>",
            mei_bar("<mRpt/>", mei_note("c3", 1), number=4)]  # fmt: skip
    humdrum = kern(
        "**kern  **kern  **dynam", "*clefF4  *clefG2  *", "*k[f#]  *k[f#]  *", "*M3/4  *M3/4  *", "4D  4d  p",
        "=1  =1  =1", "*  *^  *", "4G  [4.b  2d  .", "4B  .  .  .", ".  8b]  .  .", "4d  12ddL  4r  .",
        ".  12cc  .  .", ".  12bJ  .  .", "*  *v  *v  *", "=2:|!  =2:|!  =2", "2.G  qc  .", ".  2.b 2.d  f",
    )  # fmt: skip
    abc = (
        "X:1\nT:Small tune\nC:Nobody\nZ:Somebody\nM:3/4\nL:1/4\nQ:1/4=100\nK:G\nV:1\nV:2 clef=bass\n"
        '[V:1] G|"G"Bcd|(3e/f/g/ {/a}g2-|g3:|[1 ABc|[2 [GBd]3|]\n[V:2] z|G,2D,|z3|G,,3:|[1 D,3|[2 G,3|]\n'
    )
    voices = (
        "X:2\nT:More\nM:6/8\nL:1/8\nQ:3/8=60\nK:Dm\n%%score (1 2) | 3\nV:1\nV:2\nV:3 clef=bass\n"
        "[V:1] A>B c/d/e f2|[ce]3- [ce]3 & E6|{/ag}a3 (2ab z|Z2|]\n[V:2] D6|x6|D3 D3|Z2|]\n"
        "[V:3] D,,2 (3D,E,F, G,2|[D,A,]6|[M:3/4]D,2 E,2 F,2|[K:Gm]z6|D,6|]\n"
    )
    edited = mei("".join([
        mei_bar("<choice><orig>" + mei_note("c5", 1) + "</orig><reg>" + mei_note("d5", 1) + "</reg></choice>",
                "<unclear>" + mei_note("c3", 1) + "</unclear>"),
        "<add>" + mei_bar(mei_note("c5", 2) + "<restore><del>" + mei_note("e5", 2) + "</del></restore>",
                          mei_note("c3", 1), number=2) + "</add>",
        mei_bar("<chord dur='2'>" + mei_note("c5") + mei_note("e5") + "</chord><beam>" + mei_note("g5", 4) * 2
                + "</beam>", "<mRest/>", number=3)]), 2)  # fmt: skip
    made = {
        "musicxml": {"bars": grouped, "upbeat": musicxml(c, c * 4, c * 4)},
        "mei": {"bars": mei("".join(bars), 2), "edited": edited},
        "krn": {"bars": humdrum},
        "abc": {"bars": abc, "voices": voices},
    }
    content = Path(__file__).parents[2] / "content"
    for score in sorted(content.glob("*/score.musicxml")):
        made["musicxml"][score.parent.name] = score.read_text(encoding="utf-8")
    return made


def mutate(text: str, chance: random.Random) -> bytes:
    """A text with one to three things done to it."""
    data = text.encode()
    for _ in range(chance.randint(1, 3)):
        data = chance.choice(_MUTATIONS)(data, chance)
    return data


def _cut(data: bytes, chance: random.Random) -> bytes:
    return data[: chance.randrange(len(data) // 4, len(data))] if len(data) > 8 else data


def _flip(data: bytes, chance: random.Random) -> bytes:
    changed = bytearray(data)
    for _ in range(chance.randint(1, 8)):
        changed[chance.randrange(len(changed))] ^= 1 << chance.randrange(8)
    return bytes(changed)


def _pieces(data: bytes) -> list[bytes]:
    """Elements and texts between tags, or lines."""
    return re.split(rb"(?=<)", data) if data.lstrip()[:1] == b"<" else re.split(rb"(?<=[\n\t |])", data)


def _dropped(data: bytes, chance: random.Random) -> bytes:
    pieces = _pieces(data)
    at = chance.randrange(len(pieces))
    del pieces[at : at + chance.randint(1, 4)]
    return b"".join(pieces)


def _doubled(data: bytes, chance: random.Random) -> bytes:
    pieces = _pieces(data)
    at, count = chance.randrange(len(pieces)), chance.randint(1, 12)
    return b"".join([*pieces[: at + count], *pieces[at : at + count], *pieces[at + count :]])


def _exchanged(data: bytes, chance: random.Random) -> bytes:
    pieces = _pieces(data)
    one, other = chance.randrange(len(pieces)), chance.randrange(len(pieces))
    pieces[one], pieces[other] = pieces[other], pieces[one]
    return b"".join(pieces)


def _element(data: bytes, chance: random.Random, times: int) -> bytes:
    """A whole element without children, ``times`` instead of once."""
    found = list(re.finditer(rb"<(\w[\w-]*)\b[^<>]*>[^<>]*</\1>|<\w[^<>]*/>", data))
    if not found:
        return _dropped(data, chance) if times == 0 else _doubled(data, chance)
    one = chance.choice(found)
    return data[: one.start()] + one[0] * times + data[one.end() :]


def _without(data: bytes, chance: random.Random) -> bytes:
    return _element(data, chance, 0)


def _twice(data: bytes, chance: random.Random) -> bytes:
    return _element(data, chance, 2)


_MUTATIONS = (_cut, _flip, _dropped, _doubled, _exchanged, _without, _twice)


def odd(text: str, chance: random.Random) -> bytes:
    """A text of which one value is an odd one."""
    found = list(re.finditer(r'(?<=>)[^<>\s][^<>]*(?=</)|(?<==")[^"<>]*(?=")|(?<==\')[^\'<>]*(?=\')', text))
    if text.lstrip()[:1] != "<":
        found = list(re.finditer(r"\d+|[A-Ga-g]+(?=[\s,'|]|$)|(?<=:)[^\n]+|(?<=\*)\S+", text))
    one = chance.choice(found)
    return (text[: one.start()] + chance.choice(ODD_VALUES) + text[one.end() :]).encode("utf-8", "replace")


def cases(mutated: int, odds: int, seed: int, only: str) -> Iterator[tuple[str, str, bytes]]:
    """Format, name and content of every file: in each format as many."""
    made = samples()
    formats = [only] if only else list(made)
    for count, kind, change in ((mutated, "mutated", mutate), (odds, "odd", odd)):
        for n in range(count):
            chance = random.Random(f"{seed} {kind} {n}")
            form = formats[n % len(formats)]
            # mostly the few bars, in which everything stands
            name = "bars" if chance.random() < 0.85 else chance.choice(sorted(made[form]))
            yield form, f"{kind}-{n}.{form}", change(made[form][name], chance)


def judge(path: Path) -> tuple[str, str]:
    """What becomes of a file, as a column and what is said."""
    try:
        source = open_source(path)
        score = read_score(source)
        analysis = analyse(score)
        made = json.loads(json.dumps(analysis_object(score, analysis, build_ladder(score, analysis))))
    except SitegenError as error:
        told = str(error)
        return ("refused", told) if "report" not in told.lower() and "\n" not in told else ("crash", told)
    except MemoryError:
        return "memory", ""
    fault = next(jsonschema.Draft202012Validator(load_schema("analysis")).iter_errors(made), None)
    if fault is not None:
        return "schema", f"{'/'.join(map(str, fault.absolute_path))}: {fault.message[:200]}"
    read = sum(len(n.noteheads) for n in score.notes)
    if sum(source.counted) != read and not any(_TOLD.search(str(told)) for told in score.warnings):
        return "lost", f"{sum(source.counted)} counted, {read} read; {score.warnings}"
    return "published", ""


def _child(paths: list[Path], out: int, within: bool) -> None:
    """Judge files one after the other, a line of JSON for each; ``within`` this process also what is else imported
    apart."""
    if within:
        importing._APART = ()
    resource.setrlimit(resource.RLIMIT_DATA, (MEMORY, MEMORY))
    null = os.open(os.devnull, os.O_WRONLY)
    os.dup2(null, 1)
    os.dup2(null, 2)
    for path in paths:
        try:
            column, told = judge(path)
        except MemoryError:
            column, told = "memory", ""
        except BaseException as error:
            column, told = "crash", f"{type(error).__name__}: {error}"[:400]
            told += " @ " + traceback.format_exc().strip().splitlines()[-3].strip()[-160:]
        os.write(out, (json.dumps([column, told]) + "\n").encode())


def judge_all(paths: list[Path]) -> Iterator[tuple[Path, str, str]]:
    """The judgement of each file; a process that dies or hangs is one for the file that it had."""
    waiting, alone = list(paths), False
    while waiting:
        back_end, front = os.pipe()
        pid = os.fork()
        if pid == 0:
            os.close(back_end)
            try:
                _child(waiting[:1] if alone else waiting, front, not alone)
            finally:
                os._exit(0)
        os.close(front)
        buffer, hung, left = b"", False, len(waiting) - 1 if alone else 0
        while len(waiting) > left:
            ready, _, _ = select.select([back_end], [], [], PATIENCE)
            data = os.read(back_end, 65536) if ready else b""
            if not data:
                hung = not ready
                break
            buffer += data
            *lines, buffer = buffer.split(b"\n")
            for line in lines:
                column, told = json.loads(line)
                yield waiting.pop(0), column, told
        if hung:
            os.kill(pid, signal.SIGKILL)
        _, status = os.waitpid(pid, 0)
        os.close(back_end)
        if len(waiting) <= left:
            alone = False
        elif not alone and not hung and waiting[0].suffix in (".mei", ".krn"):
            alone = True  # in earnest its importer has a process of its own
        else:
            alone = False
            yield waiting.pop(0), "hang" if hung else "crash", "" if hung else f"the process died ({status})"


def main(arguments: list[str]) -> int:
    parser = argparse.ArgumentParser()
    parser.add_argument("--mutated", type=int, default=5000)
    parser.add_argument("--odd", type=int, default=1000)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--keep", type=Path)
    parser.add_argument("--only", default="")
    asked = parser.parse_args(arguments)
    import sitegen.building.contract
    import sitegen.reduction  # noqa: F401  what children share
    from tests.benchmarks import mutated  # noqa: F401

    table: dict[str, Counter[str]] = defaultdict(Counter)
    faults: Counter[str] = Counter()
    begun = time.monotonic()
    with TemporaryDirectory() as folder:
        paths = []
        for _, name, data in cases(asked.mutated, asked.odd, asked.seed, asked.only):
            paths.append(Path(folder) / name)
            paths[-1].write_bytes(data)
        for done, (path, column, told) in enumerate(judge_all(paths), 1):
            table[path.suffix[1:] + (" odd" if path.name.startswith("odd") else "")][column] += 1
            if column in FAULTS:
                faults[f"{column}: {told}"] += 1
                print(f"{column}: {path.name}: {told}", flush=True)
                if asked.keep:
                    asked.keep.mkdir(parents=True, exist_ok=True)
                    (asked.keep / path.name).write_bytes(path.read_bytes())
            if done % 500 == 0:
                print(f"{done} of {len(paths)}, {time.monotonic() - begun:.0f} s", file=sys.stderr, flush=True)
    print(f"\n{'format':14}{'files':>7}" + "".join(f"{column:>11}" for column in COLUMNS))
    for name, row in sorted(table.items()):
        print(f"{name:14}{row.total():7}" + "".join(f"{row[column]:11}" for column in COLUMNS))
    return int(any(row[column] for row in table.values() for column in FAULTS))


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
