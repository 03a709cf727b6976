"""How well the causes are found: python -m tests.quality.causes [--players 5000].

Players are drawn from the shipped network: causes by their base rates, faults by noisy-OR. Each is asked
about twelve faults picked at random on three days; a fault that is there is reported with chance 0.3 a
day, one that is not with 0.02, and what is not reported is denied. Players with fewer than three reported
faults are drawn again. Then one check after the other is done, its outcome drawn from the player's true
causes, until a cause stands at 0.8 or nothing would move it. The random order takes checks that tell about
a touched cause, blindly. A player who never gets to 0.8 counts as twenty.

``--silent``: the same, but what is not reported is unknown, as in a real journal: shows what that
ignorance costs.
"""

from __future__ import annotations

import argparse
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, field
from functools import partial

import numpy as np

from knowledge.causes.diagnose import SETTLED
from knowledge.causes.findings import Findings
from knowledge.causes.network import Network, network_of
from knowledge.causes.next_check import best_check
from knowledge.causes.order import ranked
from knowledge.causes.outcomes import outcome_table, told_causes
from knowledge.causes.posterior import Posterior, posterior_of
from knowledge.causes.reports import FALSE_MENTION, REPORT_CHANCE, Report, findings_of, with_answer
from knowledge.entries import Check
from knowledge.rulebase import RuleBase, load_rules

MOST_CHECKS = 20
ASKED, SESSIONS = 12, 3


@dataclass
class Tally:
    """What is counted over all players."""

    chances: list[float] = field(default_factory=list)
    truths: list[bool] = field(default_factory=list)
    chances_after: list[float] = field(default_factory=list)
    truths_after: list[bool] = field(default_factory=list)
    checks: list[int] = field(default_factory=list)
    random_checks: list[int] = field(default_factory=list)
    first_true: list[bool] = field(default_factory=list)
    first_chance: list[float] = field(default_factory=list)

    def ece(self, *, after: bool = False) -> float:
        """Expected calibration error over ten equal bins of the chance."""
        chance = np.array(self.chances_after if after else self.chances)
        truth = np.array(self.truths_after if after else self.truths, dtype=float)
        bins = np.minimum((chance * 10).astype(int), 9)
        gaps = [abs(chance[bins == b].sum() - truth[bins == b].sum()) for b in range(10)]
        return float(sum(gaps) / len(chance))

    @property
    def share_of_random(self) -> float:
        """Checks needed as a share of what a random order needs."""
        return float(np.mean(self.checks) / np.mean(self.random_checks))

    def add(self, other: Tally) -> None:
        """Take in what was counted elsewhere."""
        for name, counted in vars(self).items():
            counted.extend(getattr(other, name))


class World:
    """Draws players and their answers."""

    def __init__(self, rules: RuleBase, seed: int, *, silent: bool = False) -> None:
        self.rules, self.network, self.silent = rules, network_of(rules), silent
        self.random = np.random.default_rng(seed)

    def player(self) -> tuple[np.typing.NDArray[np.bool_], Findings]:
        """(true causes, findings) of somebody with at least three reported faults."""
        network = self.network
        while True:
            causes = self.random.random(len(network.causes)) < network.base
            quiet = (1 - network.leak) * np.prod(np.where(causes, 1 - network.strength, 1.0), axis=1)
            faults = self.random.random(len(network.faults)) > quiet
            findings = findings_of(self.rules, self._reports(network, faults), [], 0)
            if len(findings.present) >= 3:
                return causes, findings

    def _reports(self, network: Network, faults: np.typing.NDArray[np.bool_]) -> list[Report]:
        asked = self.random.choice(len(faults), ASKED, replace=False)
        reports = []
        for day in range(SESSIONS):
            for fault in asked:
                said = self.random.random() < (REPORT_CHANCE if faults[fault] else FALSE_MENTION)
                if said or not self.silent:
                    # All on fresh days: how old reports fade is no part of the world that is drawn.
                    reports.append(Report(network.faults[fault], day, "present" if said else "absent"))
        return reports

    def outcome(self, check: Check, causes: np.typing.NDArray[np.bool_]) -> str:
        """An outcome drawn from the true causes."""
        state = tuple(int(causes[self.network.cause_at[cause]]) for cause in told_causes(check))
        chances = outcome_table(check).reshape(len(check.outcomes), -1)[
            :, int("".join(map(str, state)) or "0", 2)
        ]
        return check.outcomes[self.random.choice(len(chances), p=chances)].id


