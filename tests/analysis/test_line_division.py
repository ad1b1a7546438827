"""A line divides where a listener hears a group end, and what cannot be told apart keeps more than one division."""

import pytest

from sitegen.analysis.depth.division import UNLIKELY, divide, parallels
from sitegen.analysis.depth.evidence import gather_evidence
from tests.notation import score_of


def line_of(text, metre="4/4"):
    score = score_of(right=text, metre=metre)
    [line] = gather_evidence(score, (), {}, [("melody", tuple(n.id for n in score.notes if not n.grace))])
    return line


def likeliest(line):
    return max(divide(line)[0].cuts, key=lambda cut: cut.chance).middle


def test_a_repeated_bar_divides_from_the_bar_that_it_repeats():
    line = line_of("C5q E5e D5 C5q G4 | C5q E5e D5 C5q G4")
    assert likeliest(line) == 5
    assert parallels(line, 0, 5, 10) == (1.0, 1.0)


def test_a_sequence_is_parallel_in_tune_though_on_other_notes():
    assert parallels(line_of("C5q D5 E5 C5 | D5 E5 F#5 D5"), 0, 4, 8) == (1.0, 1.0)


def test_one_rhythm_with_another_tune_is_parallel_in_rhythm_only():
    rhythm, tune = parallels(line_of("C5h D5q E5 | G5h E5q C5"), 0, 3, 6)
    assert rhythm == 1.0
    assert tune == 0.0


def test_a_slur_holds_its_notes_together():
    assert likeliest(line_of("C5q D5( E5)", metre="3/4")) == 1
    assert likeliest(line_of("C5q( D5) E5", metre="3/4")) == 2


@pytest.mark.parametrize("text", ["C5w", "C5q D5 E5 F5", "C5q E5e D5 C5q G4 | F4q A4 C5h | D5q. E5e F5h | C5w"])
def test_each_note_is_a_span_once_in_all_divisions_together(text):
    line = line_of(text)
    single = [span for span in divide(line) if span.after - span.first == 1]
    assert [sum(s.chance for s in single if s.first == i) for i in range(len(line))] == pytest.approx([1.0] * len(line))
    for span in divide(line):
        assert sum(cut.chance for cut in span.cuts) == pytest.approx(1.0 if span.after - span.first > 1 else 0.0)
        assert len(span.cuts) <= 1 / UNLIKELY


def test_a_long_line_has_few_spans_for_each_note():
    line = line_of(" | ".join(["C5e D5 E5 F5 G5 A5 B5 C6"] * 60))
    assert len(divide(line)) < 6 * len(line)
