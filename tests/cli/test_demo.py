"""The demo takes the real path from an invented club's notes to plans on paper."""

from __future__ import annotations

import sqlite3
import time

from journal.cli.main import entry


def test_the_demo_does_the_whole_job_and_leaves_its_papers(tmp_path, capfd):
    began = time.monotonic()
    assert entry(["demo", "--into", str(tmp_path / "club")]) == 0
    out = capfd.readouterr().out
    left = {path.name for path in (tmp_path / "club").iterdir()}
    assert {"journal.db", "plan-tamsin.ics", "plan-tamsin.pdf"} <= left
    with sqlite3.connect(tmp_path / "club" / "journal.db") as raw:
        assert raw.execute("select count(*) from players").fetchone() == (3,)
        assert raw.execute("select count(*) from notes where origin = 'spoken'").fetchone() == (1,)
        assert raw.execute("select count(*) from plan_items").fetchone()[0] > 10
    for said in (
        "Heard a spoken note",
        "causes, likeliest first",
        "one change until",
        "day 1 of 21",
        "Not judged before the stop date",
        "drill:",
        "plan:",
        "physician or physiotherapist",
    ):
        assert said in out
    assert time.monotonic() - began < 240  # a guard against hanging; the speed itself is benched


def test_the_demo_does_not_write_over_a_journal(tmp_path, capfd):
    (tmp_path / "journal.db").write_text("mine")
    assert entry(["demo", "--into", str(tmp_path)]) == 1
    assert (tmp_path / "journal.db").read_text() == "mine"
    assert "holds a journal already" in capfd.readouterr().err
