"""``plainball read``: what a text says, without storing anything."""

from __future__ import annotations

import argparse
from dataclasses import asdict
from typing import Any

from journal.cli.output import as_json, each_line, read_input
from journal.errors import BadInput, EmptyNote
from journal.notes import clean
from knowledge.reading.types import Reading


def add(commands: Any) -> None:
    """Register ``read``."""
    parser = commands.add_parser("read", help="read a text and show the faults, figures and cautions in it")
    parser.add_argument("file", nargs="?", help="a text file, or - for standard input")
    parser.add_argument(
        "--jsonl", metavar="FILE", help='one {"id", "text"} object a line in, one reading a line out'
    )
    parser.add_argument("--json", action="store_true", help="one JSON object")
    parser.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Read a file or each line of a JSON-lines file."""
    reader = args.desk.reader
    if args.jsonl:
        each_line(args.jsonl, "text", lambda text: as_plain(reader.read(text)))
        return 0
    if not args.file:
        raise BadInput("no text was named", "Name a file, or - for standard input, or --jsonl FILE.")
    text = read_input(args.file)
    if not clean(text):
        raise EmptyNote(f"{args.file} has no words", "Write at least one sentence.")
    reading = reader.read(text)
    if args.json:
        as_json({"id": None, **as_plain(reading)})
    else:
        print("\n".join(lines_of(reading, args.desk.rules)))
    return 0


def as_plain(reading: Reading) -> dict[str, Any]:
    """A reading as JSON holds it."""
    mentions = []
    for mention in reading.mentions:
        plain = asdict(mention)
        plain["guesses"] = [[guess.fault, guess.probability] for guess in mention.guesses]
        mentions.append(plain)
    return {
        "mentions": mentions,
        "scores": [asdict(each) for each in reading.scores],
        "measures": [asdict(each) for each in reading.measures],
        "cautions": [asdict(each) for each in reading.cautions],
    }


def lines_of(reading: Reading, rules: Any) -> list[str]:
    """A reading as the command line shows it, cautions first."""
    lines = [f"! {caution.advice}" for caution in reading.cautions]
    for mention in reading.mentions:
        fault = rules.faults.get(mention.fault)
        times = f" ×{mention.count}" if mention.count else ""
        sure = (
            "surely" if mention.confidence >= 0.85 else "likely" if mention.confidence >= 0.6 else "perhaps"
        )
        name = fault.name if fault else mention.fault
        lines.append(
            f"{name} [{mention.fault}]: {mention.polarity}{times}, {sure}\n    “{' '.join(mention.words.split())}”"
        )
    for score in reading.scores:
        total = f" of {score.of:g}" if score.of is not None else ""
        about = f" ({score.about})" if score.about else ""
        lines.append(f"score {score.value:g}{total}{about}: “{score.words}”")
    for measure in reading.measures:
        about = f" ({measure.about})" if measure.about else ""
        lines.append(f"measure {measure.value:g} {measure.unit}{about}: “{measure.words}”")
    return lines or ["Nothing of the 76 faults is spoken of, and no figure."]
