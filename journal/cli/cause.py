"""plainball cause, plainball check: likely causes, the next best check, and its answer."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING, Any

from journal.cli.output import as_json, table

if TYPE_CHECKING:
    from knowledge.causes.diagnose import Diagnosis
    from knowledge.rulebase import RuleBase

SHOWN = 10
"""Causes shown on paper; JSON has all that a finding touches."""


def add(subparsers: Any) -> None:
    """Register the commands."""
    cause = subparsers.add_parser(
        "cause", help="what probably causes a player's faults, and which check tells more"
    )
    cause.add_argument("player", nargs="?", metavar="PLAYER", help="whose (default: the current player)")
    cause.add_argument("--faults", metavar="ID,ID,…", help="a bare list of faults; no journal is opened")
    cause.add_argument(
        "--with",
        dest="means",
        metavar="WHAT",
        help="at hand now: any of alone, partner, phone, coach, home (no table)",
    )
    cause.add_argument("--minutes", type=float, metavar="N", help="the longest check there is time for")
    cause.add_argument(
        "--learn",
        action="store_true",
        help="move base rates and strengths by this journal's confirmed causes",
    )
    cause.add_argument("--learnt", action="store_true", help="show what has been learnt")
    cause.add_argument(
        "--forget", action="store_true", help="go back to the shipped base rates and strengths"
    )
    cause.add_argument("--json", action="store_true", help="as JSON")
    cause.set_defaults(run=run_cause)
    check = subparsers.add_parser("check", help="answer a check: plainball check PLAYER CHECK OUTCOME")
    check.add_argument("player", metavar="PLAYER")
    check.add_argument("check", metavar="CHECK", help="the check's id")
    check.add_argument(
        "outcome", metavar="OUTCOME", nargs="?", help="the outcome's id; without it the check is shown"
    )
    check.add_argument("--remark", default="", help="a few words to keep with the answer")
    check.add_argument("--json", action="store_true", help="as JSON")
    check.set_defaults(run=run_check)


def run_cause(args: argparse.Namespace) -> int:
    """Rank the causes of a player's faults or of a bare list."""
    from journal import care, diagnosis

    rules = args.desk.rules
    means = diagnosis.means_of(args.means, args.minutes)
    if args.faults is not None:
        show(rules, diagnosis.diagnose_list(rules, args.faults.split(","), means), args.json)
        return 0
    if args.learn or args.learnt or args.forget:
        return _learning(args)
    from journal.players import find_player

    with args.desk.store.work() as work:
        player = find_player(work, args.player)
        found = diagnosis.diagnose_player(work, rules, player, today=args.desk.today(player), means=means)
        caution = care.caution_of(work, player)
    show(rules, found, args.json, caution)
    return 0


def _learning(args: argparse.Namespace) -> int:
    from journal import learning

    with args.desk.store.work() as work:
        if args.forget:
            learning.forget(work)
            work.commit()
        elif args.learn:
            learning.relearn(work, args.desk.rules, today=args.desk.today())
            work.commit()
        moved = learning.moved(work, args.desk.rules)
    if args.json:
        as_json(
            [
                {"what": m.what, "shipped": m.shipped, "now": round(m.now, 4), "cases": round(m.cases, 2)}
                for m in moved
            ]
        )
        return 0
    if not moved:
        print("Nothing learnt: the shipped base rates and strengths are used.")
        return 0
    print(
        "\n".join(
            table(
                [
                    ("what", "shipped", "now", "cases"),
                    *((m.what, f"{m.shipped:.2f}", f"{m.now:.2f}", f"{m.cases:.1f}") for m in moved),
                ]
            )
        )
    )
    return 0


def run_check(args: argparse.Namespace) -> int:
    """Store a check's answer and show what it changed."""
    from journal import care, diagnosis
    from journal.players import find_player

    desk, rules = args.desk, args.desk.rules
    with desk.store.work() as work:
        player = find_player(work, args.player)
        if args.outcome is None:
            print("\n".join(check_sheet(rules, diagnosis.find_check(rules, args.check).id)))
            return 0
        diagnosis.answer_check(
            work, rules, player, args.check, args.outcome, now=desk.now(), remark=args.remark
        )
        found = diagnosis.diagnose_player(work, rules, player, today=desk.today(player))
        caution = care.caution_of(work, player)
        work.commit()
    show(rules, found, args.json, caution)
    return 0


def check_sheet(rules: RuleBase, check_id: str) -> list[str]:
    """A check as a person does it: steps, minutes, answers."""
    check = rules.checks[check_id]
    lines = [
        f"{check.name} ({check.minutes:g} min, {' or '.join(check.needs)})",
        f"  {check.do}",
        "  Answers:",
    ]
    lines += [f"    {outcome.id}: {outcome.result}" for outcome in check.outcomes]
    return lines


def shape(found: Diagnosis, caution: str | None = None) -> dict[str, Any]:
    """The JSON value of a diagnosis. caution: while pain is noted."""
    choice = found.next_check
    return {
        "causes": [
            {
                "id": cause.id,
                "probability": round(cause.probability, 6),
                "for": [{"id": reason.id, "bits": reason.bits} for reason in cause.why.speaks_for],
                "against": [{"id": reason.id, "bits": reason.bits} for reason in cause.why.against],
            }
            for cause in found.causes
        ],
        "next_check": None
        if choice is None
        else {
            "id": choice.check.id,
            "minutes": choice.check.minutes,
            "needs": list(choice.check.needs),
            "bits": round(choice.bits, 4),
        },
        "verdict": found.verdict,
        "why": found.reason,
        "method": found.method,
        "error": round(found.error, 4),
        "caution": caution,
    }


def show(rules: RuleBase, found: Diagnosis, json: bool, caution: str | None = None) -> None:
    """Print a diagnosis, while pain is noted the caution first."""
    from journal.diagnosis import verdict_parts

    if json:
        as_json(shape(found, caution))
        return
    if caution is not None:
        print(f"! {caution}")
    print(": ".join(verdict_parts(found)))
    rows = [
        (
            f"{cause.probability:.2f}",
            cause.word,
            rules.causes[cause.id].name,
            cause.id,
            ", ".join(f"{r.id} {r.bits:+.1f}" for r in (*cause.why.speaks_for, *cause.why.against)),
        )
        for cause in found.causes[:SHOWN]
    ]
    if rows:
        print("\n".join(table(rows)))
        print("Chances closer than 0.10 count as equal. Reasons in bits: + for, − against.")
    if found.method != "exact":
        print(f"Sampled, not summed: the chances are within about ±{found.error:.3f}.")
    if found.next_check is not None:
        print(f"Next check, {found.next_check.bits:.2f} bits expected:")
        print("\n".join(check_sheet(rules, found.next_check.check.id)))
        for would in found.next_check.would:
            after = ", ".join(f"{rules.causes[c].name} {p:.2f}" for c, p in would.after.items())
            print(f"    {would.outcome} ({would.chance:.0%}) would make it: {after}")
