"""The text of a ``piece.md`` to begin from: fields filled from the score, and notes to turn into prose."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator, Sequence
from textwrap import wrap

from sitegen.analysis import Analysis
from sitegen.analysis.form import WITH_ARTICLE
from sitegen.library.tempo_marks import value_of
from sitegen.reduction import Stage
from sitegen.score import Score, starting_tempo
from sitegen.score.intervals import interval_name, with_article
from sitegen.starting.planning import draft_plan, left_to_the_teacher

MOST_TENSE = 3  # places that the draft names
#: The largest part of a tension, as a reason.
REASONS = {
    "distance": "far from the key's own chord",
    "roughness": "its tones rub against each other",
    "inversion": "it does not stand on its root",
    "foreign notes": "notes in it lean",
}
_PLAIN = re.compile(r"[A-Za-zÀ-ÿ0-9][\w À-ÿ.,;()/&+'-]*")


def draft_piece(
    score: Score,
    analysis: Analysis,
    stages: Sequence[Stage],
    file: str,
    licence: str,
    source: str,
    title: str,
    day: str,
) -> str:
    """The whole text. ``file`` is the score's name beside it; ``title`` stands where the score gives none; ``day`` is
    the one on which it comes into the library."""
    front = _front(score, analysis, stages, file, licence, source, title, day)
    return "\n".join([*front, *_words(score, analysis, stages)])


def _front(
    score: Score,
    analysis: Analysis,
    stages: Sequence[Stage],
    file: str,
    licence: str,
    source: str,
    title: str,
    day: str,
) -> Iterator[str]:
    yield "---"
    yield f"title: {_text(score.title or title)}"
    if score.composer:
        yield f"composer: {_text(score.composer)}"
    yield f"added: {day}"
    yield f"score: {_text(file)}"
    yield (
        f"licence: {_text(licence)}" if licence else "# licence: CC0-1.0      # for score and words; local law decides"
    )
    yield f"source: {_text(source)}" if source else "# source: where the score comes from, and who encoded it"
    yield "# composer_died, editor, editor_died, encoder: whose work it is, where you share it or others build it"
    yield "hand: medium            # small, medium, large: the widest stretch that the stages ask for"
    if score.bars:
        beat = score.bars[0].metre.beat_quarters
        value = value_of(beat)
        if value:
            yield f"tempo: {value} = {starting_tempo(score) / float(beat):.0f}"
    yield "# The ladder as it is chosen now: name, notes, difficulty, widest stretch of the left and the right hand."
    for stage in stages:
        spans = ", ".join(f"{report.hand} {interval_name(report.widest)}" for report in stage.hands if report.widest)
        side = " (side study)" if stage.side_study else ""
        counted = f"{len(stage.notes)} notes, {stage.difficulty.value:.1f}"
        yield f"#   - {stage.title.lower()}{side}: {counted}; {spans or 'single notes'}"
    yield "# Write 'stages:' with a list of such names for an order of your own, and 'adjustments:' where you read or"
    yield "# wish otherwise; 'sitegen analyse' prints the places to copy."
    tasks = draft_plan(score, analysis, stages)
    if tasks:
        yield "practise:"
    for task in tasks:
        bars = f", bars: '{task.bars}'" if task.bars else ""
        note = ", note: once more" if task.again else ""
        yield f"  - {{day: {task.day}, stage: {_text(task.stage.lower())}{bars}{note}}}"
    later = left_to_the_teacher(score, analysis, stages)
    if later:
        yield "# The plan is of the first stretch. The others end with a phrase too, and take as many days each:"
        yield from wrap(", ".join(later), 110, initial_indent="#   ", subsequent_indent="#   ")
    yield "---"


def _words(score: Score, analysis: Analysis, stages: Sequence[Stage]) -> Iterator[str]:
    yield ""
    yield "<!-- Notes from the analysis, to turn into your own words; lines like this one are not published. -->"
    if analysis.phrases:
        yield from ("", "## The plan of it", "", "| bars | how it ends | key |", "| --- | --- | --- |")
        for phrase in analysis.phrases:
            first, last = score.bar_at(phrase.onset).number, score.bar_at(max(phrase.onset, phrase.end - 1)).number
            bars = first if first == last else f"{first}-{last}"
            key = analysis.harmony_at(max(phrase.onset, phrase.end - 1)).key or ""
            end = WITH_ARTICLE[phrase.cadence] if phrase.cadence else "it goes on"
            yield f"| [{bars}](bars:{bars}) | {end} | {key} |"
    tense = sorted(analysis.tension, key=lambda t: (-t.value, t.onset))[:MOST_TENSE]
    if tense:
        yield from ("", "## Where it pulls most", "")
        for place in sorted(tense, key=lambda t: t.onset):
            bar = score.bar_at(place.onset).number
            harmony = analysis.harmony_at(place.onset)
            reason = max(place.parts, key=lambda part: part[1], default=("", 0.0))[0]
            words = f" ({REASONS.get(reason, reason)})" if reason else ""
            yield f"- [Bar {bar}](bars:{bar}): {harmony.symbol or 'no chord'}{words}."
    told = [stage for stage in stages if stage.listen]
    if told:
        yield from ("", "## What to listen for", "")
        for stage in told:
            yield f"- **{stage.title}.** {stage.listen}"
    yield from ("", "## The hands", "")
    for report in stages[-1].hands if stages else ():
        if report.widest:
            span = with_article(interval_name(report.widest))
            yield f"- The {report.hand} hand spans {span} at the widest."
    yield "- A stretch must never hurt: roll it, or leave a note to the other hand; rest before the arm tires."
    yield ""


def _text(words: str) -> str:
    """``words`` as YAML reads them back: quoted where a sign in them would mean something."""
    looks_otherwise = re.fullmatch(r"[\d.]+|true|false|yes|no|null|on|off|[\d-]+", words, re.IGNORECASE)
    return (
        words
        if _PLAIN.fullmatch(words) and not looks_otherwise and words == words.strip()
        else json.dumps(words, ensure_ascii=False)
    )
