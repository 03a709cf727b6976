"""The floor template: 60 degrees by equal lengths, and sheets that are true to size."""

from __future__ import annotations

import math
import re
from pathlib import Path

import pytest
from pypdf import PdfReader

from journal.sharing.template import template, template_scene, tiling, write_template
from knowledge.mechanics.inputs import ImpossibleInput
from knowledge.mechanics.scene import Line

MM = 25.4 / 72


def segments(path: Path, page: int) -> list[tuple[complex, complex]]:
    """Straight lines of a page as pairs of points in mm on paper."""
    content = PdfReader(path).pages[page].get_contents()
    assert content is not None
    pattern = re.compile(r"(-?[\d.]+) (-?[\d.]+) m (-?[\d.]+) (-?[\d.]+) l")
    found = (
        tuple(float(v) * MM for v in m.groups())
        for m in pattern.finditer(content.get_data().decode("latin-1"))
    )
    return [(complex(a, b), complex(c, d)) for a, b, c, d in found]


def lengths(path: Path, page: int, length: float) -> list[tuple[complex, complex]]:
    return [(a, b) for a, b in segments(path, page) if abs(abs(b - a) - length) < 0.5]


@pytest.mark.parametrize("shoulders", [220.0, 365.0, 415.7, 560.0])
@pytest.mark.parametrize("hand", ["right", "left"])
def test_three_equal_lengths_make_sixty_degrees(shoulders: float, hand: str) -> None:
    """Euclid, Elements I.1: an equilateral triangle by equal lengths; angles 60 within 0.1 deg, lengths
    within 0.5 mm.
    """
    marks = template(shoulders, hand)  # type: ignore[arg-type]
    assert marks.tape == pytest.approx((shoulders,) * 3, abs=0.5)
    assert marks.angle_deg == pytest.approx(60.0, abs=0.1)
    assert marks.spacing == pytest.approx(shoulders, abs=0.5)
    toes = math.degrees(math.atan2(abs(marks.toes[0]), marks.toes[1]))
    assert toes == pytest.approx(60.0, abs=0.1)
    assert (marks.toes[0] > 0) == (hand == "right")
    assert marks.front[0] == -marks.toes[0]


@pytest.mark.parametrize("shoulders", [300.0, 415.0])
def test_every_sheet_is_true_to_size(tmp_path: Path, shoulders: float) -> None:
    """On each printed sheet the lines keep their whole coordinates: lengths within 0.5 mm, angle within 0.1
    deg.
    """
    path = tmp_path / "t.pdf"
    pages = write_template(template(shoulders), path)
    assert len(PdfReader(path).pages) == pages
    for page in range(1, pages):
        lines = lengths(path, page, shoulders)
        assert len(lines) == 4
        foot = lines[0][1] - lines[0][0]
        assert math.degrees(math.atan2(foot.real, foot.imag)) == pytest.approx(60.0, abs=0.1)


def test_sheets_fit_together(tmp_path: Path) -> None:
    """A point on two neighbouring sheets lies where the sheets' crosses say: crosses on crosses within 0.1
    mm.
    """
    path, marks = tmp_path / "t.pdf", template(415.0)
    write_template(marks, path)
    plan = tiling(template_scene(marks))
    heel = [lengths(path, page + 1, 415.0)[0][0] for page in range(len(plan.sheets))]
    for (one, a), (other, b) in (
        (x, y) for x in zip(plan.sheets, heel, strict=True) for y in zip(plan.sheets, heel, strict=True)
    ):
        across, up = (
            (other.column - one.column) * (plan.width - 30),
            (other.row - one.row) * (plan.height - 30),
        )
        assert (a - b).real == pytest.approx(across, abs=0.1)
        assert (a - b).imag == pytest.approx(up, abs=0.1)


def test_the_sheets_together_carry_every_line() -> None:
    scene = template_scene(template(415.0))
    plan = tiling(scene)
    for item in scene.items:
        if isinstance(item, Line):
            for i in range(101):
                (ax, ay), (bx, by) = item.points[0], item.points[-1]
                x, y = ax + (bx - ax) * i / 100, ay + (by - ay) * i / 100
                assert any(
                    t.left - 1e-6 <= x <= t.left + plan.width - 20 + 1e-6
                    and t.bottom - 1e-6 <= y <= t.bottom + plan.height - 20 + 1e-6
                    for t in plan.sheets
                )


def test_each_page_has_a_ruler_of_a_hundred_millimetres(tmp_path: Path) -> None:
    path = tmp_path / "t.pdf"
    for page in range(1, write_template(template(400.0), path)):
        assert any(
            abs(b - a) == pytest.approx(100.0, abs=0.1) and (b - a).imag == 0 for a, b in segments(path, page)
        )
        size = PdfReader(path).pages[page].mediabox
        assert sorted((float(size.width) * MM, float(size.height) * MM)) == pytest.approx([210, 297], abs=0.5)


@pytest.mark.parametrize("wrong", [0.0, -400.0, 40.0, 4000.0, math.nan])
def test_impossible_shoulders_are_refused(wrong: float) -> None:
    with pytest.raises(ImpossibleInput, match="shoulder breadth"):
        template(wrong)
