"""Two or three scores beside each other: a dilemma's answers, a drill by cue or table, two players at one drill."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date

from journal.dilemmas import still_open
from journal.progress.compare import compare
from journal.progress.scores import wilson
from journal.records import ItemKind, Player, Result
from journal.store.work import UnitOfWork
from journal.table_trial import doubt_of_winner, standing, tallies_of
from knowledge.rulebase import RuleBase

CONTEXTS = ("cue", "table")
"""What a score can tell apart besides the drill: the player's equipment and the table."""


@dataclass(frozen=True, slots=True)
class Side:
    """One of those compared. days: (day, hits, tries) in order."""

    name: str
    days: tuple[tuple[date, int, int], ...]

    @property
    def hits(self) -> int:
        """Of all days."""
        return sum(hits for _, hits, _ in self.days)

    @property
    def tries(self) -> int:
        """Of all days."""
        return sum(tries for _, _, tries in self.days)

    @property
    def spread(self) -> tuple[float, float]:
        """95 % of the rate, Wilson's."""
        return wilson(self.hits, self.tries)


@dataclass(frozen=True, slots=True)
class Matchup:
    """What is compared. ref: the drill or dilemma. told: what can be said of it, and how many more tries would.

    better: the name of the better side, None for cannot tell. more: further tries of each that would tell.
    """

    ref: str
    sides: tuple[Side, ...]
    told: str
    better: str | None
    more: int | None


def matchups(work: UnitOfWork, rules: RuleBase, player: Player, other: Player | None = None) -> list[Matchup]:
    """Everything of a player that can be compared, trials first; with another player only the drills both did."""
    own = _scored(work, player)
    if other is not None:
        return list(_of_players(player, own, other, _scored(work, other)))
    return [*_of_trials(work, rules, player), *_of_contexts(own)]


def others(work: UnitOfWork, player: Player) -> list[Player]:
    """Players who did a drill that this one did too, by name."""
    refs = {each.ref for each in _scored(work, player)}
    return [
        other
        for other in work.players.all(order="name")
        if other.id != player.id
        and not other.archived
        and any(each.ref in refs for each in _scored(work, other))
    ]


def matched(ref: str, one: Side, two: Side) -> Matchup:
    """Two sides compared try by try."""
    found = compare(one.hits, one.tries, two.hits, two.tries)
    better = {"one": one.name, "two": two.name, None: None}[found.told]
    return Matchup(ref, (one, two), found.sentence(one.name, two.name), better, found.more)


def _closed(work: UnitOfWork, player: Player) -> list[Result]:
    results = work.results.all(order="taken_at", player_id=player.id)
    return [each for each in results if not each.open and each.tries]


def _scored(work: UnitOfWork, player: Player) -> list[Result]:
    return [each for each in _closed(work, player) if each.kind is ItemKind.DRILL]


def _side(name: str, results: Iterable[Result]) -> Side:
    by_day: defaultdict[date, list[int]] = defaultdict(lambda: [0, 0])
    for each in results:
        by_day[each.day][0] += each.hits
        by_day[each.day][1] += each.tries
    return Side(name, tuple((day, hits, tries) for day, (hits, tries) in sorted(by_day.items())))


def _of_players(
    player: Player, own: Sequence[Result], other: Player, theirs: Sequence[Result]
) -> Iterator[Matchup]:
    done = {each.ref for each in theirs}
    for ref in dict.fromkeys(each.ref for each in own):
        if ref in done:
            one, two = (
                _side(who.name, (r for r in results if r.ref == ref))
                for who, results in ((player, own), (other, theirs))
            )
            yield matched(ref, one, two)


def _of_contexts(own: Sequence[Result]) -> Iterator[Matchup]:
    """A drill's two most used cues, and its two most used tables."""
    for ref in dict.fromkeys(each.ref for each in own):
        for what in CONTEXTS:
            groups: defaultdict[str, list[Result]] = defaultdict(list)
            for each in own:
                if each.ref == ref and each.detail.get(what):
                    groups[str(each.detail[what])].append(each)
            sides = [_side(f"{what} {name}", some) for name, some in groups.items()]
            if len(sides) > 1:
                one, two = sorted(sides, key=lambda side: -side.tries)[:2]
                yield matched(ref, one, two)


def _of_trials(work: UnitOfWork, rules: RuleBase, player: Player) -> Iterator[Matchup]:
    trials = [each for each in _closed(work, player) if each.kind is ItemKind.TRIAL]
    for ref in dict.fromkeys(each.ref for each in trials):
        if ref not in rules.dilemmas:
            continue
        settings = rules.dilemmas[ref].settings
        own = [r for r in trials if r.ref == ref and set(r.detail["settings"]) == set(settings)]
        found = standing(work, rules, player, ref).verdict
        if found is None:
            told, better, more = "cannot tell yet: not every answer was tried", None, None
        elif found.winner is None:
            told, better, more = still_open(found.more), None, found.more
        else:
            told = f"{found.winner} is best, with a chance of {max(found.chances):.0%}. "
            told += doubt_of_winner(len(settings))
            better, more = found.winner, None
        if own:
            yield Matchup(ref, _settings(settings, own), told, better, more)


def _settings(settings: Sequence[str], trials: Sequence[Result]) -> tuple[Side, ...]:
    """Each setting's hits and tries, day by day."""
    days: dict[str, list[tuple[date, int, int]]] = {name: [] for name in settings}
    for day in dict.fromkeys(each.day for each in trials):
        for tally in tallies_of(settings, [each for each in trials if each.day == day]):
            if tally.tries:
                days[tally.setting].append((day, tally.hits, tally.tries))
    return tuple(Side(name, tuple(some)) for name, some in days.items())
