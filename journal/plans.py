"""Build a dated plan, store it, keep it through missed days, and tell what is on today."""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime

from journal.errors import BadInput
from journal.planning.builder import build
from journal.planning.gather import Known, known_of, open_change, request_for
from journal.planning.layout import DAY_OFF, Placed, lay_out
from journal.planning.request import Habits, Request, Wish
from journal.planning.slots import Slot
from journal.prescription import PAIN_CAUTION, strongest_fault
from journal.records import Change, ItemKind, ItemStatus, Match, Plan, PlanItem, Player
from journal.store.work import UnitOfWork, new_id
from knowledge.rulebase import RuleBase

MOST_DAYS = 120


@dataclass(frozen=True, slots=True)
class MadePlan:
    """A stored plan with what a person should know about it.

    change: the running change. fault: what the plan is made around. relaxed: wishes it gave way on. caution:
    for pain.
    """

    plan: Plan
    items: tuple[PlanItem, ...]
    change: Change | None
    fault: str | None
    relaxed: tuple[str, ...] = ()
    caution: str | None = None
    stayed: int = 0


def make_plan(
    player: Player,
    *,
    work: UnitOfWork,
    rules: RuleBase,
    now: datetime,
    today: date,
    days: int = 28,
    wishes: Sequence[Wish] = (),
    habits: Habits | None = None,
    relax: bool = False,
    fresh: bool = False,
) -> MadePlan:
    """Build and store a plan from today on; what an earlier plan had stays where it can.

    fresh: forget the earlier plan instead. relax: give way on wishes rather than refuse.
    Raises: BadInput, NoPlan.
    """
    if not 1 <= days <= MOST_DAYS:
        raise BadInput(f"{days} days cannot be planned", f"Ask for 1 to {MOST_DAYS} days.")
    old = _close_past(work, player, today)
    known = known_of(work, player)
    known = replace(known, used=_used(player, known, old))
    request = request_for(known, rules, now=now, today=today, days=days, wishes=wishes, habits=habits)
    if not fresh:
        request = replace(request, kept=_kept(player, request, old))
    draft = build(request, relax=relax)
    change = open_change(known.changes)
    settings = {"time_zone": player.time_zone, "relaxed": list(draft.relaxed), "worth": round(draft.worth, 4)}
    plan = Plan(
        player.id, new_id(), now, today, days, change.id if change else None, round(draft.gap, 6), settings
    )
    placed = lay_out(request, draft)
    items = [*_items(player, plan, placed), *_match_items(player, plan, known.matches, request)]
    _store(work, plan, items, old)
    return _made(plan, work, player, known, today, len(request.kept))


def current_plan(work: UnitOfWork, player: Player, today: date) -> MadePlan | None:
    """The plan as it is stored, or None."""
    plans = work.plans.all(order="-made_at", player_id=player.id)
    return _made(plans[0], work, player, known_of(work, player), today) if plans else None


def items_on(work: UnitOfWork, player: Player, day: date) -> list[PlanItem]:
    """What is planned on a day, in order, whatever became of it."""
    items = work.plan_items.all(order="start_minute", player_id=player.id, day=day)
    return [item for item in items if item.status is not ItemStatus.CANCELLED]


def mark(work: UnitOfWork, item: PlanItem, status: ItemStatus) -> PlanItem:
    """Note what became of an item."""
    return work.plan_items.put(replace(item, status=status))


def why_today(item: PlanItem, rules: RuleBase) -> str:
    """The answer to "why this today?", with the name of what it is about."""
    entry = rules.drills.get(item.ref) or rules.faults.get(item.ref)
    return (
        f"{entry.name}: {item.why}" if entry is not None and not item.why.startswith(entry.name) else item.why
    )


def slot_uid(player: Player, day: date, start: int) -> str:
    """The calendar id of a slot: the same for the same player, day and start in every plan."""
    return hashlib.sha256(f"{player.id}|{day.isoformat()}|{start}".encode()).hexdigest()[:24] + "@plainball"


def _made(
    plan: Plan, work: UnitOfWork, player: Player, known: Known, today: date, stayed: int = 0
) -> MadePlan:
    items = work.plan_items.all(player_id=player.id, plan_id=plan.id)
    live = [item for item in items if item.status is not ItemStatus.CANCELLED]
    live += _from_before(work, player, plan, {item.uid for item in live})
    change = open_change(known.changes)
    fault = change.fault if change else strongest_fault(known.sightings, today)
    caution = PAIN_CAUTION if known.pain is not None else None
    ordered = tuple(
        sorted(live, key=lambda item: (item.day, item.start_minute, item.kind is not ItemKind.MATCH))
    )
    return MadePlan(plan, ordered, change, fault, tuple(plan.settings.get("relaxed", ())), caution, stayed)


