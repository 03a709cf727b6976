"""Pain or strain that was noted and is not said to be gone: since when, and what waits for it."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date, timedelta

from journal.desk import zone_of
from journal.prescription import PAIN_CAUTION, pain_since
from journal.records import CheckResult, Player
from journal.store.work import UnitOfWork
from knowledge.rulebase import RuleBase

PAIN_DAYS = 7
"""After pain was noted nothing at the table is planned for this many days. Common practice, no source."""
HURTS = frozenset({("check.comfort_hold", "hold_hurts")})
"""(check, outcome): answers by which a player says that it hurts."""
AT_REST = frozenset(
    {
        "check.tip_look",
        "check.line_or_point",
        "check.miss_pair",
        "check.time_line",
        "check.practice_log",
        "check.change_list",
        "check.roll_cue",
    }
)
"""Checks of paper, memory or the cue alone. A check that is not named here, one of a coach's own rules too, is
taken to load the body."""
NO_CHECKS = "No checks at the table while it hurts."


def pain_noted(work: UnitOfWork, player: Player) -> date | None:
    """The last day on which a sighting or a check's answer told of pain, unless a later sighting says it is gone.

    An easy check takes no noted pain back: only words do, or the answer itself when it is taken back.
    """
    told = work.sightings.all(player_id=player.id)
    return pain_since(told, hurt_days(work.check_results.all(player_id=player.id), player))


def caution_of(work: UnitOfWork, player: Player) -> str | None:
    """The caution while pain is noted, and what waits for it."""
    if pain_noted(work, player) is None:
        return None
    return f"{PAIN_CAUTION} {NO_CHECKS}"


def hurt_days(results: Iterable[CheckResult], player: Player) -> list[date]:
    """The player's local days on which a check was answered with "it hurts"."""
    zone = zone_of(player)
    return [
        each.taken_at.astimezone(zone).date() for each in results if (each.check_id, each.outcome_id) in HURTS
    ]


def barred_checks(rules: RuleBase) -> set[str]:
    """The checks that wait while it hurts: at the table, or with the body under load."""
    return {check.id for check in rules.checks.values() if check.at_table or check.id not in AT_REST}


def table_again(pain: date) -> date:
    """The first day on which something at the table is planned again."""
    return pain + timedelta(days=PAIN_DAYS)
