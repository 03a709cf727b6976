"""A drill's positions as a scene, for a picture of a few centimetres."""

from __future__ import annotations

from dataclasses import replace

from knowledge.entries import Drill
from knowledge.mechanics.drawings import drill_scene
from knowledge.mechanics.inputs import ImpossibleInput
from knowledge.mechanics.scene import Disc, Scene

BALL_SHARE = 0.032
"""Radius of a ball as a share of the table's width: about twice the true one, so that it can be seen."""


def small_scene(drill: Drill) -> Scene | None:
    """The drill's table with its balls drawn larger; None without balls, or with balls that cannot be drawn."""
    if not drill.balls:
        return None
    try:
        scene = drill_scene(((ball.role, ball.x, ball.y) for ball in drill.balls), drill.pocket, drill.name)
    except ImpossibleInput:
        return None
    radius = BALL_SHARE * scene.width
    items = (
        replace(item, radius=radius) if isinstance(item, Disc) and item.role != "mark" else item
        for item in scene.items
    )
    return replace(scene, items=tuple(items))
