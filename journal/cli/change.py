"""plainball change: the one change: show it, start it, end it; trial: let tries decide between settings."""

from __future__ import annotations

import argparse
from dataclasses import asdict
from typing import TYPE_CHECKING, Any

from journal.cli.output import as_json

if TYPE_CHECKING:
    from journal.changes import ChangePlan
    from journal.records import Change, Player
    from journal.store.work import UnitOfWork


def add(subparsers: Any) -> None:
    """Register the commands."""
    change = subparsers.add_parser("change", help="the one change a player works on: show, start or end it")
    change.add_argument("player", metavar="PLAYER")
    change.add_argument("action", nargs="?", choices=("show", "start", "end"), default="show")
    change.add_argument(
        "what", nargs="?", metavar="CAUSE|VERDICT", help="start: a cause's id; end: kept, dropped or extended"
    )
    change.add_argument("--fault", metavar="ID", help="start: the fault it is for")
    change.add_argument("--days", type=int, metavar="N", help="start: how long (7 to 42, default 21)")
    change.add_argument(
        "--despite-match", action="store_true", help="start: although an important match is near"
    )
    change.add_argument("--words", default="", help="end: what you found")
    change.add_argument("--json", action="store_true", help="as JSON")
    change.set_defaults(run=run_change)
    trial = subparsers.add_parser("trial", help="compare two or three settings: trial near=14/20 far=11/20")
    trial.add_argument(
        "settings",
        nargs="+",
        metavar="NAME[=HITS/TRIES]",
        help="with results to judge, or names to get an order of tries",
    )
    trial.add_argument(
        "--tries", type=int, default=20, metavar="N", help="tries of each setting in the order (default 20)"
    )
    trial.add_argument("--seed", type=int, default=None, metavar="N", help="repeat an order")
    trial.add_argument("--json", action="store_true", help="as JSON")
    trial.set_defaults(run=run_trial)


def run_change(args: argparse.Namespace) -> int:
    """Show, start or end the one change."""
    from journal.players import find_player

    with args.desk.store.work() as work:
        player = find_player(work, args.player)
        shown = {"show": _show, "start": _start, "end": _end}[args.action](work, player, args)
        work.commit()
    if args.json:
        as_json(shown["json"])
    else:
        print("\n".join(shown["lines"]))
    return 0


def _show(work: UnitOfWork, player: Player, args: argparse.Namespace) -> dict[str, Any]:
    from journal.changes import plan_of, running
    from journal.cli.progress_views import standing_json, standing_lines
    from journal.progress.standing import standing

    change = running(work, player)
    if change is None:
        ended = work.changes.all(order="-started_on", player_id=player.id)
        lines = [
            "No change runs.",
            *(
                f"{c.started_on} to {c.ended_on}: {c.instruction} {c.status}. {c.verdict}".strip()
                for c in ended
            ),
        ]
        return {"json": {"running": None, "ended": [_value(c) for c in ended]}, "lines": lines}
    rules, today = args.desk.rules, args.desk.today(player)
    how = standing(work, rules, change, today=today)
    plan = plan_of(rules, player, change)
    return {
        "json": {"running": _value(change), "standing": standing_json(how)},
        "lines": [*_lines(plan), *standing_lines(how)],
    }


def _start(work: UnitOfWork, player: Player, args: argparse.Namespace) -> dict[str, Any]:
    from journal.changes import DAYS, start_change

    plan = start_change(
        work, args.desk.rules, player, today=args.desk.today(player), cause=args.what, fault=args.fault,
        days=DAYS if args.days is None else args.days, despite_match=args.despite_match, now=args.desk.now(),
    )  # fmt: skip
    return {"json": {"running": _value(plan.change), "caution": plan.caution}, "lines": _lines(plan)}


def _end(work: UnitOfWork, player: Player, args: argparse.Namespace) -> dict[str, Any]:
    from journal.changes import end_change, running
    from journal.errors import BadInput
    from journal.learning import relearn
    from journal.progress.standing import standing
    from journal.records import ChangeStatus

    if args.what not in ("kept", "dropped", "extended"):
        raise BadInput(
            "how the change ended is missing", "Say: plainball change PLAYER end kept, dropped or extended"
        )
    today = args.desk.today(player)
    old = running(work, player)
    words = args.words or (standing(work, args.desk.rules, old, today=today).words if old else "")
    change = end_change(work, player, ChangeStatus(args.what), today=today, words=words)
    if change.ended_on is not None:
        relearn(work, args.desk.rules, today=today)
    until = f"goes on until {change.stop_on}" if change.ended_on is None else f"ended on {change.ended_on}"
    return {"json": {"ended": _value(change)}, "lines": [f"{change.instruction} {change.status}, {until}."]}


def _lines(plan: ChangePlan) -> list[str]:
    change = plan.change
    lines = [
        f"One change: {change.instruction}",
        f"  from {change.started_on} to {change.stop_on}, for {change.fault} ({change.cause})",
    ]
    lines += [f"  drill: {d.name} ({d.minutes:g} min): {d.why} Target: {d.target}" for d in plan.drills]
    if plan.checkpoint is not None:
        lines.append(f"  checkpoint: {plan.checkpoint.quantity}: {plan.checkpoint.value}")
        lines.append(f"    how: {plan.checkpoint.measure}")
    lines.append(f"  aim: {change.measure}")
    return lines + ([f"  {plan.caution}"] if plan.caution else [])


def _value(change: Change) -> dict[str, Any]:
    return {**asdict(change), "status": change.status.value, "drills": list(change.drills)}


def run_trial(args: argparse.Namespace) -> int:
    """Judge a trial's results, or deal out its order of tries."""
    from journal.dilemmas import judge_trial, shuffled_order

    named = [setting.partition("=") for setting in args.settings]
    if not any(equals for _, equals, _ in named):
        seed = args.desk.now().toordinal() if args.seed is None else args.seed
        order = shuffled_order([name for name, _, _ in named], args.tries, seed)
        if args.json:
            as_json({"order": order, "seed": seed})
        else:
            print("\n".join(f"{number:3} {setting}" for number, setting in enumerate(order, 1)))
        return 0
    verdict = judge_trial([_tally(name, result) for name, _, result in named])
    if args.json:
        as_json(
            {
                "winner": verdict.winner,
                "chances": [round(c, 4) for c in verdict.chances],
                "spreads": verdict.spreads,
                "words": verdict.words,
            }
        )
    else:
        print(verdict.words)
    return 0


def _tally(name: str, result: str) -> Any:
    from journal.errors import BadInput
    from journal.trials import Tally

    hits, slash, tries = result.partition("/")
    if not slash or not hits.strip().isdecimal() or not tries.strip().isdecimal():
        raise BadInput(f"{name}={result} is no result", "Give hits of tries, such as near=14/20.")
    return Tally(name, int(hits), int(tries))
