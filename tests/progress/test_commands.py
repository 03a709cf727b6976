"""The commands practise and progress, run as a person runs them."""

from __future__ import annotations

import io
import json
from collections.abc import Callable
from pathlib import Path
from xml.etree import ElementTree

import pytest

from journal.cli.main import entry
from journal.desk import Desk
from journal.players import add_player

Run = Callable[..., tuple[int, str, str]]


@pytest.fixture
def run(tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> Run:
    """Runs a command on a journal with two players; ``keys`` is typed in."""
    place = str(tmp_path / "j.db")
    desk = Desk(place)
    with desk.store.work() as work:
        for name in ("Odalys", "Benno"):
            add_player(work, name, now=desk.now())
        work.commit()
    desk.close()

    def command(*argv: str, keys: str = "") -> tuple[int, str, str]:
        monkeypatch.setattr("sys.stdin", io.StringIO(keys))
        status = entry(["--journal", place, *argv])
        said = capsys.readouterr()
        return status, said.out, said.err

    return command


def test_a_score_in_one_line_shows_its_spread(run: Run) -> None:
    status, out, _ = run("practise", "Odalys", "freeze_finish", "15/20")
    assert status == 0
    assert "15 of 20" in out
    assert "53 to 89 %" in out  # Wilson, 95 %: 0.5313 to 0.8881 (statsmodels proportion_confint)
    assert "best so far 15 of 20" in run("practise", "Odalys", "freeze_finish", "9/20")[1]


def test_json_of_a_score(run: Run) -> None:
    got = json.loads(
        run("practise", "Odalys", "head.lifts", "9/10", "--json", "--tired", "2", "--table", "two")[1]
    )
    assert (got["ref"], got["kind"], got["hits"], got["tries"], got["open"]) == (
        "head.lifts",
        "recheck",
        9,
        10,
        False,
    )


def test_counting_goes_on_where_it_stopped(run: Run) -> None:
    _, out, _ = run("practise", "Odalys", "long_pot_ladder", "--count", keys="h\nh\nx\nm\nu\n")
    assert "2 of 2  rung 2" in out
    assert "'x' is no key" in out
    assert "not finished" in out
    _, out, _ = run("practise", "Odalys", "long_pot_ladder", "--count", keys="h\nq\n")
    assert out.startswith("going on at 2 of 2\n3 of 3")
    assert json.loads(run("progress", "Odalys", "--json")[1])["ladder"]["tries"] == 3


def test_two_players_side_by_side(run: Run) -> None:
    run("practise", "Odalys", "bottle_neck", "5/10")
    run("practise", "Benno", "bottle_neck", "7/10")
    out = run("progress", "Odalys", "--drill", "bottle_neck", "--against", "Benno")[1]
    assert "cannot tell yet: about" in out
    got = json.loads(run("progress", "Odalys", "--drill", "bottle_neck", "--against", "Benno", "--json")[1])
    assert got["told"] is None
    assert 0.7 < got["chance_second_better"] < 0.9


def test_two_techniques_compared(run: Run) -> None:
    assert "is better" in run("progress", "--two", "20/100", "60/100")[1]
    assert json.loads(run("progress", "--two", "5/10", "7/10", "--json")[1])["told"] is None


def test_the_page_and_its_files(run: Run, tmp_path: Path) -> None:
    for score in ("5/20", "12/20"):
        run("practise", "Odalys", "freeze_finish", score)
    out = run("progress", "Odalys", "--pdf", str(tmp_path / "p.pdf"))[1]
    assert "├" in out
    assert (tmp_path / "p.pdf").read_bytes().startswith(b"%PDF")
    run("progress", "Odalys", "--drill", "freeze_finish", "--svg", str(tmp_path / "p.svg"))
    assert "<svg" in (tmp_path / "p.svg").read_text()
    for number, view in enumerate(([], ["--by", "time"], ["--month", "2026-05"])):
        path = tmp_path / f"{number}.svg"
        shown = run("progress", "Odalys", *view, "--svg", str(path))[1]
        told = ElementTree.parse(path).getroot()[1].text or ""
        assert shown.splitlines()[-1] in told, "the description says what the terminal says"
    assert "Mon" in run("progress", "Odalys", "--month", "2026-05")[1]
    assert "17/40" in run("progress", "Odalys", "--by", "time")[1]


@pytest.mark.parametrize(
    ("argv", "words"),
    [
        (["practise", "Odalys", "freeze_finish"], "a score or --count"),
        (["practise", "Odalys", "freeze_finish", "21/20"], "cannot be"),
        (["practise", "Odalys", "freeze_finish", "seven"], "no score"),
        (["practise", "Odalys", "freze", "7/10"], "Did you mean"),
        (["practise", "Odalys", "freeze_finish", "7/10", "--minutes", "-3"], "minutes cannot be"),
        (["practise", "Nobody", "freeze_finish", "7/10"], "no player"),
        (["progress", "Odalys", "--fault", "head.nothing"], "no fault"),
        (["progress", "Odalys", "--month", "May"], "no month"),
        (["progress", "Odalys", "--against", "Benno"], "needs a drill"),
    ],
)
def test_each_slip_has_a_message_and_no_traceback(run: Run, argv: list[str], words: str) -> None:
    status, _, err = run(*argv)
    assert status == 1
    assert words in err
    assert "Traceback" not in err


def test_an_empty_journal_says_what_to_do(run: Run) -> None:
    assert "write a note or store a score" in run("progress", "Odalys")[1]
