"""How much of a figure is enough for its name: each bound of the texture table, in bars just inside and just outside.

Shares are tried in tenths: of ten notes, or of ten moves, so many are of the kind that is asked for.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping

import pytest

from sitegen.analysis.texture.finding import how_well
from sitegen.analysis.texture.staff_measures import measure_stretch
from sitegen.analysis.texture.table import TEXTURES
from sitegen.analysis.texture.ways import HALF_SILENT, LINE, NO, YES, WayOfWriting
from tests.notation import score_of

C_MAJOR = (0, 4, 7)
Measures = Mapping[str, float]


def measured(text: str, metre: str = "10/8") -> Measures:
    """The measures of a bar of the left hand over C major."""
    score = score_of(left=text, metre=metre)
    tones = {note.id for note in score.notes if note.pitch.pitch_class in C_MAJOR}
    time = score.bars[0].metre
    return measure_stretch(score.notes, tones, float(time.quarters / time.beat_quarters), False, True)


def eighths(count: int, kind: str, others: str) -> str:
    """Ten eighths, the first ``count`` of them ``kind``."""
    return " ".join(f"{name}e" for name in [kind] * count + [others] * (10 - count))


def moves(count: int, start: str, there: str, elsewhere: str = "") -> str:
    """Eleven eighths: ``count`` moves to and fro between two notes, then rests of the ten on the spot or elsewhere."""
    line = [start]
    for k in range(10):
        line.append((there if line[-1] == start else start) if k < count else line[-1])
    if elsewhere:
        line[count + 1 :] = [(elsewhere, start)[k % 2] for k in range(10 - count)]
    return " ".join(f"{name}e" for name in line)


def basses(count: int) -> str:
    """Ten attacks, so many of them basses and the chords that follow them."""
    pairs = ["C3e", "E3+G3e"] * (count // 2) + ["E3+G3e"] * (count % 2)
    return " ".join(["C3e"] * (10 - count) + pairs)


def above_c(semitones: float) -> str:
    """The note so far above C4."""
    octaves, place = divmod(int(semitones), 12)
    return f"{['C', 'Db', 'D', 'Eb', 'E', 'F', 'Gb', 'G', 'Ab', 'A', 'Bb', 'B'][place]}{4 + octaves}"


def in_two_voices(upper: str, lower: str, metre: str = "10/8") -> Measures:
    return measured(f"{upper} ; {lower}", metre)


# a measure, and the bar that has so many tenths of it
SHARES: dict[str, Callable[[int], Measures]] = {
    "tremolo signs": lambda n: measured(eighths(n, "C4", "E4").replace("C4e", "C4e!trem")),
    "single": lambda n: measured(eighths(n, "C4", "C4+E4+G4")),
    "double": lambda n: measured(eighths(n, "C4+E4", "C4")),
    "octaves": lambda n: measured(eighths(n, "C4+C5", "C4")),
    "chords": lambda n: measured(eighths(n, "C4+E4", "C4")),
    "chord tones": lambda n: measured(eighths(n, "C4", "D4")),
    "steps": lambda n: measured(moves(n, "C4", "D4"), "11/8"),
    "leaps": lambda n: measured(moves(n, "C4", "E4"), "11/8"),
    "same chord": lambda n: measured(moves(10 - n, "C4+E4", "C4+F4"), "11/8"),
    "even": lambda n: measured(" ".join(["C4e"] * n + ["C4q"] * (10 - n) + ["C4e"]), f"{21 - n}/8"),
    "alternating": lambda n: measured(moves(n + 1, "C4", "E4") + " " + ("C4e" if n % 2 else "E4e"), "12/8"),
    "Alberti": lambda n: measured(" ".join(["C3s G3 E3 G3"] * n + ["C3s E3 G3 E3"] * (10 - n)), "40/16"),
    "bass then chord": lambda n: measured(basses(n)),
    "figure tones": lambda n: in_two_voices("C5w", " ".join([*("C4e", "E4e") * 5][:n] + [*("A3e", "D4e") * 5][n:])),
    "own onsets": lambda n: in_two_voices(eighths(10, "C5", ""), " ".join(["C4e"] * (10 - n))),
    "voice steps": lambda n: in_two_voices(moves(n, "C5", "D5", "G5"), "C4w", "11/8"),
}
# a measure, and the bar that has just so many or so much of it
FIGURES: dict[str, Callable[[float], Measures]] = {
    "attacks": lambda n: measured(" ".join(["C4e"] * int(n))),
    "attacks a beat": lambda n: measured(" ".join(["C4s"] * int(10 * n)), "10/4"),
    "run": lambda n: measured(" ".join(["C4e", "D4", "E4", "F4", "G4", "A4", "B4"][: int(n)])),
    "sweep": lambda n: measured(" ".join(["C4e", "E4", "G4", "C5", "E5", "G5", "C6"][: int(n)])),
    "span": lambda n: measured(f"C4e {above_c(n)}e"),
    "reach": lambda n: measured(f"C4e {above_c(n // 2)} {above_c(n)}"),
    "least voice": lambda n: in_two_voices("C5e D5 E5 F5", " ".join(["C4e"] * int(n))),
    "busier": lambda n: in_two_voices("C5e C5 C5 C5", " ".join(["C4s"] * int(4 * n))),
    "figure rate": lambda n: in_two_voices("C5h", " ".join(["C4s"] * int(10 * n)), "10/4"),
    "chords a bass": lambda n: measured(" ".join(["C3e"] + ["E3+G3e"] * int(2 * n - 1) + ["C3e", "E3+G3e"]), "12/8"),
    "bass to chord": lambda n: measured(f"C4e {above_c(n)}+{above_c(n + 3)}e"),
}  # fmt: skip

# for each row in its order what is enough and, by a tenth or by one, not too much: ``least`` or ``(least, most)``
ENOUGH: list[tuple[str, dict[str, object]]] = [
    ("tremolo", {"tremolo signs": 6}),
    ("tremolo", {"alternating": 9, "attacks a beat": 4, "attacks": 6, "steps": (None, 3)}),
    ("Alberti bass", {"Alberti": 7, "even": 7, "single": 9, "chord tones": 6}),
    ("arpeggio", {"leaps": 6, "chord tones": 7, "single": 8, "sweep": 4, "span": 14, "attacks a beat": 2}),
    ("arpeggio", {"leaps": 6, "chord tones": 7, "single": 8, "reach": 14, "attacks a beat": 2}),
    (
        "broken chord",
        {"leaps": 6, "chord tones": 8, "single": 7, "even": 6, "attacks a beat": 2, "attacks": 3, "span": (None, 21)},
    ),
    (
        "broken chord",
        {"leaps": 6, "chord tones": 8, "single": 7, "even": 6, "attacks a beat": 3, "attacks": 3, "span": (None, 21)},
    ),
    ("broken chord", {"leaps": 6, "chord tones": 8, "double": (3, 7), "even": 7, "attacks a beat": 3, "attacks": 6}),
    ("broken chord", {"leaps": 5, "chord tones": 5, "single": 7, "even": 6, "attacks a beat": 2, "attacks": 4}),
    ("waltz bass", {"bass then chord": 8, "chords a bass": (2, 2)}),
    ("stride bass", {"bass then chord": 7, "chords a bass": (None, 1), "bass to chord": 12, "attacks": 4}),
    ("march bass", {"bass then chord": 7, "chords a bass": (None, 1), "bass to chord": (None, 12), "attacks": 4}),
    ("bass and chord", {"octaves": (4, 8), "bass then chord": 5, "attacks": 4}),
    ("bass and chord", {"bass then chord": 7, "attacks": 2}),
    ("repeated chords", {"chords": 9, "same chord": 6, "attacks": 3, "attacks a beat": 1}),
    ("octave doubling", {"octaves": 9, "attacks": 2}),
    ("octave doubling", {"octaves": 5}),
    ("scale run", {"steps": 8, "single": 9, "run": 6, "attacks a beat": 3, "even": 7}),
    ("melody and figuration", {"busier": 2, "figure tones": 6, "figure rate": 2}),
    ("contrapuntal", {"own onsets": 4, "voice steps": 5, "least voice": 2}),
    ("melody", {"single": 5}),
    ("chordal", {"chords": 5}),
    ("line", {"single": 7, "steps": 5, "attacks": 3, "attacks a beat": 1}),
]
WAYS = [*((kind.name, way) for kind in TEXTURES for way in kind.ways), ("line", LINE)]
SMALLER = {"attacks a beat": 0.5, "busier": 0.5, "figure rate": 0.5}
CASES = [
    pytest.param(way, measure, amounts, id=f"{kind} {number}: {measure}")
    for number, ((_, way), (kind, needs)) in enumerate(zip(WAYS, ENOUGH, strict=True))
    for measure, amounts in needs.items()
]


def bar_with(amount: float, measure: str) -> Measures:
    """The measures of the bar that has so much of one measure, which it is checked to have."""
    bar = SHARES[measure](int(amount)) if measure in SHARES else FIGURES[measure](amount)
    assert bar[measure] == pytest.approx(amount / 10 if measure in SHARES else amount)
    return bar


def is_enough(way: WayOfWriting, measure: str, amount: float) -> bool:
    return how_well(WayOfWriting({measure: way.bounds[measure]}), bar_with(amount, measure)) == 1


@pytest.mark.parametrize(("way", "measure", "amounts"), CASES)
def test_of_each_figure_so_much_is_enough_and_a_little_less_is_not(way, measure, amounts):
    least, most = amounts if isinstance(amounts, tuple) else (amounts, None)
    little = SMALLER.get(measure, 1)
    if least is not None:
        assert is_enough(way, measure, least)
        assert not is_enough(way, measure, least - little)
    if most is not None:
        assert is_enough(way, measure, most)
        assert not is_enough(way, measure, most + little)


def test_nothing_else_is_asked_of_a_figure_but_the_hand_the_metre_and_which_voice_is_busier():
    free = {"left hand", "triple", "busier below"}
    for (name, way), (kind, needs) in zip(WAYS, ENOUGH, strict=True):
        assert name == kind
        assert set(way.bounds) - free == set(needs)


def test_basses_are_of_the_left_hand_and_a_waltz_has_three_beats():
    for hand in (0.0, 1.0):
        assert how_well(WayOfWriting({"left hand": YES}), {"left hand": hand}) == hand
        assert how_well(WayOfWriting({"left hand": NO}), {"left hand": hand}) == 1 - hand
    assert [name for name, way in WAYS if way.bounds.get("triple") == YES] == ["waltz bass"]
    assert [name for name, way in WAYS if way.bounds.get("busier below") == YES] == ["melody and figuration"]


@pytest.mark.parametrize(
    ("kind", "measure", "amount", "left"),
    [
        ("Alberti bass", "single", 8, 0.6),  # tenths: one too few
        ("arpeggio", "span", 13, 2 / 3),  # a semitone short of a ninth
        ("arpeggio", "span", 12, 1 / 3),
        ("arpeggio", "reach", 13, 2 / 3),
        ("march bass", "bass to chord", 13, 2 / 3),
        ("stride bass", "bass to chord", 11, 2 / 3),
        ("march bass", "chords a bass", 1.5, 0.75),
        ("arpeggio", "attacks a beat", 1.6, 0.4),
        ("melody and figuration", "busier", 1.75, 0.5),
        ("tremolo", "attacks", 5, 0.0),  # one note too few is too few
        ("scale run", "run", 5, 0.0),
    ],
)
def test_a_little_outside_a_bound_a_figure_is_worth_less_and_not_much_further_nothing(kind, measure, amount, left):
    bounds = next(way.bounds for name, way in WAYS if name == kind and measure in way.bounds)
    assert how_well(WayOfWriting({measure: bounds[measure]}), bar_with(amount, measure)) == pytest.approx(left)


def test_the_more_a_name_says_the_more_it_is_worth():
    """A tune over its figure before either alone; a full figure before one that is hard to name; plain names last, and
    less than a rest of half a bar inside a figure."""
    worth = {f"{name} {number}": way.worth for number, (name, way) in enumerate(WAYS)}
    assert worth["melody and figuration 18"] == pytest.approx(1.1)
    plain = [worth[name] for name in ("melody 20", "chordal 21")]
    order = [
        worth["melody and figuration 18"], worth["Alberti bass 2"], worth["broken chord 5"], worth["broken chord 7"],
        worth["bass and chord 12"], worth["broken chord 8"], HALF_SILENT, plain[0], worth["octave doubling 16"],
    ]  # fmt: skip
    assert order == sorted(order, reverse=True)
    assert len(set(order)) == len(order)
    assert worth["Alberti bass 2"] == worth["waltz bass 9"] == worth["scale run 17"] + 0.1 == 1
    assert worth["broken chord 5"] == worth["broken chord 6"] == worth["contrapuntal 19"]
    assert worth["broken chord 7"] == worth["bass and chord 13"]
    assert plain[0] == plain[1]
    assert worth["octave doubling 16"] == pytest.approx(7 / 8 * plain[0])
