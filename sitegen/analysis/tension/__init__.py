"""How tense each harmony is."""

from sitegen.analysis.tension.measuring import WEIGHTS, measure_tension

__all__ = [
    "WEIGHTS",
    "measure_tension",
]
