"""What the musical steps say in English, told in the language of the library."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from sitegen.analysis import Passage, Reason, reason_texts
from sitegen.analysis.texture import passage_words
from sitegen.checking.words import theme_of
from sitegen.library import StudioMatter
from sitegen.places.stages import StageName, plain
from sitegen.publishing import Catalogue, Filling, FillingKind, find_theme, load_catalogue, tell
from sitegen.publishing.messages import NONE_OF_HER_OWN
from sitegen.publishing.spelling import span_in_words
from sitegen.reduction import Stage, WideStretch
from sitegen.reduction.remarks import SENTENCES

_LISTEN_KINDS: dict[str, FillingKind] = {"key": "key", "bars": "list"}
_WHY_KINDS: dict[str, FillingKind] = {"chord": "chord", "next_chord": "chord", "tones": "pitches"}
_WEIGHED = frozenset({"share", "sure"})


@dataclass(frozen=True, slots=True)
class Teller:
    """The words of one library."""

    words: Catalogue

    def title(self, stage: Stage) -> str:
        """What the stage is called; a title of the teacher's own stays."""
        return self.words.word("stage", stage.title.lower(), stage.title)

    def called(self, stage: Stage) -> StageName:
        """What the stage may be called, in the library's language and in English."""
        also = [told for name in stage.also for told in (self.words.word("stage", name.lower(), name), name)]
        return StageName(stage.slug, tuple(dict.fromkeys((self.title(stage), stage.title))), tuple(also))

    def in_english(self, name: str) -> str:
        """The title or technique that is called ``name`` in the library's language; ``name`` where there is none."""
        terms = self.words.group("stage")
        return next((term for term, told in terms.items() if plain(told) == plain(name)), name)

    def listen(self, stage: Stage) -> str:
        """What to listen for; a sentence of the teacher's own stays."""
        if stage.sentence is None:
            return stage.listen
        message = stage.sentence.message
        places = tuple(Filling(name, text, _LISTEN_KINDS.get(name, "word")) for name, text in stage.sentence.fields)
        return tell(self.words, f"listen.{message}", SENTENCES[message], places)

    def techniques(self, stage: Stage) -> tuple[str, ...]:
        """What was done to the score, each technique in its sentence for the pupil."""
        from sitegen.reduction.techniques import techniques

        table = techniques()
        return tuple(
            self.words.word("pupil", name, table[name].pupil if name in table else name) for name in stage.techniques
        )

    def cadence(self, cadence: str) -> str:
        """How a phrase ends; empty where that is by no cadence."""
        return self.words.word("cadence", cadence) if cadence else ""

    def form(self, kind: str, last_phrase: str) -> str:
        """What phrases make together; ``last_phrase`` is the printed number of the bar in which the last of them
        begins."""
        return self.words(f"form.{kind}", answer=last_phrase)

    def for_the_teacher(self, stage: Stage) -> tuple[str, ...]:
        """What was done to the score, each technique in its sentence for the teacher."""
        from sitegen.reduction.techniques import techniques

        table = techniques()
        return tuple(
            self.words.word("teacher", name, table[name].teacher) for name in stage.techniques if name in table
        )

    def passage(self, passage: Passage) -> str:
        """What the hands do in a passage."""
        places = passage_words.places_of(passage)
        told = {name: self.words.word(group, word) for name, (group, word) in places.items()}
        return self.words.sentence(f"passage.{passage.together}", passage_words.SENTENCES[passage.together], told)

    def why(self, reasons: Iterable[Reason]) -> str:
        """Why a note or a chord is what it is."""
        return " ".join(
            tell(
                self.words,
                f"why.{reason.id}",
                reason_texts.SENTENCES[reason.id],
                tuple(Filling(name, text, _WHY_KINDS.get(name, "word")) for name, text in reason.fields),
            )
            for reason in reasons
        )

    def why_to_a_pupil(self, reasons: Iterable[Reason]) -> str:
        """Why a chord is what it is, without the shares by which it was weighed."""
        return self.why(reason for reason in reasons if reason.id not in _WEIGHED)

    def tempo(self, value: str, figure: str) -> str:
        """A tempo with the note that it counts: ``dotted quarter = 60``."""
        return f"{self.words.word('note value', value)} = {figure}"

    def stretches(self, places: Iterable[tuple[str, WideStretch]]) -> tuple[str, ...]:
        """The places wider than the hand the stage is made for, each with the printed number of its bar: what comes
        again is told once, with all its bars."""
        bars: dict[tuple[str, str], dict[str, None]] = {}
        for bar, place in places:
            told = span_in_words(place.semitones, self.words), self.words.word("remedy", place.remedy)
            bars.setdefault(told, {})[self.words("stretch.upbeat") if bar == "0" else bar] = None
        return tuple(self._stretch(list(numbers), *told) for told, numbers in bars.items())

    def _stretch(self, bars: list[str], interval: str, remedy: str) -> str:
        before, last = ", ".join(bars[:-1]), bars[-1]
        said = self.words("list.last", before=before, last=last) if before else last
        return self.words("stretch.place", count=len(bars), bars=said, interval=interval, remedy=remedy)


def teller_of(studio: StudioMatter, own: Mapping[str, str] = NONE_OF_HER_OWN) -> Teller:
    """The words of a studio, in its language as its theme has it, with its ``own`` over them."""
    return Teller(load_catalogue(find_theme(theme_of(studio)), studio.language, own))
