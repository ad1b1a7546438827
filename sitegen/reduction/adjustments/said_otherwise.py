"""What a name of a chord or a key that is not understood may have meant: German names (H7, Fis, d-Moll), Dmi for Dm,
and a chord's name in place of a key's.

They are never taken as said, since a B is another note to a German than to an English reader: the fault asks.
"""

from __future__ import annotations

import re

from sitegen.analysis.chords import spell

_NOTE = re.compile(r"(?P<letter>[A-Ha-h])(?P<sign>is|es|s(?!us)|#|b|)")
_MODE = re.compile(r"\s*-?\s*(?P<mode>moll|mol|minor|min|mi(?!n)|m(?!aj|o|i)|dur|major|)", re.IGNORECASE)
_GERMAN_SIGNS = {"is": "#", "es": "b", "s": "b"}
_MINOR = ("m", "mi", "min", "mol", "moll", "minor")
_ONLY_GERMAN = ("dur", "mol", "moll")


def chord_meant(said: str) -> str:
    """What to write in place of ``said``, with the reason; empty where nothing is known."""
    over, slash, under = said.partition("/")
    root = _note(over)
    if root is None:
        return ""
    mode = _mode(over)
    minor = mode in _MINOR or (said[0].islower() and mode not in ("dur", "major"))
    bass = _note(under) if slash else None
    chord = f"{root}{'m' if minor else ''}{_rest(over)}{slash}{bass or ''}"
    if (slash and bass is None) or spell(chord) is None or not (_german(over) or _german(under) or mode == "mi"):
        return ""
    return f"write {chord}{_reasons(over, under)}"


def key_meant(said: str) -> str:
    """As ``chord_meant``, of a key."""
    root, mode = _note(said), _mode(said)
    if root is None or _rest(said) or not (_german(said) or mode == "m"):
        return ""
    minor = mode in _MINOR or (not mode and said[0].islower())
    return f"write {root} {'minor' if minor else 'major'}{_reasons(said)}"


def _note(said: str) -> str | None:
    """The note with which ``said`` begins, as in English; B is B flat only where the name is German beyond doubt."""
    found = _NOTE.match(said)
    if found is None:
        return None
    letter = found["letter"].upper()
    if letter == "B" and not found["sign"] and _mode(said) in _ONLY_GERMAN:
        return "Bb"
    return {"H": "B"}.get(letter, letter) + _GERMAN_SIGNS.get(found["sign"], found["sign"])


def _mode(said: str) -> str:
    found = _MODE.match(said, _after_note(said))
    return found["mode"].lower() if found else ""


def _rest(said: str) -> str:
    found = _MODE.match(said, _after_note(said))
    return said[found.end() :].strip() if found else ""


def _after_note(said: str) -> int:
    found = _NOTE.match(said)
    return found.end() if found else 0


def _german(said: str) -> bool:
    found = _NOTE.match(said)
    return found is not None and (
        found["letter"] in "Hh" or found["sign"] in _GERMAN_SIGNS or _mode(said) in _ONLY_GERMAN
    )


def _reasons(*names: str) -> str:
    """Where names begin with H, or mean B flat by B: which note that is in English."""
    if any(name[:1] in ("H", "h") for name in names):
        return "; names are English here, and H is B"
    if any(name[:1] in ("B", "b") and _note(name) == "Bb" and _mode(name) in _ONLY_GERMAN for name in names):
        return "; names are English here, and B is a half step below C"
    return "; names are English here" if any(_german(name) for name in names) else ""
