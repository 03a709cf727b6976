"""A scene as coloured terminal text for a widget."""

from __future__ import annotations

from itertools import groupby

from textual.content import Content

from journal.sharing.pictures.terminal import draw, legend
from knowledge.entries import Drill
from knowledge.mechanics.scene import Scene


def drawn(scene: Scene, columns: int, rows: int | None = None) -> Content:
    """The picture; colours help, letters tell the balls apart without them."""
    lines = []
    for row in draw(scene, columns, rows).rows:
        pieces = groupby(row, key=lambda cell: cell.colour)
        lines.append(
            Content.assemble(*(("".join(c.char for c in cells), colour or "") for colour, cells in pieces))
        )
    return Content("\n").join(lines)


def drill_picture(drill: Drill, columns: int, rows: int | None = None) -> Content | None:
    """A drill's positions with their legend; None for a drill without balls, or with balls that cannot be drawn."""
    from knowledge.mechanics.drawings import drill_scene
    from knowledge.mechanics.inputs import ImpossibleInput

    if not drill.balls:
        return None
    try:
        scene = drill_scene(((ball.role, ball.x, ball.y) for ball in drill.balls), drill.pocket)
    except ImpossibleInput:
        return None
    return Content("\n").join(
        [drawn(scene, columns, rows), Content.styled(legend(scene)[:columns], "$text-muted")]
    )
