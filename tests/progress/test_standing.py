"""How the one change goes: which days decide, when, and what is said."""

from __future__ import annotations

import json
from datetime import date, timedelta

import pytest

from journal import practice
from journal.cli.main import entry
from journal.desk import Desk
from journal.players import add_player
from journal.progress.standing import Standing, standing
from journal.records import Change, ChangeStatus, ItemKind, Note, Player, Polarity, Sighting, SightingStatus
from journal.store.work import UnitOfWork, new_id
from knowledge.rulebase import RuleBase
from tests.monday import NOW

TODAY = NOW.date()
START = TODAY - timedelta(days=20)
EASY, HARD, FAULT = "drill.freeze_finish", "drill.bottle_neck", "head.lifts"


def begin(work: UnitOfWork, player: Player, *drills: str, stop: date = TODAY, **more: object) -> Change:
    return work.changes.add(
        Change(player.id, new_id(), FAULT, "cause.looks_up_early", "Eyes on the pocket", drills, None, "count",
               START, stop, **more)  # type: ignore[arg-type]
    )  # fmt: skip


def score(work: UnitOfWork, player: Player, ref: str, day: date, hits: int, tries: int = 20) -> None:
    kind = ItemKind.RECHECK if ref == FAULT else ItemKind.DRILL
    practice.record(work, player, ref, kind, hits, tries, now=NOW, today=day)


def scores(work: UnitOfWork, player: Player, ref: str, before: list[int], after: list[int]) -> None:
    for n, hits in enumerate(before):
        score(work, player, ref, START - timedelta(days=len(before) - n), hits)
    for n, hits in enumerate(after):
        score(work, player, ref, START + timedelta(days=n), hits)


def note(work: UnitOfWork, player: Player, day: date, count: int) -> None:
    when = NOW - timedelta(days=(TODAY - day).days)
    made = work.notes.add(Note(player.id, new_id(), when, day, NOW, went_wrong="x"))
    if count:
        work.sightings.add(
            Sighting(player.id, new_id(), made.id, day, FAULT, Polarity.PRESENT, count,
                     status=SightingStatus.CONFIRMED)
        )  # fmt: skip


def look(work: UnitOfWork, rules: RuleBase, change: Change, today: date = TODAY) -> Standing:
    return standing(work, rules, change, today=today)


@pytest.mark.parametrize(
    ("before", "after", "words"),
    [
        ([], [], "Too few days"),
        ([6], [16, 17], "Too few days"),
        ([6, 7, 5, 6], [16, 17, 15, 16, 18, 16], "It helped"),
        ([16, 17, 15, 16], [6, 7, 5, 6, 5, 6], "It got worse"),
        ([9, 11, 10, 8], [10, 9, 11, 10, 9, 10], "Cannot tell yet"),
    ],
)
def test_a_change_is_told_with_its_figures(
    work: UnitOfWork, player: Player, rules: RuleBase, before: list[int], after: list[int], words: str
) -> None:
    scores(work, player, EASY, before, after)
    how = look(work, rules, begin(work, player, EASY))
    assert words in how.words
    assert (how.day, how.days, how.due) == (21, 21, True)
    if before:
        assert (
            f"{sum(after)} of {20 * len(after)} since, {sum(before)} of {20 * len(before)} before"
            in how.words
        )


def test_a_harder_drill_that_came_later_spoils_no_comparison(
    work: UnitOfWork, player: Player, rules: RuleBase
) -> None:
    scores(work, player, EASY, [15, 16, 15, 16], [15, 16, 15, 16])
    scores(work, player, HARD, [], [4, 5, 4, 5, 4])
    how = look(work, rules, begin(work, player, EASY, HARD))
    assert how.verdict.helped is None
    assert how.evidence.what == rules.drills[EASY].name


def test_without_scores_from_before_the_notes_decide(
    work: UnitOfWork, player: Player, rules: RuleBase
) -> None:
    scores(work, player, EASY, [], [10, 10, 10, 10])
    for n in range(14):
        day = START + timedelta(days=n - 5)
        note(work, player, day, 6 if n < 5 else 1)
    how = look(work, rules, begin(work, player, EASY))
    assert how.evidence.unit == "session"
    assert "9 times in 9 sessions since, 30 times in 5 sessions before" in how.words
    assert how.verdict.helped is True


