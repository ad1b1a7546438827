"""Every sentence and name that the steps have in English, by its key in the catalogues of other languages."""

from __future__ import annotations

from sitegen.analysis import reason_texts
from sitegen.analysis.form import FIRMNESS, WITH_ARTICLE
from sitegen.analysis.functions import ACCENTS, APPROACHED, FUNCTIONS, UNPREPARED
from sitegen.analysis.tension import WEIGHTS
from sitegen.analysis.texture import KINDS, OF_ANY_PIECE, passage_words
from sitegen.reduction.remarks import INTERVALS, PARALLELS, SENTENCES
from sitegen.reduction.techniques import ladders, techniques

_WORDS = (
    *WITH_ARTICLE.values(), *filter(None, INTERVALS), *PARALLELS.values(), *ACCENTS, APPROACHED, UNPREPARED,
    "a rest", "up", "down", "upper", "lower", "a tone", "trill", "mordent", "turn",
    *(f"the {tone}" for tone in ("root", "third", "fifth", "seventh", "ninth", "fourth")),
)  # fmt: skip


def sentences_of_the_steps() -> dict[str, str]:
    """The sentences by their keys; their ``{named}`` places are those that a translation has too."""
    return {
        **{f"listen.{message}": sentence for message, sentence in SENTENCES.items()},
        **{f"why.{id_}": sentence for id_, sentence in reason_texts.SENTENCES.items()},
        **{f"pupil.{name}": row.pupil for name, row in techniques().items()},
        **{f"teacher.{name}": row.teacher for name, row in techniques().items()},
        **{f"stage.{name}": name for name in techniques()},
        **{f"stage.{rung.title}": rung.title for rungs in ladders().values() for rung in rungs if rung.title},
        **{f"word.{word}": word for word in (*_WORDS, *reason_texts.CHORDS)},
        **{f"cadence.{kind}": kind for kind in FIRMNESS},
        **{f"passage.{id_}": sentence for id_, sentence in passage_words.SENTENCES.items()},
        **{f"hand.{word}": word for word in (*passage_words.DOES.values(), *passage_words.BOTH.values())},
        **{f"accompaniment.{word}": word for word in passage_words.ACCOMPANIES.values()},
        **{f"number.{word}": word for word in passage_words.NUMBERS.values()},
        **{f"texture.{name}": name for name in KINDS if name not in OF_ANY_PIECE},
        **{f"tension.{part}": part for part in WEIGHTS},
        **{f"function.{function}": function for function in FUNCTIONS},
    }
