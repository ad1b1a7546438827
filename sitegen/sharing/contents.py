"""Which files of a piece's folder make the piece: its words, its score, stages of the teacher's own, its pictures."""

from __future__ import annotations

from pathlib import Path

from sitegen.errors import ContentError, FaultsError, located
from sitegen.library import Piece, load_piece
from sitegen.library.attachments import attachments_of
from sitegen.library.folders import PIECE, is_file_of
from sitegen.library.references import Reference, TakenOut, read_references
from sitegen.sharing.manifest import Credit

#: Elements of HTML and beginnings of what else is taken out of a page, which no teacher writes by mistake.
_COULD_RUN = frozenset(
    {"<script>", "<svg>", "<iframe>", "<object>", "<embed>", "<style>", "<link>", "<meta>", "<base>", "<form>",
     "<math>", "<template>", "<frame>", "<frameset>", "<applet>"}
)  # fmt: skip
_ADDRESSES = ("the address 'javascript:", "the address 'data:", "the address 'vbscript:", "the address 'file:")


def piece_in(folder: Path) -> Piece:
    """The piece of ``folder``. Raises ``ContentError`` for a folder without a ``piece.md``, ``FaultsError`` where its
    fields are at fault; what the studio around it says does not count."""
    if not (folder / PIECE).is_file():
        remedy = "Write one, or 'sitegen start' with the score: a bundle says what it holds."
        raise ContentError(f"holds no {PIECE}", remedy, folder)
    piece, _, faults = load_piece(folder)
    told = [fault for fault in faults if Path(str(fault.file)).name != "studio.yaml"]
    if told:
        raise told[0] if len(told) == 1 else FaultsError(told)
    if piece is None:
        raise ContentError("holds no piece", "Write 'title:' and 'score:' into it.", folder / PIECE)
    return piece


def scores_of(piece: Piece) -> tuple[str, ...]:
    """The names of its score and of the scores that are stages of the teacher's own, each once."""
    own = [str(stage["file"]) for stage in piece.matter.stages if isinstance(stage, dict) and stage.get("file")]
    return tuple(dict.fromkeys([piece.matter.score, *own]))


def files_of(piece: Piece) -> dict[str, bytes]:
    """The bytes of every file that the piece is made from, by path below its folder. Raises ``ContentError`` for one
    that is named and not there, or cannot be published."""
    attached, faults = attachments_of(piece.file, _read(piece)[0])
    if faults:
        raise faults[0]
    names = [PIECE, *scores_of(piece), *(one.path.removeprefix("files/") for one in attached)]
    for name in names:
        if not is_file_of(piece.folder, name):
            raise ContentError(f"'{name}' is not there", "Put it in the folder of the piece.", piece.file)
    return {name: (piece.folder / name).read_bytes() for name in sorted(dict.fromkeys(names))}


def credit_of(piece: Piece) -> Credit:
    """Who made what, as the piece says it, in the width of a line."""
    matter = piece.matter
    said = (matter.title, matter.composer, matter.licence, matter.source, matter.encoder)
    return Credit(*(" ".join(text.split())[:1000] for text in said))


def could_run(piece: Piece) -> ContentError | None:
    """Something in the commentary that no page shows and that was written to run or to load; None where there is
    none."""
    for part in _read(piece)[1]:
        if _is_harmful(part):
            return ContentError(f"{part.what} stands in the commentary", "Take it out.", piece.file, line=part.line)
    return None


def _read(piece: Piece) -> tuple[tuple[Reference, ...], tuple[TakenOut, ...]]:
    """What its commentary refers to, and what of it is taken out. Raises ``ContentError`` for one beyond the limits."""
    with located(piece.file):
        return read_references(piece.commentary, piece.commentary_line)


def _is_harmful(part: TakenOut) -> bool:
    what = part.what.lower()
    return what in _COULD_RUN or what.startswith(("on", "srcdoc=", *_ADDRESSES))
