"""``plainball plan``, ``free`` and ``match``: when somebody can practise, and what to do then."""

from __future__ import annotations

import argparse
import textwrap
from datetime import date, timedelta
from pathlib import Path
from typing import TYPE_CHECKING, Any

from journal.cli.free_times import add_free, add_match
from journal.cli.output import as_json
from journal.errors import BadInput, CannotWrite

if TYPE_CHECKING:
    from journal.desk import Desk
    from journal.plans import MadePlan
    from journal.records import PlanItem, Player


_LABELS = {"drill": "drill", "recheck": "re-check", "match": "match", "rest": "rest"}


def add(subparsers: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Register the commands."""
    _add_plan(subparsers)
    add_free(subparsers)
    add_match(subparsers)


def _add_plan(subparsers: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    plan = subparsers.add_parser(
        "plan",
        help="make or show a dated plan",
        description="Make a dated plan from today on and store it. "
        "What an earlier plan had stays where it can.",
    )
    plan.add_argument("player", nargs="?", metavar="PLAYER", help="default: the current player")
    plan.add_argument("--days", type=int, default=28, metavar="N", help="how many days (default 28)")
    plan.add_argument("--show", action="store_true", help="show the stored plan without making a new one")
    plan.add_argument("--today", action="store_true", help="only today's items")
    plan.add_argument(
        "--fresh", action="store_true", help="forget the earlier plan instead of keeping what it had"
    )
    plan.add_argument(
        "--at-least",
        action="append",
        default=[],
        metavar="DRILL=N",
        help="a drill (or 'change') at least N times; may be repeated",
    )
    plan.add_argument("--relax", action="store_true", help="give way on wishes that cannot be met")
    plan.add_argument(
        "--blocks", action="store_true", help="no preference for mixed order (the evidence for it is weak)"
    )
    plan.add_argument(
        "--days-in-row", type=int, default=5, metavar="N", help="most practice days running (default 5)"
    )
    plan.add_argument("--ics", type=Path, metavar="FILE", help="write a calendar file too")
    plan.add_argument("--pdf", type=Path, metavar="FILE", help="write one printed page too")
    plan.add_argument("--json", action="store_true", help="one JSON object")
    plan.set_defaults(run=run_plan)


def run_plan(args: argparse.Namespace) -> int:
    """Make (or show) the plan, store it, print it, write the files asked for."""
    from journal.planning.request import Habits
    from journal.plans import current_plan, make_plan
    from journal.players import find_player

    desk: Desk = args.desk
    with desk.store.work() as work:
        player = find_player(work, args.player)
        today = desk.today(player)
        if args.show or args.today:
            made = current_plan(work, player, today)
            if made is None:
                raise BadInput(f"{player.name} has no plan yet", f"Make one: plainball plan {player.name}")
        else:
            habits = Habits(mixed=not args.blocks, days_in_row=max(1, args.days_in_row))
            made = make_plan(
                player,
                work=work,
                rules=desk.rules,
                now=desk.now(),
                today=today,
                days=args.days,
                wishes=_wishes(args.at_least),
                habits=habits,
                relax=args.relax,
                fresh=args.fresh,
            )
            work.commit()
        cancelled = [
            item for item in work.plan_items.all(player_id=player.id) if item.day >= made.plan.first_day
        ]
    _write_files(args, desk, player, made, cancelled)
    if args.json:
        as_json(plan_json(made, only=today if args.today else None))
    else:
        _print(made, desk, today, only=today if args.today else None)
    return 0


def _wishes(given: list[str]) -> list[Any]:
    from journal.planning.request import Wish

    wishes = []
    for each in given:
        drill, _, times = each.partition("=")
        if not drill or not times.isdigit() or not 1 <= int(times) <= 500:
            raise BadInput(f"--at-least {each!r} is not understood", "Write it like --at-least change=6")
        wishes.append(Wish(drill, int(times)))
    return wishes


def _write_files(
    args: argparse.Namespace, desk: Desk, player: Player, made: MadePlan, everything: list[PlanItem]
) -> None:
    if args.ics:
        from journal.planning.calendar_out import to_ics

        zone = made.plan.settings.get("time_zone", player.time_zone)
        text = to_ics(
            everything, desk.rules, zone_name=zone, now=desk.now(), name=f"Practice plan, {player.name}"
        )
        try:
            args.ics.write_bytes(text)
        except OSError as error:
            raise CannotWrite(
                f"{args.ics} cannot be written: {error.strerror}", "Name a file in a folder you may write to."
            ) from error
    if args.pdf:
        from journal.sharing.sheets import plan_sheet, today_sheet

        if args.today:
            today_sheet(made, desk.rules, player, desk.today(player), args.pdf)
        else:
            plan_sheet(made, desk.rules, player, args.pdf)


def plan_json(made: MadePlan, only: date | None = None) -> dict[str, Any]:
    """The plan as the one JSON object that other programs read."""
    change = made.change
    return {
        "change": None
        if change is None
        else {
            "fault": change.fault,
            "cause": change.cause,
            "instruction": change.instruction,
            "drills": list(change.drills),
            "measure": change.measure,
            "started_on": change.started_on,
            "stop_on": change.stop_on,
        },
        "fault": made.fault,
        "items": [_item_json(item) for item in made.items if only is None or item.day == only],
        "gap": made.plan.gap,
        "relaxed": list(made.relaxed),
        "caution": made.caution,
    }


def _item_json(item: PlanItem) -> dict[str, Any]:
    from journal.days import clock

    day = item.day + timedelta(days=item.start_minute // 1440)
    return {
        "day": day,
        "start": clock(item.start_minute),
        "kind": str(item.kind),
        "id": item.ref,
        "minutes": item.minutes,
        "why": item.why,
        "status": str(item.status),
    }


def _print(made: MadePlan, desk: Desk, today: date, only: date | None) -> None:
    from journal.records import ItemKind

    rules = desk.rules
    fault = rules.faults.get(made.fault or "")
    if made.change is not None:
        stop = made.change.stop_on
        print(f"One change: {made.change.instruction} (until {stop.day} {stop:%B})")
    elif fault is not None:
        print(f"No change is running; the plan is made around: {fault.name}")
    else:
        print("No confirmed fault yet: the plan is for variety. Write a note to make it yours.")
    if made.caution:
        print(f"! {made.caution}")
    shown = [item for item in made.items if item.day == only] if only else list(made.items)
    if not shown:
        print("Nothing is planned today." if only else "Nothing is planned.")
    day: date | None = None
    for item in shown:
        if item.day != day:
            day = item.day
            print(f"\n{day:%a} {day.day} {day:%B}{'  (today)' if day == today else ''}")
        entry = rules.drills.get(item.ref) or rules.faults.get(item.ref)
        print_item(item, entry.name if entry else (item.why if item.kind is ItemKind.MATCH else item.ref))
    for wish in made.relaxed:
        print(f"\nGave way on: {wish}")
    if not only and made.plan.gap is not None:
        print(
            f"\nBest possible plan within {100 * made.plan.gap:.1f} %."
            if made.plan.gap
            else "\nNo better plan exists for these wishes (proved)."
        )


def print_item(item: PlanItem, name: str) -> None:
    """One item: when, what, why."""
    from journal.days import clock
    from journal.planning.layout import DAY_OFF, WARM_UP, WIND_DOWN
    from journal.records import ItemKind, ItemStatus

    mark = {ItemStatus.DONE: "✓", ItemStatus.MISSED: "–"}.get(item.status, " ")
    off = item.ref == DAY_OFF
    long = "       " if off or not item.minutes else f"{item.minutes:3.0f} min"
    label = (
        "warm-up"
        if item.ref == WARM_UP
        else "wind-down"
        if item.ref == WIND_DOWN
        else _LABELS.get(item.kind, "")
    )
    shown = "" if item.kind is ItemKind.REST else name
    print(f" {mark}{clock(item.start_minute)} {long}  {label:<10}{shown}".rstrip())
    if item.kind is not ItemKind.MATCH:
        for line in textwrap.wrap(item.why, 78 - 17):
            print(f"{'':17}{line}")
