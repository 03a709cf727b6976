"""Pictures by geometry: SVG and PDF are parsed, terminal cells are looked up."""

from __future__ import annotations

import math
import re
import xml.etree.ElementTree as ET
from itertools import pairwise
from pathlib import Path

import pytest
from pypdf import PdfReader

from journal.errors import CannotWrite
from journal.sharing.pictures import pdf, svg, terminal
from knowledge.mechanics.close_ups import contact_scene
from knowledge.mechanics.conditions import STANDARD
from knowledge.mechanics.contact import contact
from knowledge.mechanics.drawings import drill_scene, played_scene
from knowledge.mechanics.inputs import ImpossibleInput
from knowledge.mechanics.scene import Disc, Line, Note, Scene
from knowledge.mechanics.shot import Stroke, play
from knowledge.mechanics.table import SPOTS

SVG = "{http://www.w3.org/2000/svg}"
POINT = 25.4 / 72
BALLS = [
    ("white", 600.0, 2800.0),
    ("red", 250.0, 3350.0),
    ("black", 889.0, 3245.0),
    ("yellow", 1181.0, 737.0),
    ("block", 26.25, 1000.0),
]
TABLE_TOP = 3569.0


@pytest.fixture
def drill() -> Scene:
    return drill_scene(BALLS, "top left")


def circles(path: Path, page: int = 0) -> list[tuple[float, float, float]]:
    """(x, y, radius) in mm on paper of every closed path of four Bezier curves."""
    content = PdfReader(path).pages[page].get_contents()
    assert content is not None
    one = re.compile(r"(-?[\d.]+) (-?[\d.]+) m\s+((?:(?:-?[\d.]+ ){6}c\s+){4})")
    found = []
    for match in one.finditer(content.get_data().decode("latin-1")):
        ends = [(float(match[1]), float(match[2]))]
        for curve in re.findall(r"((?:-?[\d.]+ ){6})c", match[3]):
            values = [float(v) for v in curve.split()]
            ends.append((values[4], values[5]))
        xs, ys = [x for x, _ in ends], [y for _, y in ends]
        radius = (max(xs) - min(xs)) / 2
        found.append(((max(xs) + min(xs)) / 2 * POINT, (max(ys) + min(ys)) / 2 * POINT, radius * POINT))
    return found


def test_every_ball_of_a_drill_is_in_the_svg_within_a_millimetre(drill: Scene) -> None:
    root = ET.fromstring(svg.svg(drill))
    top = drill.top
    drawn = [
        (
            c.get("data-role"),
            float(c.get("cx", "nan")),
            top - float(c.get("cy", "nan")),
            float(c.get("r", "nan")),
        )
        for c in root.iter(f"{SVG}circle")
    ]
    for role, x, y in BALLS:
        (near,) = [d for d in drawn if d[0] == role]
        assert math.dist(near[1:3], (x, y)) < 1.0
        assert near[3] == pytest.approx(26.25)
    width, height = (float(v) for v in root.get("viewBox", "").split()[2:])
    assert width / height == pytest.approx(
        float(root.get("width", "0")) / float(root.get("height", "1")), rel=5e-3
    )


def test_cushions_spots_and_d_of_the_svg_have_the_rules_measures(drill: Scene) -> None:
    """3569 x 1778 mm, baulk-line 737, D 292: official rules of snooker, section 1 rule 1; abs 0.5 mm."""
    root = ET.fromstring(svg.svg(drill))
    lines = [
        [tuple(float(v) for v in p.split(",")) for p in line.get("points", "").split()]
        for line in root.iter(f"{SVG}polyline")
    ]
    xs, ys = [p[0] for p in lines[0]], [drill.top - p[1] for p in lines[0]]
    assert (max(xs) - min(xs), max(ys) - min(ys)) == pytest.approx((1778, 3569), abs=0.5)
    assert drill.top - lines[1][0][1] == pytest.approx(737, abs=0.5)
    for x, y in lines[2]:
        assert math.dist((x, drill.top - y), (889, 737)) == pytest.approx(292, abs=0.5)


def test_every_ball_of_a_drill_is_in_the_pdf_within_a_millimetre(drill: Scene, tmp_path: Path) -> None:
    pdf.write_pdf(drill, tmp_path / "drill.pdf")
    sheet = pdf.sheet_for(drill)
    found = circles(tmp_path / "drill.pdf")
    for _, x, y in BALLS:
        px, py = sheet.place(drill, (x, y))
        near = min(found, key=lambda c: math.dist(c[:2], (px, py)))
        assert math.dist(near[:2], (px, py)) * sheet.scale < 1.0
    assert sheet.scale in pdf.SCALES


def test_distances_on_paper_are_true_to_the_written_scale(drill: Scene, tmp_path: Path) -> None:
    """White to black measured between circles on paper, times the scale that the page states; abs 1 mm."""
    pdf.write_pdf(drill, tmp_path / "drill.pdf")
    page = PdfReader(tmp_path / "drill.pdf").pages[0]
    stated = re.search(r"scale 1 : ([\d.]+)", page.extract_text())
    assert stated is not None
    balls = [
        c for c in circles(tmp_path / "drill.pdf") if c[2] * float(stated[1]) == pytest.approx(26.25, abs=0.3)
    ]
    measured = sorted(math.dist(a[:2], b[:2]) * float(stated[1]) for a in balls for b in balls if a != b)
    wanted = sorted(math.dist(a[1:], b[1:]) for a in BALLS for b in BALLS if a != b)
    assert measured == pytest.approx(wanted, abs=1.0)


