"""``plainball progress``: is it going away, is it coming back, did the change help?"""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from journal.cli.output import as_json, write_text
from journal.cli.progress_views import around, lines_of, name_of, rate_json, report_json, report_parts
from journal.errors import BadInput

if TYPE_CHECKING:
    from journal.desk import Desk
    from journal.progress.report import FaultProgress
    from journal.records import Player, Result
    from journal.sharing.charts import Chart, SeriesChart
    from journal.store.work import UnitOfWork


def add(subparsers: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Register the command."""
    parser = subparsers.add_parser(
        "progress",
        help="how a player is getting on, with spread",
        description="Fault rates, alarms, drill scores, ladders and the running change, "
        "each with its spread.",
    )
    parser.add_argument("player", nargs="?", metavar="PLAYER", help="default: the current player")
    parser.add_argument("--fault", metavar="ID", help="one fault through time")
    parser.add_argument("--drill", metavar="DRILL", help="one drill through time")
    parser.add_argument("--against", metavar="PLAYER", help="with --drill: two players side by side")
    parser.add_argument(
        "--two", nargs=2, metavar=("H/T", "H/T"), help="compare two scores: two techniques, tables, cues"
    )
    parser.add_argument(
        "--by", choices=("table", "cue", "tired", "time"), help="scores by table, cue, fatigue or time of day"
    )
    parser.add_argument("--month", metavar="YYYY-MM", help="a calendar of a month: notes, drills, matches")
    parser.add_argument("--svg", type=Path, metavar="FILE", help="write the charts as a picture")
    parser.add_argument("--pdf", type=Path, metavar="FILE", help="write the page with its charts as PDF")
    parser.add_argument("--json", action="store_true", help="one JSON object")
    parser.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Print what was asked for."""
    from journal.players import find_player

    desk: Desk = args.desk
    if args.against and not args.drill:
        raise BadInput(
            "--against needs a drill", "Example: plainball progress Ada --against Ben --drill bottle_neck"
        )
    if args.two:
        title, page = "Two scores", _two_scores(args)
    else:
        with desk.store.work() as work:
            player = find_player(work, args.player)
            page = _answer(args, desk, work, player)
        title = f"{player.name}: progress, {desk.today(player).isoformat()}"
    if args.pdf:
        from journal.sharing.sheets import progress_sheet

        progress_sheet(title, page.parts, args.pdf, page.through_time)
    if args.svg:
        from journal.sharing.chart_svg import charts_svg

        write_text(args.svg, charts_svg(title, [*page.parts, *page.through_time]))
    if args.json:
        as_json(page.value)
    else:
        print("\n".join(lines_of(page.parts)))
    return 0


@dataclass(frozen=True)
class _Page:
    """An answer. parts: lines and charts. through_time: more charts, for paper and pictures."""

    value: dict[str, Any]
    parts: list[str | Chart]
    through_time: Sequence[SeriesChart] = ()


def _answer(args: argparse.Namespace, desk: Desk, work: UnitOfWork, player: Player) -> _Page:
    if args.month:
        return _month(args, desk, work, player)
    if args.by:
        return _contexts(args, desk, work, player)
    if args.drill:
        return _drill(args, desk, work, player)
    if args.fault:
        return _fault(args, desk, work, player)
    from journal.progress.report import report
    from journal.sharing.progress_charts import leading

    found = report(work, player, desk.rules, desk.today(player))
    page = _Page(report_json(found), report_parts(found, desk))
    if not args.pdf and not args.svg:
        return page
    results = work.results.all(order="taken_at", player_id=player.id)
    return replace(page, through_time=leading(found, results, lambda ref: name_of(desk, ref)))


def _two_scores(args: argparse.Namespace) -> _Page:
    from journal.practice import read_score
    from journal.progress.compare import compare
    from journal.progress.scores import wilson
    from journal.sharing.charts import Row, RowsChart

    (h1, t1), (h2, t2) = (read_score(words) for words in args.two)
    found = compare(h1, t1, h2, t2)
    rows = tuple(
        Row(name, *around(wilson(hits, tries), hits / tries), f"{hits}/{tries}")
        for name, hits, tries in (("the first", h1, t1), ("the second", h2, t2))
    )
    value = {"chance_second_better": round(found.chance, 4), "told": found.told, "more": found.more}
    title = "Hits of tries, with 95 % spread"
    return _Page(value, [RowsChart(title, rows, 1.0, percent=True), found.sentence()])


def _fault(args: argparse.Namespace, desk: Desk, work: UnitOfWork, player: Player) -> _Page:
    from journal.errors import UnknownEntry
    from journal.progress.report import fault_progress
    from journal.sharing.progress_charts import fault_series

    if args.fault not in desk.rules.faults:
        raise UnknownEntry(f"there is no fault {args.fault!r}", "Find its id with: plainball lookup WORDS")
    notes, sightings = work.notes.all(player_id=player.id), work.sightings.all(player_id=player.id)
    found: FaultProgress = fault_progress(args.fault, notes, sightings, desk.today(player))
    parts: list[str | Chart] = [fault_series(name_of(desk, args.fault), found)]
    if found.coming_back:
        parts.append(f"! it is coming back, since {found.coming_back.isoformat()}")
    value = {
        "fault": args.fault,
        "unit": found.unit,
        **rate_json(found.rate),
        "coming_back_since": found.coming_back,
        "days": [{"day": s.day, "count": s.count, "exposure": s.exposure} for s in found.sessions],
    }
    return _Page(value, parts)


def _drill(args: argparse.Namespace, desk: Desk, work: UnitOfWork, player: Player) -> _Page:
    from journal.players import find_player
    from journal.practice import find_ref
    from journal.progress.compare import compare
    from journal.sharing.progress_charts import score_series

    ref, _ = find_ref(desk.rules, args.drill)
    own = _closed(work, player, ref)
    parts: list[str | Chart] = [score_series(f"{name_of(desk, ref)}, {player.name}", own)]
    value: dict[str, Any] = {
        "drill": ref,
        "days": [{"day": r.day, "hits": r.hits, "tries": r.tries} for r in own],
    }
    if args.against:
        other = find_player(work, args.against)
        theirs = _closed(work, other, ref)
        found = compare(*_sums(own), *_sums(theirs))
        value |= {"chance_second_better": round(found.chance, 4), "told": found.told, "more": found.more}
        parts += [
            score_series(f"{name_of(desk, ref)}, {other.name}", theirs),
            "",
            "{} {}/{}, {} {}/{}".format(player.name, *_sums(own), other.name, *_sums(theirs)),
            found.sentence(player.name, other.name),
        ]
    return _Page(value, parts)


def _closed(work: UnitOfWork, player: Player, ref: str) -> list[Result]:
    results = work.results.all(order="taken_at", player_id=player.id, ref=ref)
    return [each for each in results if not each.open and each.tries]


def _sums(results: list[Result]) -> tuple[int, int]:
    return sum(r.hits for r in results), sum(r.tries for r in results)


def _contexts(args: argparse.Namespace, desk: Desk, work: UnitOfWork, player: Player) -> _Page:
    from journal.desk import zone_of
    from journal.practice import find_ref
    from journal.progress.report import by_context
    from journal.sharing.charts import Row, RowsChart

    where: dict[str, Any] = {"player_id": player.id}
    if args.drill:
        where["ref"] = find_ref(desk.rules, args.drill)[0]
    results = [r for r in work.results.all(**where) if not r.open and r.tries]
    groups = by_context(results, work.notes.all(player_id=player.id), args.by, zone_of(player))
    rows = [Row(key, *around(spread, hits / tries), f"{hits}/{tries}") for key, hits, tries, spread in groups]
    title = f"Hits of tries by {args.by}, with 95 % spread" + (
        "" if args.drill else " (all drills together; name one with --drill)"
    )
    value = {
        "by": args.by,
        "groups": [{"group": k, "hits": h, "tries": t, "low": s[0], "high": s[1]} for k, h, t, s in groups],
    }
    return _Page(value, [RowsChart(title, tuple(rows), 1.0, percent=True)])


def _month(args: argparse.Namespace, desk: Desk, work: UnitOfWork, player: Player) -> _Page:
    from datetime import date

    from journal.sharing.charts import MonthChart

    try:
        first = date.fromisoformat(f"{args.month}-01")
    except ValueError as error:
        raise BadInput(f"{args.month!r} is no month", "Write it like 2026-05.") from error
    marks: dict[date, str] = {}
    for mark, days in (
        ("n", {n.day for n in work.notes.all(player_id=player.id)}),
        ("d", {r.day for r in work.results.all(player_id=player.id) if not r.open}),
        ("M", {m.day for m in work.matches.all(player_id=player.id) if not m.blocks_only}),
    ):
        for day in days:
            marks[day] = mark + marks.get(day, "")
    value = {
        "month": args.month,
        "days": {
            d.isoformat(): m
            for d, m in sorted(marks.items())
            if (d.year, d.month) == (first.year, first.month)
        },
    }
    chart = MonthChart(first.year, first.month, marks, desk.today(player))
    return _Page(value, [chart, "n note, d drill scored, M match"])
