"""``plainball rules``: check own rules, write a template of an entry, or collect people's own words for the rules."""

from __future__ import annotations

import argparse
import os
from collections import Counter
from pathlib import Path

from journal.cli.output import as_json, write_text


def add(subparsers: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Register the command and its two parts."""
    from knowledge.rule_template import TEMPLATES

    parser = subparsers.add_parser(
        "rules", help="check your own rules, or start an entry", description="Your own rules, laid over ours."
    )
    parts = parser.add_subparsers(dest="part", metavar="PART", required=True)
    check = parts.add_parser(
        "check",
        help="say every problem with its file, line and mend",
        description="Check a folder of rule files laid over the shipped ones; without one, those in use.",
    )
    check.add_argument("folder", nargs="?", type=Path, metavar="DIR", help="a folder of .yaml files")
    check.add_argument("--json", action="store_true", help="one JSON object instead of text")
    check.set_defaults(run=run_check)
    new = parts.add_parser(
        "new",
        help="print a commented template of an entry",
        description="Print a commented template; put it in a .yaml file of your folder and change it.",
    )
    new.add_argument("kind", choices=tuple(TEMPLATES), metavar="KIND", help=", ".join(TEMPLATES))
    new.set_defaults(run=run_new)
    words = parts.add_parser(
        "words",
        help="people's corrections as an addition to the rules",
        description="Write what people corrected as a rules file that adds their words to the faults' examples.",
    )
    words.add_argument("--player", metavar="NAME", help="of one player; without it, of all")
    words.add_argument("--out", type=Path, metavar="FILE", help="write a file instead of printing")
    words.set_defaults(run=run_words)


def run_check(args: argparse.Namespace) -> int:
    """Print each problem, or what was counted; 1 when there is a problem."""
    from knowledge.rulebase import kind_of, read_rules

    named = os.environ.get("PLAINBALL_RULES")
    folder = args.folder or args.own_rules or (Path(named) if named else None)
    base, problems = read_rules(folder)
    counts = Counter(kind_of(entry) for entry in base.entries.values())
    own = sum(entry.own for entry in base.entries.values())
    if args.json:
        shown = [problem._asdict() for problem in problems]
        as_json({"problems": shown, "entries": dict(counts), "own": own})
        return 1 if problems else 0
    for problem in problems:
        print(problem)
    what = "the shipped rules" if folder is None else f"{folder}, laid over the shipped rules"
    if problems:
        print(f"\n{len(problems)} {'problem' if len(problems) == 1 else 'problems'} in {what}.")
        return 1
    listed = ", ".join(f"{number} {kind}{'s' if number != 1 else ''}" for kind, number in counts.items())
    print(f"No problem in {what}.\n{len(base.entries)} entries: {listed}.")
    if folder is not None:
        print(f"{own} of them are your own.")
    return 0


def run_new(args: argparse.Namespace) -> int:
    """Print the template."""
    from knowledge.rule_template import template

    print(template(args.kind), end="")
    return 0


def run_words(args: argparse.Namespace) -> int:
    """Print or write the contribution."""
    from journal.contribution import contribution
    from journal.players import find_player

    with args.desk.store.work() as work:
        if args.player:
            said = work.own_utterances.all(player_id=find_player(work, args.player).id)
        else:
            said = work.own_utterances.all()
    text = contribution(said, args.desk.rules)
    if args.out is None:
        print(text, end="")
    else:
        write_text(args.out, text)
        print(f"{args.out}: {len(said)} {'correction' if len(said) == 1 else 'corrections'}.")
    return 0
