"""Charts and pictures on paper: the same values as on the screen, and one page stays one page."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path
from xml.etree import ElementTree

import pytest
from pypdf import PdfReader

from journal import freetimes, practice
from journal.planning.request import Wish
from journal.plans import MadePlan, make_plan
from journal.progress.report import report
from journal.records import ItemKind, PlanItem, Player
from journal.sharing.chart_shapes import (
    Dot,
    Drawing,
    Stroke,
    Words,
    drawing_of,
    rows_drawing,
    series_drawing,
    side_by_side,
)
from journal.sharing.chart_svg import charts_svg
from journal.sharing.charts import MonthChart, Point, Row, RowsChart, SeriesChart
from journal.sharing.page import HEIGHT, MARGIN, WIDTH
from journal.sharing.pictures.drills import small_scene
from journal.sharing.progress_charts import leading
from journal.sharing.sheets import progress_sheet, today_sheet
from journal.store.work import UnitOfWork, new_id
from knowledge.mechanics.scene import Disc
from knowledge.rulebase import RuleBase
from tests.monday import NOW

TODAY = NOW.date()
CLOTH = rb"\.917647 \.952941 \.917647 rg"
"""The cloth of a table's picture, #eaf3ea, as a PDF fill."""
SVG = "{http://www.w3.org/2000/svg}"

ROWS = RowsChart(
    "Rows", (Row("one", 0.2, 0.5, 0.8, "5/10"), Row("two", 0.0, 0.1, 0.3, "1/10")), 1.0, percent=True
)
SERIES = SeriesChart(
    "Through time",
    tuple(Point(date(2026, 5, day), low, middle, high) for day, low, middle, high in
          ((1, 0.1, 0.25, 0.4), (5, 0.3, 0.5, 0.9), (21, 0.6, 0.75, 1.0))),
    1.0,
    percent=True,
)  # fmt: skip


def of(drawing: Drawing, kind: type) -> list:
    return [shape for shape in drawing.shapes if isinstance(shape, kind)]


def place(drawing: Drawing, words: str) -> Words:
    (found,) = (each for each in of(drawing, Words) if each.text == words)
    return found


def content(path: Path) -> tuple[int, str, bytes]:
    """(pages, text, drawing operations of the first page)."""
    reader = PdfReader(str(path))
    page = reader.pages[0]
    return len(reader.pages), page.extract_text(), page.get_contents().get_data()  # type: ignore[union-attr]


def test_rows_lie_on_the_axis_where_their_values_are() -> None:
    drawing = rows_drawing(ROWS, 500)
    left, right = place(drawing, "0 %").x, place(drawing, "100 %").x
    values = [(dot.x - left) / (right - left) for dot in of(drawing, Dot)]
    assert values == pytest.approx([0.5, 0.1])
    spreads = [s for s in of(drawing, Stroke) if s.y1 == s.y2 and s.width == 1.0]
    ends = [((s.x1 - left) / (right - left), (s.x2 - left) / (right - left)) for s in spreads]
    assert ends == [pytest.approx((0.2, 0.8)), pytest.approx((0.0, 0.3))]


def test_a_spread_beyond_the_axis_ends_in_an_arrow() -> None:
    short = rows_drawing(RowsChart("x", (Row("one", 1, 2, 4),), 5.0), 500)
    beyond = rows_drawing(RowsChart("x", (Row("one", 1, 2, 30),), 5.0), 500)
    slanted = [s for s in of(beyond, Stroke) if s.x1 != s.x2 and s.y1 != s.y2]
    assert len(slanted) == 2
    assert not [s for s in of(short, Stroke) if s.x1 != s.x2 and s.y1 != s.y2]


def test_a_series_has_its_values_its_spread_and_true_distances_of_days() -> None:
    drawing = series_drawing(SERIES, 400)
    foot, top = place(drawing, "0 %").y - 3, place(drawing, "100 %").y - 3
    dots = of(drawing, Dot)
    assert [(foot - dot.y) / (foot - top) for dot in dots] == pytest.approx([0.25, 0.5, 0.75])
    assert (dots[1].x - dots[0].x) / (dots[2].x - dots[0].x) == pytest.approx(4 / 20)
    spread = next(s for s in of(drawing, Stroke) if s.x1 == s.x2 == dots[1].x)
    assert ((foot - spread.y1) / (foot - top), (foot - spread.y2) / (foot - top)) == pytest.approx((0.3, 0.9))
    assert {"1 May 2026", "21 May 2026"} <= {words.text for words in of(drawing, Words)}


