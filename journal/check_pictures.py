"""The picture that the rules allow beside a check: its own table, a drill's, or a checkpoint's; often none."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Literal

from journal.prescription import own_checkpoint, own_measure
from journal.records import Player
from journal.sharing.template import template, template_scene
from knowledge.entries import Ball, Check, Checkpoint, Drill
from knowledge.mechanics.close_ups import rail_scene
from knowledge.mechanics.conditions import STANDARD
from knowledge.mechanics.cueing import rail_view
from knowledge.mechanics.drawings import BALL_MM, drill_scene
from knowledge.mechanics.inputs import ImpossibleInput
from knowledge.mechanics.scene import Disc, Item, Line, Note, Scene
from knowledge.rulebase import RuleBase

CLOSE, LEAST, AROUND = 700.0, 60.0, 130.0
"""Balls that lie within so many mm of each other are drawn close up, with so much cloth at least and at most to
either side of them."""
USUAL = {"hand length": 190.0, "shoulder breadth": 400.0}
"""What a picture is drawn with while a measure is unknown, in mm; it shows no number then. Common practice, no
source."""
HANDS = (1.5, 2.0, 2.5)


@dataclass(frozen=True, slots=True)
class CheckPicture:
    """A scene, and one sentence below it with the player's own number where there is one."""

    scene: Scene
    caption: str = ""


def check_picture(rules: RuleBase, check: Check, player: Player) -> CheckPicture | None:
    """The check's picture for this player; None when nothing that the rules hold shows it."""
    shown = rules.entries.get(check.drawn) if check.drawn else None
    try:
        if isinstance(shown, Drill):
            return _table(shown.balls, shown.pocket, f"laid out as in “{shown.name}”")
        if isinstance(shown, Checkpoint):
            return _checkpoint(shown, player)
        return _table(check.balls, check.pocket)
    except ImpossibleInput:  # a coach's own rules may place a ball where none can lie
        return None


def _table(balls: Sequence[Ball], pocket: str | None, caption: str = "") -> CheckPicture | None:
    if not balls:
        return None
    scene = drill_scene(((ball.role, ball.x, ball.y) for ball in balls), pocket)
    if pocket is None:
        scene = _near(scene, [ball.x for ball in balls], [ball.y for ball in balls])
    labels = dict.fromkeys(("· " if b.role == "mark" else "") + b.label for b in balls if b.label)
    return CheckPicture(scene, caption or ", ".join(labels))


def _near(scene: Scene, across: Sequence[float], along: Sequence[float]) -> Scene:
    """The piece of the table with the balls when they lie close together or one lies at a cushion."""
    size = max(max(across) - min(across), max(along) - min(along))
    if size > CLOSE:
        return scene
    around = AROUND if len(across) == 1 else min(AROUND, max(LEAST, size))
    return replace(
        scene,
        left=max(scene.left, min(across) - around),
        right=min(scene.right, max(across) + around),
        bottom=max(scene.bottom, min(along) - 2 * around),
        top=min(scene.top, max(along) + 2 * around),
    )


def _checkpoint(point: Checkpoint, player: Player) -> CheckPicture | None:
    draw = _DRAWN.get(point.id)
    if draw is None:
        return None
    return CheckPicture(draw(point, player), f"{point.quantity}: {own_checkpoint(point, player).value}")


def _feet(_: Checkpoint, player: Player) -> Scene:
    shoulders, _basis = own_measure(player, "shoulder breadth")
    scene = template_scene(template(shoulders or USUAL["shoulder breadth"], _hand(player)))
    return replace(scene, words=("A back heel on the line of the shot, D front heel", *scene.words))


def _hand(player: Player) -> Literal["right", "left"]:
    return "left" if player.hand == "left" else "right"


def _rail(point: Checkpoint, _: Player) -> Scene:
    """The white tight on the cushion, with the cue at the middle of the checkpoint's range."""
    low, high = point.value.low or 0.0, point.value.high or 12.0
    return rail_scene(rail_view(0.0, math.radians((low + high) / 2), STANDARD), 0.0)


def _bridge(point: Checkpoint, player: Player) -> Scene:
    """Cue and white from above, with the places of the bridge in own mm, or in hand lengths."""
    known, _basis = own_measure(player, "hand length")
    hand = known or USUAL["hand length"]
    usual = point.value.ratio or 2.0
    ratios = sorted({usual, *(ratio for ratio in HANDS if abs(ratio - usual) <= 0.5)})
    items: list[Item] = [Line(((-3 * hand, 0), (-BALL_MM, 0)), "cue"), Disc(0, 0, BALL_MM, "white")]
    for ratio in ratios:
        at = -BALL_MM - ratio * hand
        items.append(Line(((at, -30), (at, 30)), "body"))
        items.append(Note(at, -70, f"{5 * round(ratio * hand / 5)}" if known else f"{ratio:g}", "middle"))
    said = "mm" if known else "hand lengths"
    words = (f"from the crook of the bridge to the white, in {said}",)
    return Scene("Bridge, seen from above", -3 * hand, -100, 60, 60, tuple(items), words)


_DRAWN: dict[str, Callable[[Checkpoint, Player], Scene]] = {
    "checkpoint.bridge_distance_plain": _bridge,
    "checkpoint.butt_angle_rail": _rail,
    "checkpoint.foot_spacing": _feet,
    "checkpoint.back_foot_line": _feet,
}
"""Checkpoints that can be drawn; the others have no picture."""