def first(rules: RuleBase, post: Posterior) -> str:
    """The leading cause."""
    return ranked(rules, {cause: post.chance[cause] for cause in post.linked})[0]


def play(
    world: World, findings: Findings, causes: np.typing.NDArray[np.bool_], *, blind: bool
) -> tuple[int, Posterior]:
    """(checks needed to reach 0.8, or MOST_CHECKS, the last posterior) with the chosen or a blind order."""
    post, done = posterior_of(world.network, findings), set[str]()
    while max(post.chance[c] for c in post.linked) < SETTLED:
        check = _blind(world, post, done) if blind else _chosen(world, post, done)
        if check is None or len(done) >= MOST_CHECKS:
            return MOST_CHECKS, post
        done.add(check.id)
        findings = with_answer(findings, world.rules, check.id, world.outcome(check, causes))
        post = posterior_of(world.network, findings)
    return len(done), post


def _chosen(world: World, post: Posterior, done: set[str]) -> Check | None:
    choice = best_check(world.rules, post, done=done)
    return None if choice is None else choice.check


def _blind(world: World, post: Posterior, done: set[str]) -> Check | None:
    linked = set(post.linked)
    left = [c for c in world.rules.checks.values() if c.id not in done and linked & set(told_causes(c))]
    return left[world.random.integers(len(left))] if left else None


def simulate(players: int, seed: int = 1, *, silent: bool = False) -> Tally:
    """Everything counted over so many players."""
    world, tally = World(load_rules(), seed, silent=silent), Tally()
    for _ in range(players):
        causes, findings = world.player()
        before = posterior_of(world.network, findings)
        tally.chances += [before.chance[c] for c in before.linked]
        tally.truths += [bool(causes[world.network.cause_at[c]]) for c in before.linked]
        needed, post = play(world, findings, causes, blind=False)
        tally.checks.append(needed)
        tally.chances_after += [post.chance[c] for c in post.linked]
        tally.truths_after += [bool(causes[world.network.cause_at[c]]) for c in post.linked]
        leader = first(world.rules, post)
        if post.chance[leader] >= SETTLED:
            tally.first_chance.append(post.chance[leader])
            tally.first_true.append(bool(causes[world.network.cause_at[leader]]))
        tally.random_checks.append(play(world, findings, causes, blind=True)[0])
    return tally


def simulate_in_parts(players: int, seed: int, jobs: int, *, silent: bool = False) -> Tally:
    """The same in parts of about 100 players, each with its own seed: the number of jobs changes nothing."""
    parts = max(1, players // 100)
    sizes = [players // parts + (n < players % parts) for n in range(parts)]
    total = Tally()
    with ProcessPoolExecutor(jobs) as pool:
        for part in pool.map(
            partial(simulate, silent=silent), sizes, range(seed * 10_000, seed * 10_000 + parts)
        ):
            total.add(part)
    return total


def main() -> None:
    """Print the figures."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--players", type=int, default=5000)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--jobs", type=int, default=1)
    parser.add_argument("--silent", action="store_true")
    args = parser.parse_args()
    tally = simulate_in_parts(args.players, args.seed, args.jobs, silent=args.silent)
    rest = "unknown" if args.silent else "denied"
    print(f"players {args.players}, seed {args.seed}, what is not reported is {rest}")
    print(f"calibration error: before any check {tally.ece():.4f}, after {tally.ece(after=True):.4f}")
    mean, blind = np.mean(tally.checks), np.mean(tally.random_checks)
    print(f"checks to 0.8: {mean:.2f}, random order {blind:.2f}, share {tally.share_of_random:.3f}")
    stopped, true = len(tally.first_true) / args.players, np.mean(tally.first_true)
    claimed = np.mean(tally.first_chance)
    print(f"stopped at 0.8: {stopped:.3f}; first is true: {true:.3f} (claimed {claimed:.3f})")


if __name__ == "__main__":
    main()
