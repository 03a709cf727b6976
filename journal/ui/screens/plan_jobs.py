"""What the plan screen has done beside the event loop."""

from __future__ import annotations

import re
from datetime import date, datetime
from pathlib import Path

from journal.days import day_words
from journal.errors import BadInput, CannotWrite
from journal.planning.request import Wish
from journal.planning.slots import rule_on
from journal.plans import MadePlan, current_plan, make_plan
from journal.records import BusyTime, Player
from journal.store.work import UnitOfWork, new_id
from knowledge.rulebase import RuleBase

WHOLE_DAY = 24 * 60


def planned(work: UnitOfWork, rules: RuleBase, player: Player, now: datetime, today: date) -> MadePlan:
    """The plan built anew, giving way on wishes rather than refusing."""
    return make_plan(player, work=work, rules=rules, now=now, today=today, relax=True)


def leave_out(
    work: UnitOfWork, rules: RuleBase, player: Player, day: date, now: datetime, today: date
) -> MadePlan:
    """The plan built anew around a day that falls out; what was done on it stays."""
    rule = rule_on([day])
    if work.busy_times.one(player_id=player.id, rule=rule, start_minute=0, minutes=WHOLE_DAY) is None:
        work.busy_times.add(BusyTime(player.id, new_id(), rule, day, 0, WHOLE_DAY))
    return planned(work, rules, player, now, today)


def export(
    work: UnitOfWork, rules: RuleBase, player: Player, how: str, folder: Path, now: datetime, today: date
) -> Path:
    """The stored plan as "ics" or "pdf" in a folder. Raises: BadInput without a plan, CannotWrite."""
    made = current_plan(work, player, today)
    if made is None:
        raise BadInput("there is no plan yet", "m makes one.")
    path = folder / f"plan-{re.sub(r'[^A-Za-z0-9]+', '-', player.name).strip('-') or 'player'}.{how}"
    try:
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
        if how == "ics":
            from journal.planning.calendar_out import to_ics

            items = [
                item for item in work.plan_items.all(player_id=player.id) if item.day >= made.plan.first_day
            ]
            zone = made.plan.settings.get("time_zone", player.time_zone)
            path.write_bytes(
                to_ics(items, rules, zone_name=zone, now=now, name=f"Practice plan, {player.name}")
            )
    except OSError as error:
        raise CannotWrite(
            f"{path} cannot be written: {error.strerror}", "Free some space, or mend the folder's rights."
        ) from error
    if how == "pdf":
        from journal.sharing.sheets import plan_sheet

        plan_sheet(made, rules, player, path)
    return path


def with_drill(
    work: UnitOfWork, rules: RuleBase, player: Player, drill: str, now: datetime, today: date
) -> str:
    """The plan built anew with a drill twice in it; on which days, or why not, in words."""
    made = make_plan(
        player, work=work, rules=rules, now=now, today=today, wishes=[Wish(drill, 2)], relax=True
    )
    days = [day_words(item.day, today) for item in made.items if item.ref == drill]
    return "on " + ", ".join(days[:4]) if days else "; ".join(made.relaxed)
