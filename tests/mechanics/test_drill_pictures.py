"""Every shipped drill with positions can be drawn, and the drawn balls are where the rule base says."""

from __future__ import annotations

import xml.etree.ElementTree as ET
from pathlib import Path

import pytest
import yaml

import knowledge
from journal.sharing.pictures import svg, terminal
from knowledge.mechanics.drawings import drill_scene

FOLDER = Path(next(iter(knowledge.__path__))) / "rules" / "drills"
DRILLS = [
    drill
    for path in sorted(FOLDER.glob("*.yaml"))
    for drill in yaml.safe_load(path.read_text(encoding="utf-8"))["drills"]
    if drill.get("balls")
]


def test_there_are_drills_to_draw() -> None:
    assert len(DRILLS) > 20


@pytest.mark.parametrize("drill", DRILLS, ids=lambda d: d["id"])
def test_a_drill_is_drawn_within_a_millimetre(drill: dict) -> None:
    balls = [(b["role"], b["x"], b["y"]) for b in drill["balls"]]
    scene = drill_scene(balls, drill.get("pocket"), drill["name"])
    circles = list(ET.fromstring(svg.svg(scene)).iter("{http://www.w3.org/2000/svg}circle"))
    for role, x, y in balls:
        assert any(
            c.get("data-role") == role
            and abs(float(c.get("cx", "nan")) - x) < 1
            and abs(scene.top - float(c.get("cy", "nan")) - y) < 1
            for c in circles
        )
    assert terminal.draw(scene, 80).text()