def test_terminal_letters_stand_in_the_cell_of_the_ball(drill: Scene) -> None:
    view, rows = terminal.view_of(drill, 80)
    picture = terminal.draw(drill, 80)
    assert len(picture.rows) == rows <= 23
    for (role, x, y), letter in zip(BALLS, "WRKYX", strict=True):
        column, row = view.cell((x, y))
        assert picture.rows[row][column].char == letter, role
        # The cell's middle is at most half a cell away: 80 columns show 3689 mm.
        middle = ((column + 0.5) * 2 / view.scale + drill.bottom, (row + 0.5) * 4 / view.scale + drill.left)
        assert abs(middle[0] - y) <= 1 / view.scale + 1e-6
        assert abs(middle[1] - x) <= 2 / view.scale + 1e-6


@pytest.mark.parametrize("columns", [40, 80, 132])
def test_terminal_pictures_keep_to_their_columns(drill: Scene, columns: int) -> None:
    for row in terminal.draw(drill, columns).rows:
        assert len(row) == columns
    assert all(len(line) <= columns for line in terminal.page(drill, columns).splitlines())


def test_terminal_braille_lies_on_the_line() -> None:
    scene = Scene("line", 0, 0, 160, 80, (Line(((10, 10), (150, 70)), "white path"),))
    view, _ = terminal.view_of(scene, 80)
    bits = {
        0x01: (0, 0),
        0x02: (0, 1),
        0x04: (0, 2),
        0x40: (0, 3),
        0x08: (1, 0),
        0x10: (1, 1),
        0x20: (1, 2),
        0x80: (1, 3),
    }
    dots = [
        (2 * c + dx, 4 * r + dy)
        for r, row in enumerate(terminal.draw(scene, 80).rows)
        for c, cell in enumerate(row)
        for bit, (dx, dy) in bits.items()
        if ord(cell.char) >= 0x2800 and (ord(cell.char) - 0x2800) & bit
    ]
    assert len(dots) > 100
    for x, y in dots:
        mm = (x + 0.5) / view.scale, 80 - (y + 0.5) / view.scale
        assert abs(mm[1] - 10 - (mm[0] - 10) * 60 / 140) < 1.1 / view.scale * 1.2


def test_a_spot_never_hides_the_ball_on_it() -> None:
    scene = drill_scene([("blue", 889.0, 1784.5)], None)
    column, row = terminal.view_of(scene, 80)[0].cell((889.0, 1784.5))
    assert terminal.draw(scene, 80).rows[row][column].char == "B"


def test_the_paths_of_a_shot_are_drawn_where_the_model_has_them() -> None:
    layout = {**SPOTS, "white": 1.2 + 1.95j}
    played = play(layout, "blue", "middle left", Stroke(2.3, 0.2, 0.2), STANDARD)
    scene = played_scene(layout, "blue", "middle left", played)
    root = ET.fromstring(svg.svg(scene))
    (path,) = [e for e in root.iter(f"{SVG}polyline") if e.get("data-ink") == "white path"]
    drawn = [tuple(float(v) for v in p.split(",")) for p in path.get("points", "").split()]
    assert played.white is not None
    end = played.white.end.place * 1e3
    assert (drawn[-1][0], scene.top - drawn[-1][1]) == pytest.approx((end.real, end.imag), abs=0.5)
    length = sum(math.dist(a, b) for a, b in pairwise(drawn))
    assert length == pytest.approx(played.travel * 1e3, rel=2e-3)


def test_the_contact_picture_has_the_angle_it_states() -> None:
    root = ET.fromstring(svg.svg(contact_scene(0.5, contact(0.5))))
    (line,) = [e for e in root.iter(f"{SVG}polyline") if e.get("data-ink") == "object path"]
    (ax, ay), (bx, by) = [tuple(float(v) for v in p.split(",")) for p in line.get("points", "").split()]
    assert math.degrees(math.atan2(by - ay, bx - ax)) == pytest.approx(30.0, abs=0.01)


def test_a_picture_says_itself_in_words(drill: Scene) -> None:
    description = ET.fromstring(svg.svg(drill)).find(f"{SVG}desc")
    assert description is not None
    assert "white at (600, 2800) mm" in (description.text or "")


def test_text_in_a_picture_cannot_break_the_markup() -> None:
    scene = Scene('<&">', 0, 0, 10, 10, (Note(1, 1, "a < b & c"), Disc(5, 5, 1, "red", "x<y")), ("<script>",))
    texts = [t.text for t in ET.fromstring(svg.svg(scene)).iter(f"{SVG}text")]
    assert texts == ["a < b & c", "x<y"]


@pytest.mark.parametrize(
    ("balls", "pocket", "name"),
    [
        ([("white", 10.0, 500.0)], None, "off the table"),
        ([("white", 900.0, 3560.0)], None, "off the table"),
        ([("orange", 900.0, 500.0)], None, "no ball is called"),
        ([("white", 900.0, 500.0)], "left top", "no pocket is called"),
    ],
)
def test_impossible_drill_pictures_are_refused(balls: list, pocket: str | None, name: str) -> None:
    with pytest.raises(ImpossibleInput, match=name):
        drill_scene(balls, pocket)


def test_a_file_that_cannot_be_written_is_named(drill: Scene, tmp_path: Path) -> None:
    for write, name in ((svg.write_svg, "x.svg"), (pdf.write_pdf, "x.pdf")):
        with pytest.raises(CannotWrite, match="nowhere"):
            write(drill, tmp_path / "nowhere" / name)
