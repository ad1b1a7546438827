"""Why each thing is made: which of its inputs changed since the build before, or which code."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any

from sitegen.building.codec import FormError, from_bytes, to_bytes
from sitegen.building.driving import Code
from sitegen.building.steps.table import Call
from sitegen.building.store import Store

_SHOWN = 3  # names in one line; of more only the number is told


@dataclass(frozen=True, slots=True)
class Was:
    """A call as it was asked for."""

    code: str
    inputs: dict[str, Any]
    said: dict[str, Any]


@dataclass(slots=True)
class Explainer:
    """Compares what is asked for with what was asked for in the build before, of the same ``name``. ``code_before`` are
    the parts of the code of each step then."""

    store: Store
    name: str
    code: Code
    code_before: Mapping[str, dict[str, str]]
    tell: Callable[[str], None] | None = None
    _asked: dict[str, dict[str, Was]] = field(default_factory=dict)
    _before: dict[str, dict[str, Was]] = field(default_factory=dict)

    def asked(self, piece: str, call: Call) -> None:
        """Remember that something was asked for."""
        inputs = {name: list(it) if isinstance(it, tuple) else it for name, it in call.inputs.items()}
        self._asked.setdefault(piece, {})[call.name] = Was(self.code.of(call.step), inputs, dict(call.said))

    def run(self, piece: str, call: Call) -> None:
        """Say why a step is run."""
        if self.tell is not None:
            self.tell(f"{piece}: {call.name}: {self._reason(piece, call)}")

    def keep(self, piece: str) -> None:
        """Remember for the next build what was asked for in making a piece."""
        self._before.pop(piece, None)
        self.store.write_note(f"asked/{self.name}/{piece}", to_bytes(self._asked.pop(piece, {})))

    def _reason(self, piece: str, call: Call) -> str:
        if self.store.fresh:
            return "everything is made anew"
        was, now = self._was(piece).get(call.name), self._asked[piece][call.name]
        if was is None:
            return "it was not made before"
        reasons = []
        if was.code != now.code:
            reasons.append(_code_changed(self.code_before.get(call.step.name, {}), self.code.parts[call.step.name]))
        names = now.inputs.keys() | was.inputs.keys()
        changed = sorted(name for name in names if was.inputs.get(name) != now.inputs.get(name))
        reasons += [f"its {_listed(changed)} changed"] if changed else []
        reasons += [
            f"its {name} was {was.said.get(name)} and is {now.said.get(name)}"
            for name in sorted(now.said.keys() | was.said.keys())
            if was.said.get(name) != now.said.get(name)
        ]
        return "; ".join(reasons) or "it is not in the store any more"

    def _was(self, piece: str) -> dict[str, Was]:
        if piece not in self._before:
            data = self.store.note(f"asked/{self.name}/{piece}")
            try:
                self._before[piece] = from_bytes(data, dict[str, Was]) if data else {}
            except FormError:
                self._before[piece] = {}
        return self._before[piece]


def _code_changed(before: Mapping[str, str], now: Mapping[str, str]) -> str:
    names = sorted(name for name in before.keys() | now.keys() if before.get(name) != now.get(name))
    ours = [name.removeprefix("sitegen.") for name in names if name.startswith("sitegen.")]
    libraries = [f"{name} {now.get(name, 'gone')}" for name in names if not name.startswith("sitegen.")]
    return f"the code changed in {_listed([*ours, *libraries])}" if names else "its code changed"


def _listed(names: list[str]) -> str:
    return ", ".join(names) if len(names) <= _SHOWN else f"{', '.join(names[:_SHOWN])} and {len(names) - _SHOWN} more"
