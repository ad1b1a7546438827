"""How far a hand reaches on the keyboard, in semitones: by the words that a teacher has for it."""

from __future__ import annotations

SPANS = {"small": 10, "medium": 12, "large": 14}
MEDIUM_HAND = SPANS["medium"]
