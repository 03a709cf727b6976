"""The commands plan, free and match, run as a person runs them."""

from __future__ import annotations

import json
from collections.abc import Callable
from datetime import date, datetime, timedelta
from pathlib import Path

import pytest
from icalendar import Calendar

from journal.cli.main import entry
from journal.desk import Desk
from journal.players import add_player
from journal.records import Polarity, Sighting, SightingStatus
from journal.store.work import new_id

Run = Callable[..., tuple[int, str, str]]


@pytest.fixture
def run(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> Run:
    """Runs a command on a journal with one player; gives (status, output, errors)."""
    place = str(tmp_path / "j.db")
    desk = Desk(place)
    with desk.store.work() as work:
        player = add_player(work, "Odalys", now=desk.now(), time_zone="Europe/Paris")
        day = desk.today(player) - timedelta(days=3)
        work.sightings.add(
            Sighting(
                player.id,
                new_id(),
                None,
                day,
                "head.lifts",
                Polarity.PRESENT,
                status=SightingStatus.CONFIRMED,
            )
        )
        work.commit()
    desk.close()

    def command(*argv: str) -> tuple[int, str, str]:
        status = entry(["--journal", place, *argv])
        said = capsys.readouterr()
        return status, said.out, said.err

    return command


def test_free_says_back_what_it_stored(run: Run) -> None:
    status, out, _ = run("free", "Odalys", "Tue", "and", "Thu", "19:00,", "45", "min")
    assert (status, out) == (0, "noted: free every Tue Thu, 19:00 to 19:45 (45 min)\n")
    assert "free every Tue Thu" in run("free", "Odalys")[1]
    assert json.loads(run("free", "Odalys", "--json")[1])["free"] == [
        "free every Tue Thu, 19:00 to 19:45 (45 min)"
    ]
    assert run("free", "Odalys", "--remove", "1")[0] == 0
    assert "Nothing is known" in run("free", "Odalys")[1]


def test_a_match_is_stored_once_and_can_be_taken_out(run: Run) -> None:
    day = (date.today() + timedelta(days=20)).isoformat()
    for _ in range(2):
        assert run("match", "Odalys", day, "19:30", "--name", "League, home")[0] == 0
    assert json.loads(run("match", "Odalys", "--json")[1])["matches"][0].endswith("19:30: League, home")
    assert run("match", "Odalys")[1].count("League") == 1
    run("match", "Odalys", "--remove", "1")
    assert "No match" in run("match", "Odalys")[1]


def test_plan_json_has_the_promised_shape(run: Run) -> None:
    run("free", "Odalys", "every day 19:00, 45 min, match in the evening on Saturday")
    status, out, _ = run("plan", "Odalys", "--json", "--days", "14")
    made = json.loads(out)
    assert status == 0
    assert made["change"] is None
    assert 0 <= made["gap"] <= 0.02
    assert {item["kind"] for item in made["items"]} <= {"drill", "recheck", "match", "rest"}
    assert any(item["kind"] == "drill" for item in made["items"])
    for item in made["items"]:
        assert {"day", "start", "kind", "id", "minutes", "why"} <= set(item)
        date.fromisoformat(item["day"])
        datetime.strptime(item["start"], "%H:%M")
    assert json.loads(run("plan", "Odalys", "--show", "--json")[1]) == made


def test_plan_writes_calendar_and_page(run: Run, tmp_path: Path) -> None:
    run("free", "Odalys", "every day 19:00, 45 min")
    ics, pdf = tmp_path / "p.ics", tmp_path / "p.pdf"
    assert run("plan", "Odalys", "--ics", str(ics), "--pdf", str(pdf))[0] == 0
    events = list(Calendar.from_ical(ics.read_bytes()).walk("VEVENT"))
    assert len(events) >= 15
    assert len({str(event["uid"]) for event in events}) == len(events)
    assert pdf.read_bytes().startswith(b"%PDF")
    run("free", "Odalys", "--remove", "all")
    run("free", "Odalys", "every day 20:00, 45 min")
    run("plan", "Odalys", "--ics", str(ics))
    states = [str(event["status"]) for event in Calendar.from_ical(ics.read_bytes()).walk("VEVENT")]
    assert states.count("CANCELLED") == len(events)


def test_work_from_a_calendar_takes_time_away_and_reading_twice_changes_nothing(
    run: Run, tmp_path: Path
) -> None:
    run("free", "Odalys", "every day 19:00, 45 min")
    day = date.today() + timedelta(days=2)
    ics = tmp_path / "work.ics"
    ics.write_text(
        "BEGIN:VCALENDAR\r\nVERSION:2.0\r\nPRODID:-//a//b//EN\r\nBEGIN:VEVENT\r\nUID:w\r\n"
        "DTSTAMP:20260101T000000Z\r\nSUMMARY:Late shift\r\n"
        f"DTSTART;VALUE=DATE:{day:%Y%m%d}\r\nRRULE:FREQ=DAILY;COUNT=3\r\nEND:VEVENT\r\nEND:VCALENDAR\r\n"
    )
    for _ in range(2):
        assert "busy: Late shift" in run("free", "Odalys", "--from-ics", str(ics))[1]
        assert run("free", "Odalys")[1].count("busy") == 1
    days = {item["day"] for item in json.loads(run("plan", "Odalys", "--json")[1])["items"]}
    assert not days & {(day + timedelta(days=n)).isoformat() for n in range(3)}
    run("free", "Odalys", "--remove", "2")
    assert "busy" not in run("free", "Odalys")[1]
    run("free", "Odalys", "--from-ics", str(ics))
    run("free", "Odalys", "--remove", "all")
    assert not {"busy", "every"} & set(run("free", "Odalys")[1].split())


@pytest.mark.parametrize(
    ("argv", "words"),
    [
        (["plan", "Odalys"], "no free time"),
        (["plan", "Odalys", "--show"], "has no plan yet"),
        (["plan", "Odalys", "--days", "0"], "cannot be planned"),
        (["plan", "Odalys", "--at-least", "change"], "not understood"),
        (["plan", "Odaly"], "Did you mean Odalys?"),
        (["free", "Odalys", "whenever"], "no free time"),
        (["free", "Odalys", "--remove", "7"], "no free time number 7"),
        (["free", "Odalys", "--from-ics", "none.ics"], "cannot be read"),
        (["match", "Odalys", "someday"], "no"),
        (["match", "Odalys", "--remove", "3"], "no match number 3"),
    ],
)
def test_each_slip_has_a_message_and_no_traceback(run: Run, argv: list[str], words: str) -> None:
    status, _, err = run(*argv)
    assert status == 1
    assert words in err
    assert "Traceback" not in err


def test_a_wish_that_cannot_be_met_names_itself_and_can_give_way(run: Run) -> None:
    run("free", "Odalys", "Tuesdays 19:00, 30 min")
    status, _, err = run("plan", "Odalys", "--at-least", "change=40")
    assert status == 1
    assert "Relax: the change's drills at least 40 times" in err
    assert "Gave way on" in run("plan", "Odalys", "--at-least", "change=40", "--relax")[1]
