"""A scene as coloured terminal text for a widget."""

from __future__ import annotations

from functools import lru_cache
from itertools import groupby
from typing import TYPE_CHECKING

from textual.color import Color
from textual.content import Content

from journal.sharing.pictures.terminal import draw, legend
from knowledge.entries import Drill
from knowledge.mechanics.scene import Scene

if TYPE_CHECKING:
    from journal.check_pictures import CheckPicture


def drawn(scene: Scene, columns: int, rows: int | None = None, *, dark: bool = True) -> Content:
    """The picture; letters tell the balls apart without colours. dark: the background is."""
    lines = []
    for row in draw(scene, columns, rows).rows:
        pieces = groupby(row, key=lambda cell: _seen(cell.colour, dark))
        lines.append(
            Content.assemble(*(("".join(c.char for c in cells), colour) for colour, cells in pieces))
        )
    return Content("\n").join(lines)


@lru_cache
def _seen(colour: str | None, dark: bool) -> str:
    """The colour, or the text's own where it would be lost on the background (the black ball on black)."""
    if colour is None:
        return ""
    brightness = Color.parse(colour).brightness
    return "" if (brightness < 0.3 if dark else brightness > 0.8) else colour


def drill_picture(
    drill: Drill, columns: int, rows: int | None = None, *, dark: bool = True
) -> Content | None:
    """A drill's positions with their legend; None without balls, or with balls that cannot be drawn."""
    from knowledge.mechanics.drawings import drill_scene
    from knowledge.mechanics.inputs import ImpossibleInput

    if not drill.balls:
        return None
    try:
        scene = drill_scene(((ball.role, ball.x, ball.y) for ball in drill.balls), drill.pocket)
    except ImpossibleInput:
        return None
    return Content("\n").join(
        [drawn(scene, columns, rows, dark=dark), Content.styled(legend(scene)[:columns], "$text-muted")]
    )


def check_drawing(
    picture: CheckPicture, columns: int, rows: int | None = None, *, dark: bool = True
) -> Content:
    """A check's picture with its legend and caption."""
    scene = picture.scene
    below = [words for words in (legend(scene)[:columns], *_said(scene), picture.caption) if words]
    return Content("\n").join(
        [drawn(scene, columns, rows, dark=dark), *(Content.styled(words, "$text-muted") for words in below)]
    )


def _said(scene: Scene) -> tuple[str, ...]:
    """What a scene off the table says first; a table's words only repeat its balls."""
    return () if scene.table else scene.words[:1]
