"""A player's progress page, its charts and its printed sheets."""

from __future__ import annotations

from datetime import date, datetime, timedelta
from pathlib import Path

import pytest

from journal import freetimes, practice
from journal.errors import CannotWrite
from journal.plans import make_plan
from journal.prescription import prescribe
from journal.progress.report import by_context, report
from journal.records import Change, ItemKind, Note, Player, Polarity, Sighting, SightingStatus
from journal.sharing.charts import Point, Row, month_chart, nice_top, rows_chart, series_chart
from journal.sharing.page import Line
from journal.sharing.sheets import entry_sheet, plan_sheet, today_sheet, write_sheet
from journal.store.work import UnitOfWork, new_id
from knowledge.rulebase import RuleBase
from tests.monday import NOW

TODAY = NOW.date()


def note(
    work: UnitOfWork, player: Player, ago: int, count: int, kind: str = "practice", minutes: int | None = None
) -> None:
    when: datetime = NOW - timedelta(days=ago)
    made = Note(
        player.id,
        new_id(),
        when,
        when.date(),
        when,
        went_wrong="words",
        kind=kind,
        minutes=minutes,
        table_name="two",
    )
    work.notes.add(made)
    if count:
        work.sightings.add(
            Sighting(
                player.id,
                new_id(),
                made.id,
                made.day,
                "head.lifts",
                Polarity.PRESENT,
                count,
                status=SightingStatus.CONFIRMED,
            )
        )


def test_a_return_is_told_with_its_day(work: UnitOfWork, player: Player, rules: RuleBase) -> None:
    for n, count in enumerate([1, 0, 1, 1, 0, 1, 0, 4, 5, 4]):
        note(work, player, 20 - 2 * n, count)
    (fault,) = report(work, player, rules, TODAY).faults
    assert fault.coming_back == TODAY - timedelta(days=20 - 2 * 7)
    assert fault.unit == "session"


def test_a_fault_that_went_away_gives_no_alarm(work: UnitOfWork, player: Player, rules: RuleBase) -> None:
    for n, count in enumerate([5, 4, 5, 4, 2, 1, 0, 1, 0, 0]):
        note(work, player, 20 - 2 * n, count, minutes=60)
    (fault,) = report(work, player, rules, TODAY).faults
    assert fault.coming_back is None
    assert fault.away is not None
    assert fault.away > 0.95
    assert fault.unit == "hour"


def test_suggested_sightings_make_no_rate(work: UnitOfWork, player: Player, rules: RuleBase) -> None:
    note(work, player, 3, 0)
    made = work.notes.all(player_id=player.id)[0]
    work.sightings.add(Sighting(player.id, new_id(), made.id, made.day, "head.lifts", Polarity.PRESENT, 5))
    assert report(work, player, rules, TODAY).faults == ()


def test_a_change_is_judged_by_its_drill_scores(work: UnitOfWork, player: Player, rules: RuleBase) -> None:
    start = TODAY - timedelta(days=20)
    work.changes.add(
        Change(
            player.id,
            new_id(),
            "head.lifts",
            "cause.looks_up_early",
            "Eyes on the pocket",
            ("drill.freeze_finish",),
            None,
            "count",
            start,
            TODAY,
        )
    )
    for n in range(12):
        day = start + timedelta(days=2 * (n - 4))
        hits = 6 + n % 3 if n < 4 else 16 + n % 3
        practice.record(work, player, "drill.freeze_finish", ItemKind.DRILL, hits, 20, now=NOW, today=day)
    found = report(work, player, rules, TODAY)
    assert found.standing is not None
    assert (found.standing.verdict.helped, found.standing.verdict.status.value) == (True, "kept")
    (drill,) = found.drills
    assert drill.trend is not None
    assert drill.trend.told == "two"


def test_matches_and_practice_are_told_apart(work: UnitOfWork, player: Player, rules: RuleBase) -> None:
    for n in range(8):
        note(work, player, 2 * n + 1, 6 if n % 2 else 1, "match" if n % 2 else "practice")
    ((fault, match, usual, chance),) = report(work, player, rules, TODAY).match_against_practice
    assert fault == "head.lifts"
    assert match.mean > usual.mean
    assert chance > 0.95


def test_scores_by_table_cue_fatigue_and_time(work: UnitOfWork, player: Player) -> None:
    for n in range(6):
        practice.record(
            work,
            player,
            "drill.freeze_finish",
            ItemKind.DRILL,
            5 + n,
            20,
            now=NOW + timedelta(hours=6 * (n % 2)),
            today=TODAY,
            detail={"table": f"t{n % 2}", "cue": "old", "tired": n % 3},
        )
    results = work.results.all(player_id=player.id)
    for what, groups in (("table", 2), ("cue", 1), ("tired", 3), ("time", 2)):
        found = by_context(results, [], what)
        assert len(found) == groups
        assert sum(tries for _, _, tries, _ in found) == 120


