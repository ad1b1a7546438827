"""A piece's folder, or a whole studio's, begun from a score: never over anything that is there."""

from sitegen.starting.assigning import start_assignment
from sitegen.starting.folders import Started, start_piece, start_studio

__all__ = ["Started", "start_assignment", "start_piece", "start_studio"]
