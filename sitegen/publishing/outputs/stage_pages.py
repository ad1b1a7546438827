"""The pages of a piece: ``index.html`` opens at the first stage of the ladder, and each stage has a page of its own
that opens there."""

from __future__ import annotations

from dataclasses import dataclass

from markupsafe import Markup

from sitegen.publishing.commentary import publish_commentary
from sitegen.publishing.datafiles import hands_in_words
from sitegen.publishing.describing import describe_stage
from sitegen.publishing.linked_data import composition
from sitegen.publishing.nouns import PiecePage, SheetDrawing, StagePage, SystemDrawing
from sitegen.publishing.outputs.nouns import OfPiece, OfStage, PublishedFile, below_piece, folder_of, stage_file
from sitegen.publishing.press import Press
from sitegen.publishing.references import publish_references
from sitegen.publishing.rights import credit_line, rights_in_words
from sitegen.publishing.screens import layouts_of
from sitegen.publishing.textures import bars_by_texture


def _page(press: Press, piece: PiecePage, stage: StagePage, path: str, to_piece: str) -> bytes:
    def address(sheet: SheetDrawing, system: SystemDrawing) -> str:
        # the page of a stage lies beside its sheets
        view = sheet.view(system)
        return view.removeprefix(f"stages/{stage.slug}/") if to_piece else view

    credit = credit_line(piece, press.library.title)
    return press.page(
        "piece.html.j2",
        path,
        piece=piece,
        stage=stage,
        to_piece=to_piece,
        address=address,
        commentary=Markup(publish_references(publish_commentary(piece, to_piece), piece, to_piece)),
        described=describe_stage(piece, stage, press.words),
        forms=[form for form in piece.forms if form.certain],
        hands=hands_in_words(stage, press.words),
        layouts={name: there for name, there in layouts_of(press.theme.screens).items() if stage.sheets.get(name)},
        steps=_steps(piece),
        textures=bars_by_texture(piece.passages),
        # the address of a piece is that of its first page: what is said of the whole stands there
        composition={}
        if to_piece or piece.place
        else composition(piece, press.address_of(folder_of(piece.slug)) or "./", credit),
        rights=rights_in_words(piece, press.words),
        credit=credit,
    )


@dataclass(frozen=True, slots=True)
class _Step:
    """A stage as the ladder shows it: its number (side studies have letters), and how full it is, 1 to 8."""

    stage: StagePage
    label: str
    fullness: int


def _steps(piece: PiecePage) -> list[_Step]:
    """The ladder from the fewest notes to the printed score, then what is practised beside it."""
    most = max(stage.note_count for stage in piece.stages) or 1
    steps = []
    rung = side = 0
    for stage in piece.stages:
        if stage.side_study:
            label = chr(ord("a") + side)
            side += 1
        else:
            rung += 1
            label = str(rung)
        steps.append(_Step(stage, label, max(1, round(8 * stage.note_count / most))))
    return sorted(steps, key=lambda step: step.stage.side_study)


FIRST_PAGE: PublishedFile[OfPiece] = PublishedFile(
    OfPiece,
    below_piece("index.html"),
    lambda source, path: _page(source.press, source.piece, source.piece.stages[0], path, ""),
)
STAGE_PAGE: PublishedFile[OfStage] = PublishedFile(
    OfStage,
    lambda source: folder_of(source.piece.slug) + stage_file(source.stage.slug, "index.html"),
    lambda source, path: _page(source.press, source.piece, source.stage, path, "../../"),
)
