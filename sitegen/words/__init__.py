"""The words of music in each language, and what is true of the words of all: plural forms, direction, what lies over
what, what a sentence must hold. Who says them is not known here.

``<language>.json`` beside this file holds theory's words: names of stages, note functions, chords, cadences, intervals,
keys, textures, and the sentences about the music. What is written on the buttons of pages belongs to their theme."""

from sitegen.words.giving import lacking, optional, wrong_with
from sitegen.words.layers import amended, laid_over, languages_of_theory, read_words, words_of_theory
from sitegen.words.plurals import decimal_in, direction_of, form_of, forms_of, main_of, stem_of

__all__ = [
    "amended",
    "decimal_in",
    "direction_of",
    "form_of",
    "forms_of",
    "lacking",
    "laid_over",
    "languages_of_theory",
    "main_of",
    "optional",
    "read_words",
    "stem_of",
    "words_of_theory",
    "wrong_with",
]
