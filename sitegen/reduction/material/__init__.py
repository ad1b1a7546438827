"""What the techniques start from: the notes of a score by their parts, windows, runs and harmonies."""

from sitegen.reduction.material.indexed import HarmonyGroup, Material, gather
from sitegen.reduction.material.roles import FIGURES
from sitegen.reduction.material.runs import STEP, TENTH, chord_tones, harmony_of_a_beat
from sitegen.reduction.material.windows import OCTAVE, Window, attacks_of, find_windows, shape_of

__all__ = [
    "FIGURES",
    "OCTAVE",
    "STEP",
    "TENTH",
    "HarmonyGroup",
    "Material",
    "Window",
    "attacks_of",
    "chord_tones",
    "find_windows",
    "gather",
    "harmony_of_a_beat",
    "shape_of",
]
