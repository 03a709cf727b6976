"""The first screen's words: a match reads as a match, and nothing contradicts what stands above it."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

from journal.players import PlayerId
from journal.records import ItemKind, PlanItem, RecordId
from journal.today import Today
from journal.ui.screens.today_page import page
from knowledge.rulebase import RuleBase

TODAY, SATURDAY = date(2026, 11, 25), date(2026, 11, 28)
NOTHING = Today(TODAY, 0, None, None, (), (), (), 0, has_draft=False, pain=None)


def item(day: date, kind: ItemKind, ref: str, minutes: float, why: str, start: int = 19 * 60) -> PlanItem:
    return PlanItem(
        PlayerId("p"), RecordId(ref), RecordId("plan"), day, start, minutes, kind, ref, why, uid=ref
    )


def read(found: Today, rules: RuleBase) -> str:
    return " ".join(" ".join(line.plain for line in page(found, rules, 80)).split())


def test_the_next_thing_being_a_match_is_said_plainly(rules: RuleBase) -> None:
    match = item(SATURDAY, ItemKind.MATCH, "m", 0.0, "Match")
    said = read(replace(NOTHING, next_items=(match,)), rules)
    assert "Match Sat 28 Nov at 19:00" in said
    assert "0 min" not in said
    assert "Next" not in said
    named = read(replace(NOTHING, next_items=(replace(match, why="Cup final"),)), rules)
    assert "Match Sat 28 Nov at 19:00 · Cup final" in named


def test_practice_on_the_day_of_a_match_is_listed_below_it(rules: RuleBase) -> None:
    match = item(TODAY, ItemKind.MATCH, "m", 0.0, "Match")
    drill = item(TODAY, ItemKind.DRILL, "drill.freeze_finish", 10.0, "why not", 600)
    said = read(replace(NOTHING, due=(drill, match)), rules)
    assert "Match today at 19:00 Due today 10 min · p begins 1 " in said


def test_with_nothing_ahead_the_plan_is_named(rules: RuleBase) -> None:
    assert "nothing is planned: l makes a plan" in read(NOTHING, rules)


def test_a_first_note_that_waits_is_not_begun_a_second_time(rules: RuleBase) -> None:
    said = read(replace(NOTHING, has_draft=True), rules)
    assert "An unfinished note is waiting" in said
    assert "nothing yet" not in said
    assert "begins your first note" in read(NOTHING, rules)
    later = read(replace(NOTHING, has_draft=True, notes=3), rules)
    assert "nothing for next time yet" in later
