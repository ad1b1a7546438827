"""How far a command is, for whoever waits."""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass, field


@dataclass(frozen=True, slots=True)
class Progress:
    """``done`` of ``total`` pieces; ``now`` is what is being made, ``left`` how many seconds that may still take, None
    where nothing can be said yet. ``ended`` is the slug of a piece that is done just now, else empty."""

    now: str
    done: int
    total: int
    left: float | None = None
    ended: str = ""


Tell = Callable[[Progress], None]


@dataclass(slots=True)
class Estimate:
    """How long what is left may take: as long as what is done took, by size. ``sizes`` are those of all pieces."""

    sizes: dict[str, int]
    begun: float = field(default_factory=time.monotonic)
    done: int = 0

    def ended(self, slug: str) -> None:
        """A piece is done."""
        self.done += self.sizes.get(slug, 0)

    @property
    def left(self) -> float | None:
        """Seconds, None where no piece is done yet."""
        if not self.done:
            return None
        return (time.monotonic() - self.begun) * (sum(self.sizes.values()) - self.done) / self.done