def _from_before(work: UnitOfWork, player: Player, plan: Plan, taken: set[str]) -> list[PlanItem]:
    """What was ticked off in an earlier plan on this plan's days: planning anew takes no done thing away.

    taken: calendar entries of this plan; it has its own match or warm-up there.
    An open item of an earlier plan can only be one whose tick was taken back since.
    """
    kept = [ItemStatus.DONE, ItemStatus.OPEN]
    return [
        item
        for item in work.plan_items.all(player_id=player.id, status=kept)
        if item.plan_id != plan.id
        and item.day >= plan.first_day
        and item.ref != DAY_OFF
        and (item.kind in (ItemKind.DRILL, ItemKind.RECHECK) or item.uid not in taken)
    ]


def _close_past(work: UnitOfWork, player: Player, today: date) -> list[PlanItem]:
    """Mark what went by as missed, without reproach, and return every item that is left of earlier plans."""
    items = []
    for item in work.plan_items.all(player_id=player.id):
        past = item.status is ItemStatus.OPEN and item.day < today
        gone = ItemStatus.DONE if item.kind in (ItemKind.MATCH, ItemKind.REST) else ItemStatus.MISSED
        items.append(mark(work, item, gone) if past else item)
    return items


def _used(player: Player, known: Known, old: Sequence[PlanItem]) -> frozenset[tuple[date, int]]:
    """Slots in which something was done already."""
    done = {
        item.uid: item.day
        for item in old
        if item.status is ItemStatus.DONE and item.kind is not ItemKind.REST
    }
    return frozenset(
        (day, each.start_minute)
        for day in set(done.values())
        for each in known.free
        if slot_uid(player, day, each.start_minute) in done
    )


def _kept(player: Player, request: Request, old: Sequence[PlanItem]) -> frozenset[tuple[date, int, str]]:
    by_uid = {slot_uid(player, slot.day, slot.start): slot for slot in request.slots}
    found: set[tuple[date, int, str]] = set()
    for item in old:
        slot: Slot | None = by_uid.get(item.uid)
        if (
            slot is not None
            and item.status is ItemStatus.OPEN
            and item.kind in (ItemKind.DRILL, ItemKind.RECHECK)
        ):
            found.add((slot.day, slot.start, item.ref))
    return frozenset(found)


def _items(player: Player, plan: Plan, placed: Sequence[Placed]) -> list[PlanItem]:
    return [
        PlanItem(
            player.id,
            new_id(),
            plan.id,
            each.day,
            each.start,
            float(each.minutes),
            each.kind,
            each.ref,
            each.why,
            slot_uid(player, each.day, each.slot),
        )
        for each in placed
    ]


def _match_items(player: Player, plan: Plan, matches: Sequence[Match], request: Request) -> list[PlanItem]:
    days = {freeze.day for freeze in request.matches}
    last = plan.first_day.toordinal() + plan.days
    return [
        PlanItem(
            player.id,
            new_id(),
            plan.id,
            match.day,
            match.start_minute,
            0.0,
            ItemKind.MATCH,
            match.id,
            match.name or "Match",
            f"match-{match.id}@plainball",
        )
        for match in matches
        if match.day in days and not match.blocks_only and match.day.toordinal() < last
    ]


def _content(items: Sequence[PlanItem]) -> tuple[tuple[object, ...], ...]:
    return tuple(
        sorted(
            (i.day, i.start_minute, i.minutes, str(i.kind), i.ref, i.why) for i in items if i.ref != DAY_OFF
        )
    )


def _store(work: UnitOfWork, plan: Plan, items: list[PlanItem], old: Sequence[PlanItem]) -> None:
    """Put the new plan in the old one's place. A calendar entry whose content changed gets the next sequence
    number; one that went stays as cancelled, so that calendars can take it out.
    """
    zones = {each.id: each.settings.get("time_zone") for each in work.plans.all(player_id=plan.player_id)}
    work.plans.add(plan)
    groups: dict[str, list[PlanItem]] = {}
    for item in items:
        groups.setdefault(item.uid, []).append(item)
    before: dict[str, list[PlanItem]] = {}
    for item in old:
        if item.day >= plan.first_day:
            before.setdefault(item.uid, []).append(item)
    for uid, group in groups.items():
        was = [item for item in before.get(uid, ()) if item.status is ItemStatus.OPEN]
        top = max((item.sequence for item in before.get(uid, ())), default=-1)
        same = (
            bool(was)
            and _content(was) == _content(group)
            and zones.get(was[0].plan_id) == plan.settings["time_zone"]
        )
        sequence = top if same else top + 1
        for item in group:
            work.plan_items.add(replace(item, sequence=sequence))
    for uid, was in before.items():
        _retire(work, was, taken=uid in groups)


def _retire(work: UnitOfWork, was: Sequence[PlanItem], *, taken: bool) -> None:
    """Old items of one calendar entry: gone when a new plan has the entry, else cancelled; what was done
    stays.
    """
    done = any(item.status in (ItemStatus.DONE, ItemStatus.MISSED) for item in was)
    for item in was:
        if (item.status is ItemStatus.CANCELLED and taken) or (
            item.status is ItemStatus.OPEN and (taken or done or item.ref == DAY_OFF)
        ):
            work.plan_items.remove(player_id=item.player_id, id=item.id)
        elif item.status is ItemStatus.OPEN:
            work.plan_items.put(replace(item, status=ItemStatus.CANCELLED, sequence=item.sequence + 1))