@pytest.mark.parametrize("points", [(), SERIES.points[:1]])
def test_a_series_of_none_or_one_day_can_be_drawn(points: tuple[Point, ...]) -> None:
    drawing = series_drawing(replace(SERIES, points=points), 400)
    assert len(of(drawing, Dot)) == len(points)
    assert ("nothing to show yet" in {words.text for words in of(drawing, Words)}) is not points


def test_nothing_is_drawn_outside_its_frame() -> None:
    long = replace(SERIES, title="a long name of a drill " * 6)
    month = MonthChart(2026, 5, {date(2026, 5, 9): "ndM"}, date(2026, 5, 9))
    for drawing in (
        *(drawing_of(chart, 499) for chart in (ROWS, long, month)),
        side_by_side((long, SERIES), 499),
    ):
        for shape in drawing.shapes:
            across = (shape.x1, shape.x2) if isinstance(shape, Stroke) else (shape.x,)
            down = (shape.y1, shape.y2) if isinstance(shape, Stroke) else (shape.y,)
            assert all(0 <= x <= 499 for x in across)
            assert all(0 <= y <= drawing.height for y in down)


def test_a_month_begins_on_monday_and_frames_today() -> None:
    """1 May 2026 is a Friday: the standard library's calendar."""
    drawing = drawing_of(MonthChart(2026, 5, {date(2026, 5, 14): "dn"}, date(2026, 5, 4)), 499)
    column = {name: place(drawing, name).x // 62 for name in ("Mon", "Fri", "Sun")}
    assert place(drawing, "1").x // 62 == column["Fri"]
    assert place(drawing, "31").x // 62 == column["Sun"]
    assert place(drawing, "dn").y > place(drawing, "14").y
    assert len([stroke for stroke in of(drawing, Stroke) if not stroke.faint]) == 4


def test_the_svg_shows_every_chart_and_tells_it_to_screen_readers() -> None:
    text = charts_svg('a < b & "c"', ["A line of words.", ROWS, SERIES])
    root = ElementTree.fromstring(text)
    assert root[0].text == 'a < b & "c"'
    told = root[1].text or ""
    assert "├" in told
    assert "A line of words." in told
    assert len(root.findall(f".//{SVG}circle")) == len(ROWS.rows) + len(SERIES.points)
    _, _, _, high = map(float, root.attrib["viewBox"].split())
    shifts = [float(g.attrib["transform"].split()[1].rstrip(")")) for g in root.findall(f"{SVG}g")]
    assert shifts == sorted(shifts)
    assert shifts[-1] < high


def test_progress_on_paper_has_the_charts_of_the_screen(
    work: UnitOfWork, player: Player, rules: RuleBase, tmp_path: Path
) -> None:
    for n in range(8):
        day = TODAY - timedelta(days=8 - n)
        practice.record(work, player, "drill.freeze_finish", ItemKind.DRILL, 4 + n, 20, now=NOW, today=day)
    found = report(work, player, rules, TODAY)
    more = leading(found, work.results.all(player_id=player.id), lambda ref: ref)
    assert [len(chart.points) for chart in more] == [8]
    progress_sheet("Odalys: progress", ["Some words.", ROWS], tmp_path / "with.pdf", more)
    progress_sheet("Odalys: progress", ["Some words."], tmp_path / "without.pdf")
    pages, text, drawn = content(tmp_path / "with.pdf")
    assert pages == 1
    for word in ("Some words.", "Rows", "5/10", "100 %", "drill.freeze_finish", "hits of tries"):
        assert word in text.replace("\n", " ")
    curves = [len(re.findall(rb" c\n| c ", each)) for each in (drawn, content(tmp_path / "without.pdf")[2])]
    assert curves[0] - curves[1] == 4 * (len(ROWS.rows) + 8), "a dot is four curves"


def test_too_many_charts_for_a_page_are_said(tmp_path: Path) -> None:
    progress_sheet("Long", [ROWS] * 20, tmp_path / "long.pdf", [SERIES])
    pages, text, _ = content(tmp_path / "long.pdf")
    assert pages == 1
    assert f"{20 - text.count('Rows')} more lines did not fit" in text
    assert "Through time" not in text


def made_for(work: UnitOfWork, player: Player, rules: RuleBase, drills: list[str]) -> MadePlan:
    """A plan whose day holds just these drills."""
    freetimes.tell(work, player, "today 19:00, 120 min", today=TODAY)
    made = make_plan(
        player, work=work, rules=rules, now=NOW, today=TODAY, days=1, wishes=[Wish(drills[0], 1)], relax=True
    )
    items = tuple(
        PlanItem(
            player.id,
            new_id(),
            made.plan.id,
            TODAY,
            1140 + 10 * n,
            10.0,
            ItemKind.DRILL,
            drill,
            "Why.",
            f"u{n}",
        )
        for n, drill in enumerate(drills)
    )
    return replace(made, items=items)


def drawn_and_not(rules: RuleBase) -> tuple[list[str], list[str]]:
    drawn = [drill.id for drill in rules.drills.values() if small_scene(drill) is not None]
    return drawn, [drill for drill in rules.drills if drill not in drawn]


def test_todays_drills_have_their_pictures_beside_their_words(
    work: UnitOfWork, player: Player, rules: RuleBase, tmp_path: Path
) -> None:
    drawn, plain = drawn_and_not(rules)
    drills = [*drawn[:3], plain[0]]
    today_sheet(made_for(work, player, rules, drills), rules, player, TODAY, tmp_path / "today.pdf")
    pages, text, operations = content(tmp_path / "today.pdf")
    assert pages == 1
    assert len(re.findall(CLOTH, operations)) == 3
    flat = " ".join(text.split())
    for drill in drills:
        for step in rules.drills[drill].steps:
            assert " ".join(step.split()) in flat
    assert "did not fit" not in text


@pytest.mark.parametrize("number", [1, 4, 6, 8, 9, 14])
def test_todays_list_is_one_page_and_a_picture_goes_before_a_word(
    work: UnitOfWork, player: Player, rules: RuleBase, tmp_path: Path, number: int
) -> None:
    drills = drawn_and_not(rules)[0][:number]
    today_sheet(made_for(work, player, rules, drills), rules, player, TODAY, tmp_path / "today.pdf")
    pages, text, operations = content(tmp_path / "today.pdf")
    pictures = len(re.findall(CLOTH, operations))
    assert pages == 1
    if "did not fit" in text:
        assert not pictures
        assert number > 8
    else:
        assert pictures in (0, number)
        assert text.count("Score: ____") == number
    if number <= 6:
        assert pictures == number


def test_the_picture_lies_beside_the_words_and_on_the_paper(
    work: UnitOfWork, player: Player, rules: RuleBase, tmp_path: Path
) -> None:
    """Every word by its place in the file (pypdf) against the picture's left edge."""
    drill = drawn_and_not(rules)[0][0]
    today_sheet(made_for(work, player, rules, [drill]), rules, player, TODAY, tmp_path / "today.pdf")
    page = PdfReader(str(tmp_path / "today.pdf")).pages[0]
    matrix = re.search(rb"0 -0?\.5 0?\.5 0 ([\d.]+) ([\d.]+) cm", page.get_contents().get_data())  # type: ignore[union-attr]
    assert matrix is not None
    left, top = (float(each) for each in matrix.groups())
    assert MARGIN < left < WIDTH - MARGIN
    assert MARGIN < top < HEIGHT - MARGIN
    lines: list[tuple[float, str]] = []
    page.extract_text(visitor_text=lambda text, _cm, tm, _font, _size: lines.append((tm[4], text.strip())))
    from reportlab.pdfbase.pdfmetrics import stringWidth

    from journal.sharing.page import _fonts

    font = _fonts()[0]
    steps = [(x, text) for x, text in lines if re.match(r"\d\. ", text)]
    assert steps
    assert all(x + stringWidth(text.splitlines()[0], font, 8.5) <= left for x, text in steps)


def test_balls_of_a_small_picture_can_be_seen(rules: RuleBase) -> None:
    """At 60 points of height a ball is wider than 3 points (a millimetre), and stays where the rules put it."""
    for id_ in drawn_and_not(rules)[0]:
        drill = rules.drills[id_]
        scene = small_scene(drill)
        assert scene is not None
        balls = [item for item in scene.items if isinstance(item, Disc) and item.role != "mark"]
        assert {(ball.x, ball.y) for ball in balls} == {(b.x, b.y) for b in drill.balls if b.role != "mark"}
        assert all(2 * ball.radius * 60 / scene.width > 3 for ball in balls)
