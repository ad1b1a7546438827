"""Days of the calendar in words."""

from __future__ import annotations

from datetime import date

from sitegen.publishing.messages import Catalogue


def day_in_words(day: str, words: Catalogue) -> str:
    """A day written ``2026-11-30`` as ``Monday 30 November``."""
    when = date.fromisoformat(day)
    weekday, month = words(f"weekday.{when.weekday()}"), words(f"month.{when.month}")
    return words("date.in-words", weekday=weekday, day=when.day, month=month)
