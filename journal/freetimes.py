"""Free times and matches as a use case: told in words, read from a calendar, listed, removed."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path

from journal.days import clock, dated
from journal.errors import BadInput
from journal.planning.hearing import MatchWish
from journal.planning.slots import days_of, rule_on
from journal.planning.wishes import FreeWish, say_free, say_match, understand
from journal.records import BusyTime, FreeTime, Match, Player, RecordId
from journal.store.work import UnitOfWork, new_id


@dataclass(frozen=True, slots=True)
class Told:
    """What was stored, said back in full, and the words that were not understood."""

    said: tuple[str, ...] = ()
    unknown: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Listing:
    """Free times, then busy times, and matches ahead, one line each.

    often: which of ``free``, counted from 0, fall on more than one day.
    """

    free: list[str]
    matches: list[str]
    often: frozenset[int] = frozenset()


def tell(work: UnitOfWork, player: Player, words: str, *, today: date) -> Told:
    """Store the free times and matches told in plain words. Raises: BadInput when nothing was understood."""
    wishes = understand(words, today)
    for free in wishes.free:
        work.free_times.add(
            FreeTime(
                player.id,
                new_id(),
                free.rule,
                free.first_day,
                free.start_minute,
                free.minutes,
                free.at_table,
                free.partner,
                free.except_days,
            )
        )
    for match in wishes.matches:
        _put_match(work, player, match, "")
    for day in wishes.not_on:
        leave_out(work, player, day)
    return Told(wishes.said, wishes.unknown)


def leave_out(work: UnitOfWork, player: Player, day: date) -> int:
    """Take one day out of every free time that falls on it. Returns how many did."""
    hit = [free for free in work.free_times.all(player_id=player.id) if days_of(free, day, day)]
    for free in hit:
        work.free_times.put(replace(free, except_days=(*free.except_days, day.isoformat())))
    return len(hit)


def add_match(
    work: UnitOfWork, player: Player, words: str, *, today: date, name: str = "", important: bool = True
) -> str:
    """Store one match told as a day and perhaps a time. Raises: BadInput."""
    wishes = understand(f"match on {words}", today)
    if len(wishes.matches) != 1 or wishes.free or wishes.unknown:
        raise BadInput(f"{words!r} is no day and time", "Write it like: 2026-05-14 19:30, or: Saturday 15:00")
    match = MatchWish(
        wishes.matches[0].day, wishes.matches[0].start_minute, important, wishes.matches[0].guessed_time
    )
    _put_match(work, player, match, name)
    return say_match(match) + (f": {name}" if name else "")


def _put_match(work: UnitOfWork, player: Player, match: MatchWish, name: str) -> None:
    """The same day and time told twice is one match."""
    known = work.matches.one(player_id=player.id, day=match.day, start_minute=match.start_minute)
    key = known.id if known else new_id()
    work.matches.put(
        Match(
            player.id,
            key,
            match.day,
            match.start_minute,
            name or (known.name if known else ""),
            match.important,
        )
    )


def read_calendar(work: UnitOfWork, player: Player, path: Path, *, today: date) -> Told:
    """Take matches and busy times from an .ics file; a file read twice changes nothing twice. Raises:
    BadInput.
    """
    from journal.planning.calendar_in import read_ics

    found = read_ics(path, today=today, zone_name=player.time_zone)
    for shelf in (work.busy_times, work.matches):
        for old in shelf.all(player_id=player.id):
            if any(old.id.startswith(begin) for begin in found.known):
                shelf.remove(player_id=player.id, id=old.id)
    for event in found.events:
        key = RecordId(event.id)
        if event.match:
            work.matches.add(Match(player.id, key, event.days[0], event.start, event.title))
        else:
            rule = rule_on(event.days)
            work.busy_times.add(BusyTime(player.id, key, rule, event.days[0], event.start, event.minutes))
    return Told(found.said, found.skipped)


def listing(work: UnitOfWork, player: Player, today: date) -> Listing:
    """Everything known, in the order in which ``remove`` counts."""
    known = _in_order(work, player)
    free = [_say(each, today) for each in known]
    ahead = [
        f"{say_match(MatchWish(m.day, m.start_minute, m.important))}{f': {m.name}' if m.name else ''}"
        for m in _ahead(work, player, today)
    ]
    return Listing(free, ahead, frozenset(n for n, each in enumerate(known) if _often(each)))


def _often(one: FreeTime | BusyTime) -> bool:
    """Whether the rule can fall on more than one day: neither counted once nor a single date."""
    single = one.rule.startswith("RDATE") and "," not in one.rule
    return not single and "COUNT=1" not in one.rule.replace(":", ";").split(";")


def _in_order(work: UnitOfWork, player: Player) -> list[FreeTime | BusyTime]:
    times: list[FreeTime | BusyTime] = [
        *work.free_times.all(player_id=player.id),
        *work.busy_times.all(player_id=player.id),
    ]
    return sorted(times, key=lambda one: (isinstance(one, BusyTime), one.first_day, one.start_minute, one.id))


def _ahead(work: UnitOfWork, player: Player, today: date) -> list[Match]:
    matches = work.matches.all(order="day", player_id=player.id)
    return [match for match in matches if match.day >= today and not match.blocks_only]


def _say(free: FreeTime | BusyTime, today: date) -> str:
    if isinstance(free, BusyTime):
        count = free.rule.count(",") + 1
        more = f" and {count - 1} more day{'s' if count > 2 else ''}" if count > 1 else ""
        if (count, free.start_minute, free.minutes) == (1, 0, 24 * 60):
            return f"not on {dated(free.first_day, today)}, all day"
        return f"busy {free.first_day.isoformat()}{more}, {clock(free.start_minute)} for {free.minutes} min"
    if not free.rule.startswith(
        ("FREQ=WEEKLY;", "FREQ=DAILY;COUNT=1")
    ) or "BYDAY" not in free.rule + "BYDAY" * ("COUNT=1" in free.rule):
        when = f"{clock(free.start_minute)} for {free.minutes} min"
        return f"free by {free.rule} from {free.first_day.isoformat()}, {when}"
    return say_free(
        FreeWish(
            free.rule,
            free.first_day,
            free.start_minute,
            free.minutes,
            free.at_table,
            free.partner,
            free.except_days,
        )
    )


def remove(work: UnitOfWork, player: Player, which: str) -> None:
    """Take out the n-th of the listing, or "all". Raises: BadInput."""
    listed = _in_order(work, player)
    if which == "all":
        work.free_times.remove(player_id=player.id)
        work.busy_times.remove(player_id=player.id)
        return
    if not which.isdigit() or not 1 <= int(which) <= len(listed):
        raise BadInput(
            f"there is no free time number {which}", f"List them with: plainball free {player.name}"
        )
    out = listed[int(which) - 1]
    shelf = work.busy_times if isinstance(out, BusyTime) else work.free_times
    shelf.remove(player_id=player.id, id=out.id)


def remove_match(work: UnitOfWork, player: Player, which: int, today: date) -> None:
    """Take out the n-th match ahead. Raises: BadInput."""
    ahead = _ahead(work, player, today)
    if not 1 <= which <= len(ahead):
        raise BadInput(f"there is no match number {which}", f"List them with: plainball match {player.name}")
    work.matches.remove(player_id=player.id, id=ahead[which - 1].id)