def test_what_was_played_before_the_change_began_that_day_counts_as_before(
    work: UnitOfWork, player: Player, rules: RuleBase
) -> None:
    """A note written, then a change begun, then another note: one day on both sides of the change."""
    begun = NOW - timedelta(days=20) + timedelta(hours=2)
    for hours, count in ((-2, 6), (1, 1)):
        when = begun + timedelta(hours=hours)
        made = work.notes.add(Note(player.id, new_id(), when, START, when, went_wrong="x"))
        work.sightings.add(
            Sighting(player.id, new_id(), made.id, START, FAULT, Polarity.PRESENT, count,
                     status=SightingStatus.CONFIRMED)
        )  # fmt: skip
    how = look(work, rules, begin(work, player, started_at=begun))
    assert "1 time in 1 session since, 6 times in 1 session before" in how.words
    unknown = begin(work, player)
    assert "7 times in 2 sessions since, no notes before" in look(work, rules, unknown).words


def test_a_score_from_before_the_change_began_that_day_counts_as_before(
    work: UnitOfWork, player: Player, rules: RuleBase
) -> None:
    begun = NOW - timedelta(days=20) + timedelta(hours=2)
    for hours, hits in ((-1, 5), (0, 17), (1, 18)):
        when = begun + timedelta(hours=hours)
        practice.record(work, player, EASY, ItemKind.DRILL, hits, 20, now=when, today=START)
    how = look(work, rules, begin(work, player, EASY, started_at=begun))
    assert "35 of 40 since, 5 of 20 before" in how.words


def test_rechecks_of_the_fault_can_decide(work: UnitOfWork, player: Player, rules: RuleBase) -> None:
    scores(work, player, FAULT, [5, 6, 5, 6], [18, 19, 18, 19, 18])
    how = look(work, rules, begin(work, player, EASY))
    assert how.words.startswith("re-check, ")
    assert how.verdict.helped is True


def test_the_stop_date_closes_the_look_and_an_extension_opens_the_second(
    work: UnitOfWork, player: Player, rules: RuleBase
) -> None:
    scores(work, player, EASY, [6, 7, 5, 6], [16, 17, 15, 16, 18, 16])
    stop = START + timedelta(days=4)
    early = look(work, rules, begin(work, player, EASY, stop=stop), stop - timedelta(days=1))
    assert (early.due, early.verdict.status) == (False, ChangeStatus.RUNNING)
    later = look(work, rules, early.change, TODAY)
    assert later.words == look(work, rules, early.change, stop).words
    assert "82 of 100 since" in later.words, "the sixth day after lies behind the stop date"
    extended = begin(work, player, EASY, stop=TODAY, status=ChangeStatus.EXTENDED)
    assert "98 of 120 since" in look(work, rules, extended).words


def test_the_command_shows_the_same_and_keeps_it_with_the_end(
    desk: Desk, rules: RuleBase, capsys: pytest.CaptureFixture[str]
) -> None:
    today = date.today()  # the command has the real clock
    with desk.store.work() as work:
        player = add_player(work, "Odalys", now=NOW)
        change = begin(work, player, EASY, stop=today)
        scores(work, player, EASY, [6, 7, 5, 6], [16, 17, 15, 16, 18, 16])
        how = look(work, rules, change, today)
        work.commit()
    place = ["--journal", desk.store.place]
    assert entry([*place, "change", player.name]) == 0
    out = capsys.readouterr().out
    assert how.words in out
    assert "The figures propose: kept." in out
    entry([*place, "change", player.name, "--json"])
    got = json.loads(capsys.readouterr().out)["standing"]
    assert (got["before"], got["now"], got["helped"], got["proposal"]) == ([24, 80], [98, 120], True, "kept")
    assert entry([*place, "progress", player.name]) == 0
    assert how.words in capsys.readouterr().out
    entry([*place, "change", player.name, "end", "kept", "--json"])
    assert json.loads(capsys.readouterr().out)["ended"]["verdict"] == how.words