def test_an_empty_journal_has_nothing_to_show(work: UnitOfWork, player: Player, rules: RuleBase) -> None:
    found = report(work, player, rules, TODAY)
    assert (found.faults, found.drills, found.ladders, found.standing, found.notes) == ((), (), None, None, 0)


# Charts


def test_rows_show_spread_and_axis() -> None:
    lines = rows_chart(
        [Row("one", 0.2, 0.5, 0.8, "5/10"), Row("two", 0.0, 0.1, 0.3)], top=1.0, percent=True, width=60
    )
    assert "├" in lines[0]
    assert "●" in lines[0]
    assert "┤" in lines[0]
    assert lines[0].index("●") > lines[1].index("●")
    assert "100 %" in lines[-1]
    assert all(len(line) <= 66 for line in lines)


def test_a_spread_beyond_the_axis_is_marked() -> None:
    assert "→" in rows_chart([Row("one", 1, 2, 30)], top=5.0)[0]


def test_a_series_has_an_axis_days_and_spread() -> None:
    points = [Point(date(2026, 5, n), n / 10, n / 5, n / 3) for n in range(1, 9)]
    lines = series_chart(points, height=8)
    assert len(lines) == 10
    assert sum(line.count("●") for line in lines) == 8
    assert "1 May" in lines[-1]
    assert "8 May" in lines[-1]
    assert series_chart([]) == ["nothing to show yet"]
    assert all(len(line) <= 80 for line in series_chart(points * 30))


def test_a_month_begins_on_monday() -> None:
    lines = month_chart(2026, 5, {date(2026, 5, 14): "d"}, date(2026, 5, 4))
    assert lines[1].split() == ["Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun"]
    assert "[ 4" in lines[3]
    assert "14d" in "\n".join(lines)


@pytest.mark.parametrize(
    ("value", "top"), [(0, 1), (0.7, 1), (1.1, 2), (2.2, 2.5), (3, 5), (70, 100), (float("inf"), 1)]
)
def test_the_axis_ends_on_a_round_number(value: float, top: float) -> None:
    assert nice_top(value) == top


# Sheets


def pages(path: Path) -> tuple[int, str, tuple[float, float], bool]:
    """(pages, text, size in points, every font embedded) by pypdf."""
    from pypdf import PdfReader

    reader = PdfReader(str(path))
    page = reader.pages[0]
    fonts = page["/Resources"]["/Font"]  # type: ignore[index]
    embedded = []
    for font in fonts.values():
        named = font.get_object()
        embedded.append(
            "FontFile" in str(named.get("/FontDescriptor", {})) or named["/BaseFont"] == "/Helvetica"
        )
    return (
        len(reader.pages),
        page.extract_text(),
        (float(page.mediabox.width), float(page.mediabox.height)),
        all(embedded),
    )


def test_the_plan_and_todays_list_are_one_a4_page_each(
    work: UnitOfWork, player: Player, rules: RuleBase, tmp_path: Path
) -> None:
    """A4 is 210 mm by 297 mm (ISO 216), in points 595.28 by 841.89."""
    freetimes.tell(work, player, "every day 19:00, 90 min", today=TODAY)
    made = make_plan(player, work=work, rules=rules, now=NOW, today=TODAY)
    plan_sheet(made, rules, player, tmp_path / "plan.pdf")
    today_sheet(made, rules, player, TODAY, tmp_path / "today.pdf")
    for name in ("plan.pdf", "today.pdf"):
        count, text, size, embedded = pages(tmp_path / name)
        assert (count, size, embedded) == (1, pytest.approx((595.28, 841.89), abs=0.01), True)
        assert "Odalys" in text
    assert "Score: ____ of ____" in pages(tmp_path / "today.pdf")[1]


def test_a_sheet_for_pain_carries_the_caution_and_no_drill(
    rules: RuleBase, player: Player, tmp_path: Path
) -> None:
    entry_sheet(prescribe("stance.strain", rules, player), tmp_path / "pain.pdf")
    text = pages(tmp_path / "pain.pdf")[1].replace("\n", " ")
    assert "physician or physiotherapist" in text
    assert "Target:" not in text


def test_too_much_for_a_page_is_said(tmp_path: Path) -> None:
    write_sheet(tmp_path / "long.pdf", "Long", [Line(f"line {n}") for n in range(100)])
    count, text, _, _ = pages(tmp_path / "long.pdf")
    assert count == 1
    shown = sum(f"line {n}\n" in text + "\n" for n in range(100))
    assert f"{100 - shown} more lines did not fit" in text


def test_letters_without_a_font_are_said(tmp_path: Path) -> None:
    write_sheet(tmp_path / "odd.pdf", "Ωδός and 雪", [])
    assert "no font for" in pages(tmp_path / "odd.pdf")[1]


def test_a_folder_that_is_not_there_is_told(tmp_path: Path) -> None:
    with pytest.raises(CannotWrite):
        write_sheet(tmp_path / "none" / "x.pdf", "x", [])
