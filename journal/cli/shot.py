"""``plainball shot …``: what balls and cues do, in numbers and pictures."""

from __future__ import annotations

import argparse
import importlib
import json
import math
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import TYPE_CHECKING

from journal.cli.shot_questions import QUESTIONS, Option, Question
from journal.errors import BadInput

if TYPE_CHECKING:
    from knowledge.mechanics.answers import Answer

METAVAR = {
    "length": "MM",
    "speed": "SPEED",
    "angle": "DEG",
    "time": "S",
    "number": "X",
    "count": "N",
    "words": "TEXT",
}

LIMITS = (
    "The model leaves out the nap and slope of the cloth, unequal balls, the jaws of pockets and balls that "
    "leave the bed. Friction was measured on pool equipment; pocket openings are yours to measure. Trust "
    "directions and orders of size, not the last digit, and nothing above 2.5 m/s across a cushion."
)


def add(subparsers: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Register the command and its questions."""
    parser = subparsers.add_parser(
        "shot",
        help="what balls and cues do, in numbers and pictures",
        description="What balls and cues do. Bare lengths are millimetres; 3ft, 12in, 1.5m work too.",
        epilog=LIMITS,
    )
    inner = parser.add_subparsers(dest="question", required=True, metavar="QUESTION")
    for question in QUESTIONS:
        one = inner.add_parser(
            question.name, help=question.text, description=question.text.capitalize() + "."
        )
        for option in question.options:
            shown = option.text + (f" (default {option.default})" if option.default is not None else "")
            one.add_argument(
                f"--{option.flag}",
                required=option.needed,
                default=option.default,
                metavar=METAVAR[option.kind],
                help=shown.replace("%", "%%"),
            )
        one.add_argument(
            "--cloth", default="standard", metavar="NAME", help="standard, slow club cloth, fast match cloth"
        )
        add_outputs(one)
        one.set_defaults(run=run, asked=question)


def add_outputs(parser: argparse.ArgumentParser) -> None:
    """The outputs that every picture command has."""
    parser.add_argument("--json", action="store_true", help="one JSON object instead of words and a picture")
    parser.add_argument("--svg", type=Path, metavar="FILE", help="write the picture as SVG")
    parser.add_argument("--pdf", type=Path, metavar="FILE", help="write the picture as a PDF page to scale")


def read_value(option: Option, text: str) -> float | int | str:
    """An option's value in SI. Raises: ImpossibleInput for no number or an unknown unit."""
    from knowledge.mechanics.inputs import ImpossibleInput
    from knowledge.mechanics.units import read_quantity

    flag = f"--{option.flag}"
    bare = {"length": "mm", "speed": "m/s", "angle": "deg", "time": "s"}
    match option.kind:
        case "words":
            return text
        case "length" | "speed" | "angle" | "time":
            return read_quantity(flag, text, option.kind, bare[option.kind])
    whole = option.kind == "count"
    try:
        return int(text) if whole else float(text)
    except ValueError:
        kind = "a whole number" if whole else "a plain number"
        raise ImpossibleInput(flag, f"{text!r} is not {kind}", "Give it without a unit.") from None


def run(args: argparse.Namespace) -> int:
    """Answer one question: print it, and draw it where asked. Raises: BadInput, CannotWrite."""
    from knowledge.mechanics.conditions import preset
    from knowledge.mechanics.inputs import ImpossibleInput

    question: Question = args.asked
    module, function = question.answer.split(":")
    answer: Callable[..., Answer] = getattr(
        importlib.import_module(f"knowledge.mechanics.{module}"), function
    )
    given = {o.name: getattr(args, o.name) for o in question.options if getattr(args, o.name) is not None}
    try:
        values = {o.name: read_value(o, given[o.name]) for o in question.options if o.name in given}
        found = answer(**values, cloth=preset(args.cloth))
    except ImpossibleInput as problem:
        raise BadInput(problem.message, problem.hint) from problem
    show(found, args)
    return 0


def show(answer: Answer, args: argparse.Namespace) -> None:
    """Write the files asked for, then print JSON, or the picture with its words. Raises: CannotWrite."""
    from journal.sharing.pictures import pdf, svg, terminal

    if args.svg is not None:
        svg.write_svg(answer.scene, args.svg)
    if args.pdf is not None:
        pdf.write_pdf(answer.scene, args.pdf)
    print(
        json.dumps(rounded(answer.figures), ensure_ascii=False)
        if args.json
        else terminal.page(answer.scene, 80, 24)
    )


def rounded(value: object) -> object:
    """Floats to nine digits after the point, those that are no number to null; containers inside out."""
    if isinstance(value, float):
        return round(value, 9) + 0.0 if math.isfinite(value) else None
    if isinstance(value, Mapping):
        return {key: rounded(part) for key, part in value.items()}
    if isinstance(value, list | tuple):
        return [rounded(part) for part in value]
    return value
