"""``shot`` and ``template`` on the command line."""

from __future__ import annotations

import argparse
import json
import math
import subprocess
import sys
from pathlib import Path

import pytest

from journal.cli import shot, template
from journal.cli.shot_questions import QUESTIONS
from journal.errors import BadInput

SAMPLE = {
    "contact": "--fraction 0.5",
    "natural": "--fraction 0.5",
    "pot": "--distance 1000 --angle 30 --spread 0.1 --opening 85 --cue-distance 1000",
    "along-cushion": "--distance 800 --spread 1",
    "spread": "--hits 7 --of 10 --distance 900",
    "roll": "--speed slow",
    "slide": "--speed 2",
    "draw": "--speed 3 --low 0.4 --distance 3ft",
    "cushion": "--angle 45 --speed 1.5 --side 0.3",
    "side": "--side 0.3 --butt 8 --speed 3 --distance 1500",
    "close": "--gap 10 --speed 1 --follow 60",
    "rail": "--gap 0",
    "travel": "--upper-arm 335 --forearm 480",
    "pack": "--speed 3",
    "arc": "--fraction 0.5 --speed 3",
    "throw": "--speed 1 --angle 30",
    "sides": "",
    "escape": "",
    "play": "--white 1200,1950 --ball blue --pocket middle_left --speed 2.3 --others spots",
}


def ask(*words: str) -> int:
    parser = argparse.ArgumentParser()
    commands = parser.add_subparsers()
    shot.add(commands)
    template.add(commands)
    args = parser.parse_args([w.replace("middle_left", "middle left") for w in words])
    return int(args.run(args))


def answer(capsys: pytest.CaptureFixture[str], *words: str) -> dict[str, object]:
    assert ask(*words, "--json") == 0
    out = capsys.readouterr().out
    assert out.count("\n") == 1
    found = json.loads(out)
    assert isinstance(found, dict)
    return found


def test_contact(capsys: pytest.CaptureFixture[str]) -> None:
    """Half ball: 30, 60, 33.670 deg (Alciatore TP 3.1, 3.3); speeds 0.8660 and 0.5."""
    found = answer(capsys, "shot", "contact", "--fraction", "0.5")
    assert found == pytest.approx(
        {"cut_deg": 30, "stun_deg": 60, "rolling_deg": 33.670, "object_speed": 0.8660, "cue_speed": 0.5},
        abs=1e-3,
    )


def test_pot(capsys: pytest.CaptureFixture[str]) -> None:
    """1 m to an opening of 85 mm: 0.9310 deg, and 0.6481 at one degree of scatter (plain geometry, erf)."""
    words = ["shot", "pot", "--distance", "1000", "--angle", "0", "--spread", "1", "--opening", "85"]
    assert answer(capsys, *words) == pytest.approx({"margin_deg": 0.9310, "chance": 0.6481}, abs=1e-4)


def test_template(capsys: pytest.CaptureFixture[str]) -> None:
    found = answer(capsys, "template", "--shoulders", "412")
    assert found == {"angle_deg": 60.0, "spacing_mm": 412.0, "tape_mm": [412.0, 412.0, 412.0]}


def test_every_question_has_a_sample() -> None:
    assert set(SAMPLE) == {q.name for q in QUESTIONS}


@pytest.mark.parametrize("name", SAMPLE)
def test_every_question_answers_in_json_words_and_pictures(
    name: str, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    words = ["shot", name, *SAMPLE[name].split()]
    found = answer(capsys, *words)
    assert found
    assert all(not isinstance(v, float) or math.isfinite(v) for v in found.values())
    assert ask(*words, "--svg", str(tmp_path / "x.svg"), "--pdf", str(tmp_path / "x.pdf")) == 0
    printed = capsys.readouterr().out.splitlines()
    assert len(printed) > 5
    assert max(map(len, printed)) <= 80
    assert (tmp_path / "x.svg").read_text(encoding="utf-8").startswith("<?xml")
    assert (tmp_path / "x.pdf").read_bytes().startswith(b"%PDF")


@pytest.mark.parametrize(
    ("words", "named"),
    [
        ("shot contact --fraction 1.4", "ball fraction"),
        ("shot contact --fraction half", "--fraction"),
        ("shot contact --fraction nan", "ball fraction"),
        ("shot pot --distance -5 --spread 1", "distance to the pocket"),
        ("shot pot --distance 5furlong --spread 1", "unknown unit 'furlong'"),
        ("shot pot --distance 1000 --spread 1 --opening 40", "pocket opening"),
        ("shot pot --distance 1000 --spread 1 --cue-distance 20", "overlap"),
        ("shot pot --distance 1000 --spread 1 --angle 95", "cut angle"),
        ("shot roll --speed -1", "speed"),
        ("shot roll", "roll"),
        ("shot slide --speed 2 --cloth velvet", "cloth"),
        ("shot spread --hits 11 --of 10 --distance 900", "results"),
        ("shot spread --hits 1.5 --of 10 --distance 900", "whole number"),
        ("shot play --white 1200,9999 --ball blue --pocket middle_left --speed 2", "off the table"),
        ("shot play --white 889,1790 --ball blue --pocket middle_left --speed 2", "overlaps"),
        ("shot play --white here --ball blue --pocket middle_left --speed 2", "not X,Y"),
        ("template --shoulders 40", "shoulder breadth"),
        ("template", "--shoulders"),
    ],
)
def test_impossible_inputs_are_refused_by_name_with_a_hint(words: str, named: str) -> None:
    with pytest.raises(BadInput) as caught:
        ask(*words.split())
    assert named in caught.value.message
    assert caught.value.hint


def test_units_of_the_trade_are_understood(capsys: pytest.CaptureFixture[str]) -> None:
    feet = answer(capsys, *["shot", "roll", "--distance", "12ft"])
    metres = answer(capsys, *["shot", "roll", "--distance", "3.6576m"])
    assert feet == metres


def test_shoulders_from_height_are_said_to_be_an_estimate(capsys: pytest.CaptureFixture[str]) -> None:
    assert ask("template", "--height", "1750", "--table", "men") == 0
    assert "estimated from height: 415 mm, give or take 16 mm" in capsys.readouterr().out


def test_building_the_parser_loads_nothing_heavy() -> None:
    code = (
        "import sys, argparse; from journal.cli import shot, template; "
        "p = argparse.ArgumentParser().add_subparsers(); shot.add(p); template.add(p); "
        "print([m for m in sys.modules if m.split('.')[0] in ('reportlab', 'numpy', 'knowledge')])"
    )
    out = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True, cwd=Path.cwd()
    ).stdout
    assert out.strip() == "[]"
