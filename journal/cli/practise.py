"""``plainball practise``: store a score in one line, or count a drill ball by ball."""

from __future__ import annotations

import argparse
import sys
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from journal.cli.output import as_json
from journal.errors import BadInput

if TYPE_CHECKING:
    from journal.desk import Desk
    from journal.records import ItemKind, Player, Result
    from journal.store.work import UnitOfWork


def add(subparsers: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Register the command."""
    parser = subparsers.add_parser(
        "practise",
        help="store a drill's score",
        description="Store a drill's or a re-check's score: plainball practise Ada freeze_finish 15/20. "
        "With --count it reads h (hit), m (miss), u (undo) and q (finish), one a line, "
        "and keeps each ball at once.",
    )
    parser.add_argument("player", metavar="PLAYER")
    parser.add_argument(
        "drill", metavar="DRILL", help="a drill's id, its last part or its name; a fault's for a re-check"
    )
    parser.add_argument("score", nargs="?", metavar="HITS/TRIES")
    parser.add_argument(
        "--count", action="store_true", help="count ball by ball from the keyboard; goes on where it stopped"
    )
    parser.add_argument("--minutes", type=float, metavar="N", help="how long it took")
    parser.add_argument("--table", help="on which table")
    parser.add_argument("--cue", help="with which cue")
    parser.add_argument("--tired", type=int, choices=range(1, 6), metavar="1-5", help="how tired you were")
    parser.add_argument("--json", action="store_true", help="one JSON object")
    parser.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Store the score and show it with its spread and the personal best."""
    from journal import practice
    from journal.players import find_player

    desk: Desk = args.desk
    if bool(args.score) == args.count:
        raise BadInput(
            "a score or --count is needed, and only one of them",
            "Example: plainball practise Ada bottle_neck 7/10",
        )
    if args.minutes is not None and not 0 < args.minutes <= 600:
        raise BadInput(f"{args.minutes:g} minutes cannot be", "Give 1 to 600 minutes.")
    with desk.store.work() as work:
        player = find_player(work, args.player)
        ref, kind = practice.find_ref(desk.rules, args.drill)
        before = practice.standing(work, player, ref)
        result = None if args.count else _record(args, desk, work, player, ref, kind)
    if result is None:
        result = _count(args, desk, player, ref, kind)
    if result is None:
        print("nothing was counted")
    else:
        _show(args, desk, result, before)
    return 0


def _detail(args: argparse.Namespace) -> dict[str, Any]:
    given = {key: getattr(args, key) for key in ("table", "cue", "tired")}
    return {key: value for key, value in given.items() if value is not None}


def _record(
    args: argparse.Namespace, desk: Desk, work: UnitOfWork, player: Player, ref: str, kind: ItemKind
) -> Result:
    from journal import practice

    hits, tries = practice.read_score(args.score)
    now, today = desk.now(), desk.today(player)
    result = practice.record(
        work, player, ref, kind, hits, tries, now=now, today=today, minutes=args.minutes, detail=_detail(args)
    )
    work.commit()
    return result


def _count(args: argparse.Namespace, desk: Desk, player: Player, ref: str, kind: ItemKind) -> Result | None:
    """Read keys until q or the end of the input; without q a drill with a try stays open and can be gone on with.

    Each key is a unit of work of its own, so that the journal is not locked while somebody plays.
    """
    from journal import practice

    with desk.store.work() as work:
        result = practice.resume(work, player, ref)
        if result is not None:
            print(f"going on at {result.hits} of {result.tries}", flush=True)
        else:
            now, today = desk.now(), desk.today(player)
            result = practice.start(work, player, ref, kind, now=now, today=today)
    result = replace(result, detail={**result.detail, **_detail(args)})
    drill = desk.rules.drills.get(ref)
    for key in (key for line in sys.stdin for key in line.strip().lower()):
        if key not in "hm10uq":
            print(f"{key!r} is no key: h hit, m miss, u undo, q finish", flush=True)
            continue
        with desk.store.work() as work:
            if key == "q":
                return practice.finish(work, result, minutes=args.minutes)
            result = practice.undo(work, result) if key == "u" else practice.ball(work, result, key in "h1")
        stand = practice.tally(result, drill, player.level)
        rung = f"  rung {stand.rung}" if stand.rung else ""
        print(f"{result.hits} of {result.tries}{rung}{f'  {stand.hint}' if stand.hint else ''}", flush=True)
    with desk.store.work() as work:
        return result if practice.put_by(work, result) else None


def _show(args: argparse.Namespace, desk: Desk, result: Result, before: Any) -> None:
    from journal.progress.scores import wilson

    low, high = wilson(result.hits, result.tries)
    if args.json:
        as_json(
            {
                "id": result.id,
                "ref": result.ref,
                "kind": str(result.kind),
                "day": result.day,
                "hits": result.hits,
                "tries": result.tries,
                "low": round(low, 4),
                "high": round(high, 4),
                "open": result.open,
                "best_before": list(before.best) if before.best else None,
            }
        )
        return
    entry = desk.rules.drills.get(result.ref) or desk.rules.faults[result.ref]
    print(
        f"{entry.name}: {result.hits} of {result.tries}; "
        f"that fits anything from {100 * low:.0f} to {100 * high:.0f} %"
    )
    if before.best:
        hits, tries = before.best
        print(
            f"best so far {hits} of {tries}, in {before.times} time{'s' if before.times > 1 else ''} before"
        )
    if before.middle:
        print(
            f"the middle half of the last ten: {100 * before.middle[0]:.0f} to {100 * before.middle[1]:.0f} %"
        )
    if result.open:
        print("not finished: the same command goes on with it")
