"""``plainball progress``: is it going away, is it coming back, did the change help?"""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING, Any

from journal.cli.output import as_json, write_text
from journal.cli.progress_views import around, name_of, rate_json, report_json, report_lines
from journal.errors import BadInput

if TYPE_CHECKING:
    from journal.desk import Desk
    from journal.progress.report import FaultProgress
    from journal.records import Player
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
    parser.add_argument("--svg", type=Path, metavar="FILE", help="with --fault or --drill: write the chart")
    parser.add_argument("--pdf", type=Path, metavar="FILE", help="write the page as PDF")
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
    if args.svg and not (args.fault or args.drill):
        raise BadInput("--svg needs --fault or --drill", "Name what to draw.")
    if args.two:
        return _two_scores(args)
    with desk.store.work() as work:
        player = find_player(work, args.player)
        value, lines = _answer(args, desk, work, player)
    if args.pdf:
        from journal.sharing.sheets import text_sheet

        text_sheet(f"{player.name}: progress, {desk.today(player).isoformat()}", lines, args.pdf)
    if args.json:
        as_json(value)
    else:
        print("\n".join(lines))
    return 0


def _answer(
    args: argparse.Namespace, desk: Desk, work: UnitOfWork, player: Player
) -> tuple[dict[str, Any], list[str]]:
    if args.month:
        return _month(args, desk, work, player)
    if args.by:
        return _contexts(args, desk, work, player)
    if args.drill:
        return _drill(args, desk, work, player)
    if args.fault:
        return _fault(args, desk, work, player)
    from journal.progress.report import report

    found = report(work, player, desk.rules, desk.today(player))
    return report_json(found), report_lines(found, desk)


def _two_scores(args: argparse.Namespace) -> int:
    from journal.practice import read_score
    from journal.progress.compare import compare

    (h1, t1), (h2, t2) = (read_score(words) for words in args.two)
    found = compare(h1, t1, h2, t2)
    if args.json:
        as_json({"chance_second_better": round(found.chance, 4), "told": found.told, "more": found.more})
    else:
        print(found.sentence())
    return 0


def _fault(
    args: argparse.Namespace, desk: Desk, work: UnitOfWork, player: Player
) -> tuple[dict[str, Any], list[str]]:
    from journal.errors import UnknownEntry
    from journal.progress.rates import exact_count_interval
    from journal.progress.report import fault_progress
    from journal.sharing.charts import Point, series_chart, series_svg

    if args.fault not in desk.rules.faults:
        raise UnknownEntry(f"there is no fault {args.fault!r}", "Find its id with: plainball lookup WORDS")
    notes, sightings = work.notes.all(player_id=player.id), work.sightings.all(player_id=player.id)
    found: FaultProgress = fault_progress(args.fault, notes, sightings, desk.today(player))
    points = []
    for each in found.sessions:
        low, high = exact_count_interval(round(each.count))
        points.append(Point(each.day, low / each.exposure, each.count / each.exposure, high / each.exposure))
    title = f"{name_of(desk, args.fault)}, per {found.unit}, with 95 % spread"
    if args.svg:
        write_text(args.svg, series_svg(points, title=title))
    lines = [title, *series_chart(points)]
    if found.coming_back:
        lines.append(f"! it is coming back, since {found.coming_back.isoformat()}")
    value = {
        "fault": args.fault,
        "unit": found.unit,
        **rate_json(found.rate),
        "coming_back_since": found.coming_back,
        "days": [{"day": s.day, "count": s.count, "exposure": s.exposure} for s in found.sessions],
    }
    return value, lines


def _drill(
    args: argparse.Namespace, desk: Desk, work: UnitOfWork, player: Player
) -> tuple[dict[str, Any], list[str]]:
    from journal.players import find_player
    from journal.practice import find_ref
    from journal.progress.compare import compare
    from journal.progress.scores import wilson
    from journal.sharing.charts import Point, series_chart, series_svg

    ref, _ = find_ref(desk.rules, args.drill)
    own = [
        r for r in work.results.all(order="taken_at", player_id=player.id, ref=ref) if not r.open and r.tries
    ]
    points = [
        Point(r.day, wilson(r.hits, r.tries)[0], r.hits / r.tries, wilson(r.hits, r.tries)[1]) for r in own
    ]
    title = f"{name_of(desk, ref)}, {player.name}, hits of tries with 95 % spread"
    if args.svg:
        write_text(args.svg, series_svg(points, title=title, top=1.0, percent=True))
    lines = [title, *series_chart(points, top=1.0, percent=True)]
    value: dict[str, Any] = {
        "drill": ref,
        "days": [{"day": r.day, "hits": r.hits, "tries": r.tries} for r in own],
    }
    if args.against:
        other = find_player(work, args.against)
        theirs = [r for r in work.results.all(player_id=other.id, ref=ref) if not r.open and r.tries]
        found = compare(*_sums(own), *_sums(theirs))
        value |= {"chance_second_better": round(found.chance, 4), "told": found.told, "more": found.more}
        lines += [
            "",
            "{} {}/{}, {} {}/{}".format(player.name, *_sums(own), other.name, *_sums(theirs)),
        ]
        lines.append(found.sentence(player.name, other.name))
    return value, lines


def _sums(results: list[Any]) -> tuple[int, int]:
    return sum(r.hits for r in results), sum(r.tries for r in results)


def _contexts(
    args: argparse.Namespace, desk: Desk, work: UnitOfWork, player: Player
) -> tuple[dict[str, Any], list[str]]:
    from journal.desk import zone_of
    from journal.practice import find_ref
    from journal.progress.report import by_context
    from journal.sharing.charts import Row, rows_chart

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
    return value, [title, *rows_chart(rows, top=1.0, percent=True)]


def _month(
    args: argparse.Namespace, desk: Desk, work: UnitOfWork, player: Player
) -> tuple[dict[str, Any], list[str]]:
    from datetime import date

    from journal.sharing.charts import month_chart

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
    lines = [
        *month_chart(first.year, first.month, marks, desk.today(player)),
        "n note, d drill scored, M match",
    ]
    value = {
        "month": args.month,
        "days": {
            d.isoformat(): m
            for d, m in sorted(marks.items())
            if (d.year, d.month) == (first.year, first.month)
        },
    }
    return value, lines
