"""``plainball template``: the floor template for the feet, by tape alone or printed at true size."""

from __future__ import annotations

import argparse
import json
from pathlib import Path

from journal.errors import BadInput


def add(subparsers: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Register the command."""
    parser = subparsers.add_parser(
        "template",
        help="floor template for the feet: 60 degrees by tape alone, or printed at true size",
        description="Floor template for the feet from your shoulder breadth; bare lengths are millimetres.",
    )
    parser.add_argument("--shoulders", metavar="MM", help="shoulder breadth, point to point")
    parser.add_argument(
        "--height", metavar="MM", help="body height, to estimate the shoulders when not measured"
    )
    parser.add_argument("--table", choices=("men", "women"), help="whose measured bodies to estimate with")
    parser.add_argument("--hand", choices=("right", "left"), default="right", help="hand that holds the cue")
    parser.add_argument("--json", action="store_true", help="one JSON object")
    parser.add_argument("--svg", type=Path, metavar="FILE", help="write a picture of the template as SVG")
    parser.add_argument(
        "--pdf", type=Path, metavar="FILE", help="write A4 sheets at true size to tape together"
    )
    parser.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Print the template and write what was asked for. Raises: BadInput, CannotWrite."""
    from journal.sharing import template as floor
    from journal.sharing.pictures import svg, terminal
    from knowledge.mechanics.inputs import ImpossibleInput

    try:
        shoulders, said = _shoulders(args)
        marks = floor.template(shoulders, args.hand)
    except ImpossibleInput as problem:
        raise BadInput(problem.message, problem.hint) from problem
    scene = floor.template_scene(marks)
    pages = None if args.pdf is None else floor.write_template(marks, args.pdf)
    if args.svg is not None:
        svg.write_svg(scene, args.svg)
    if args.json:
        tape = [round(length, 3) for length in marks.tape]
        print(
            json.dumps(
                {
                    "angle_deg": round(marks.angle_deg, 6),
                    "spacing_mm": round(marks.spacing, 3),
                    "tape_mm": tape,
                }
            )
        )
        return 0
    print(terminal.page(scene, 80, 20))
    for line in (said, None if pages is None else f"{args.pdf}: {pages} pages, print at 100 %"):
        if line:
            print(line)
    return 0


def _shoulders(args: argparse.Namespace) -> tuple[float, str | None]:
    """(shoulder breadth in mm, how it was come by); entered beats estimated."""
    from knowledge.body import estimate
    from knowledge.mechanics.units import read_quantity

    if args.shoulders is not None:
        return read_quantity("--shoulders", args.shoulders, "length", "mm") * 1e3, None
    if args.height is None:
        raise BadInput(
            "template needs --shoulders, or --height to estimate them",
            "Measure from shoulder point to point.",
        )
    guess = estimate(
        "shoulder breadth", read_quantity("--height", args.height, "length", "mm") * 1e3, args.table
    )
    said = f"shoulders estimated from height: {guess.value:.0f} mm, give or take {guess.spread:.0f} mm"
    return guess.value, f"{said}; measure your own"
