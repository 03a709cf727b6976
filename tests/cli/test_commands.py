"""The commands as a person or another program meets them: results, JSON, and errors without a traceback."""

from __future__ import annotations

import json
import re
from datetime import datetime, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

from journal.cli.main import build_parser

README = Path(__file__).parents[2] / "README.md"


def every_command(only: str | None = None) -> dict[str, object]:
    """Command words to parser, sub-commands included."""
    found: dict[str, object] = {}

    def walk(words: str, parser: object) -> None:
        for action in parser._actions:  # type: ignore[attr-defined]  # argparse has no public list
            if hasattr(action, "choices") and isinstance(action.choices, dict):
                for name, child in action.choices.items():
                    found[f"{words} {name}".strip()] = child
                    walk(f"{words} {name}".strip(), child)

    walk("", build_parser(only))
    return found


def test_every_command_and_option_stands_in_the_readme():
    text = README.read_text(encoding="utf-8")
    missing = []
    for words, parser in every_command().items():
        if f"`{words}" not in text and f"plainball {words}" not in text:
            missing.append(words)
        for action in parser._actions:  # type: ignore[attr-defined]
            missing += [
                f"{words} {option}"
                for option in action.option_strings
                if option.startswith("--") and option != "--help" and option not in text
            ]
    assert not missing


def test_a_note_is_taken_and_shown_in_the_history(plainball):
    assert plainball("players", "add", "Ida")[0] == 0
    status, out, _ = plainball("note", "lifted my head about five times", "--json")
    note = json.loads(out)
    assert status == 0
    assert ("head.lifts", "present", 5) in {(m["fault"], m["polarity"], m["count"]) for m in note["mentions"]}
    history = json.loads(plainball("history", "Ida", "--json")[1])
    assert history["faults"][0]["fault"] == "head.lifts"
    assert "lifts the head" in plainball("history")[1]


def test_read_answers_line_by_line_in_the_same_order(plainball, tmp_path):
    lines = [
        {"id": "a", "text": "snatched at everything, 7 out of 10 reds"},
        {"id": "b", "text": "bridge about 35 cm tonight"},
        {"id": "c", "text": ""},
    ]
    path = tmp_path / "in.jsonl"
    path.write_text("\n".join(map(json.dumps, lines)) + '\nnot json\n{"id": 5}\n', encoding="utf-8")
    status, out, _ = plainball("read", "--jsonl", str(path))
    answers = [json.loads(line) for line in out.splitlines()]
    assert status == 0
    assert [answer["id"] for answer in answers] == ["a", "b", "c", None, 5]
    assert set(answers[0]) == {"id", "mentions", "scores", "measures", "cautions"}
    assert {"fault", "polarity", "count", "confidence", "start", "end"} <= set(answers[0]["mentions"][0])
    assert [(s["value"], s["of"]) for s in answers[0]["scores"]] == [(7, 10)]
    assert [(m["value"], m["unit"]) for m in answers[1]["measures"]] == [(35, "cm")]
    assert answers[2]["mentions"] == []
    assert "no JSON" in answers[3]["error"]
    assert "text" in answers[4]["error"]


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("history", "Nobody"), "no player"),
        (("note", "hello there", "--player", "Nobody"), "no player"),
        (("note",), "no words"),
        (("note", "fine", "--day", "yesterday-ish"), "no day"),
        (("note", "fine", "--day", "9999-12-31T23:59-12:00"), "no day"),
        (("note", "fine", "--day", "2999-01-02"), "is in the future: today is"),
        (("read", "/does/not/exist"), "cannot be read"),
        (("read",), "no text was named"),
        (("players", "add", "Ida", "--born", "2015"), "under 18"),
        (("players", "add", "Ida", "--hand", "18"), "hand of 18 mm"),
        (("players", "add", "Ida", "--zone", "Nowhere"), "time zone"),
    ],
)
def test_a_mistake_gets_a_message_with_a_mend_and_no_traceback(plainball, words, said):
    if words[0] not in ("players",):
        plainball("players", "add", "Ola")
    status, out, err = plainball(*words)
    assert status == 1
    assert said in err
    assert "Traceback" not in out + err
    assert len(err.splitlines()) >= 2


def test_a_day_of_play_is_today_at_the_latest_where_the_player_is(plainball):
    """Zones 25 hours apart, so that the western tomorrow is never after the eastern today."""
    west, east = ("Pacific/Pago_Pago", "Pacific/Kiritimati")
    plainball("players", "add", "Wes", "--zone", west)
    plainball("players", "add", "Esa", "--zone", east)
    there = {zone: datetime.now(ZoneInfo(zone)).date() for zone in (west, east)}
    tomorrow = str(there[west] + timedelta(days=1))
    assert plainball("note", "missed long", "--player", "Wes", "--day", tomorrow)[0] == 1
    assert plainball("note", "missed long", "--player", "Wes", "--day", str(there[west]))[0] == 0
    assert plainball("note", "missed long", "--player", "Esa", "--day", tomorrow)[0] == 0
    status, _, err = plainball("note", "x", "--player", "Esa", "--day", str(there[east] + timedelta(days=1)))
    assert status == 1
    assert "give today or an earlier day" in err


def test_what_is_for_the_coach_stands_apart_from_the_reply(plainball):
    plainball("players", "add", "Pip", "--born", "2015", "--guardian", "mother, 3 May")
    _, out, _ = plainball("ask", "Pip", "I keep lifting my head", "--json")
    answer = json.loads(out)
    assert "guardian" not in answer["draft"]
    assert "guardian" in answer["for_coach"]
    _, out, _ = plainball("ask", "Pip", "I keep lifting my head")
    reply, apart = out.rstrip().rsplit("\n\n", 1)
    assert reply == answer["draft"]
    assert apart.startswith("For the coach, not part of the reply: ")


def test_odd_texts_are_read_without_harm(plainball, tmp_path):
    path = tmp_path / "odd.txt"
    path.write_bytes(b"snatched\x00it [bold red]again[/] \xe2\x80\xae backwards \xf0\x9f\x98\x80")
    assert plainball("read", str(path), "--json")[0] == 0
    path.write_bytes(b"\xff\xfe not text")
    status, _, err = plainball("read", str(path))
    assert (status, "UTF-8" in err) == (1, True)


def test_a_journal_that_cannot_be_opened_is_named(capfd, tmp_path):
    from journal.cli.main import entry

    (tmp_path / "file").write_text("")
    status = entry(["--journal", str(tmp_path / "file" / "journal.db"), "players"])
    assert (status, "cannot be used" in capfd.readouterr().err) == (1, True)


def test_the_version_is_told(capfd):
    from importlib.metadata import PackageNotFoundError, version

    from journal.cli.main import entry

    try:
        expected = version("plainball")
    except PackageNotFoundError:
        pytest.skip("plainball is not installed here")
    assert entry(["--version"]) == 0
    assert capfd.readouterr().out.strip() == expected


def test_opening_the_screens_loads_nothing_heavy_at_first():
    import subprocess
    import sys

    code = "import sys, journal.cli.main as m; m.build_parser('open'); print([n for n in ('textual','sqlalchemy','numpy','onnxruntime','faster_whisper','whoosh','highspy','pydantic') if n in sys.modules])"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


def test_each_named_module_registers_just_the_commands_it_is_listed_with():
    from journal.cli.main import GROUPS

    for names in GROUPS.values():
        assert {words for words in every_command(names[0]) if " " not in words} == set(names)


def test_help_texts_say_what_a_command_does():
    for words, parser in every_command().items():
        assert re.search(r"\w{3}", parser.format_help()), words  # type: ignore[attr-defined]
