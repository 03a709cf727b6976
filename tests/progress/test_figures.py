"""Rates that fade, alarms that wake, ladders, comparisons and verdicts."""

from __future__ import annotations

import importlib.util
import random
import sys
from datetime import date, timedelta
from pathlib import Path
from types import ModuleType

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from journal.progress.alarm import coming_back, count_limit, count_run_length
from journal.progress.compare import compare, more_tries
from journal.progress.days import DayScore, carried_over, permutation_p, widened, widening
from journal.progress.ladder import RungResult, ability, chance, from_runs, level_of
from journal.progress.rates import Session, fell, rate_of
from journal.progress.scores import Score, middle_half, wilson
from journal.progress.verdict import judge
from journal.records import ChangeStatus

TODAY = date(2026, 5, 4)


def simulation(name: str) -> ModuleType:
    """A script of tests/quality."""
    path = Path(__file__).parents[1] / "quality" / f"{name}.py"
    spec = importlib.util.spec_from_file_location(f"quality_{name}", path)
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    sys.modules[spec.name] = module
    spec.loader.exec_module(module)
    return module


def test_old_sessions_fade() -> None:
    old = [Session(TODAY - timedelta(days=200 + n), 6) for n in range(5)]
    new = [Session(TODAY - timedelta(days=n), 1) for n in range(5)]
    assert rate_of([*old, *new], TODAY).mean < 2 < rate_of([*old, *new]).mean


def test_a_rate_that_fell_is_seen() -> None:
    before = rate_of([Session(TODAY, 5)] * 6)
    after = rate_of([Session(TODAY, 1)] * 6)
    assert fell(before, after) > 0.99
    assert fell(before, before) == pytest.approx(0.5)


@given(st.floats(0.1, 6), st.floats(10, 300))
@settings(max_examples=12, deadline=None)
def test_false_alarms_are_at_least_as_far_apart_as_asked(usual: float, quiet: float) -> None:
    k, h = count_limit(usual, quiet)
    assert count_run_length(usual, k, h) >= quiet
    assert h <= 1 / 20 or count_run_length(usual, k, h - 1 / 20) < quiet


def test_the_alarm_names_when_it_began() -> None:
    alarm = coming_back([1, 0, 1, 2, 0, 1, 4, 5, 4], usual=0.9)
    assert alarm.since == 6
    assert coming_back([1, 0, 1, 2, 0, 1, 1, 0, 2], usual=0.9).since is None


def test_the_alarm_ends_when_the_fault_goes_again() -> None:
    assert coming_back([1, 0, 1, 6, 6, 6, *[0] * 12], usual=0.9).since is None


def test_one_ability_is_found_from_any_rungs() -> None:
    rng = random.Random(3)
    sigma, covered = 0.9, 0
    for _ in range(200):
        results = [
            RungResult(rung, sum(rng.random() < chance(rung, sigma) for _ in range(12)), 12)
            for rung in (1, 3, 5)
        ]
        found = ability(results)
        assert found is not None
        covered += found.low <= level_of(sigma) <= found.high
    assert 0.90 <= covered / 200 <= 0.99


def test_more_tries_narrow_the_ability() -> None:
    few, many = ability([RungResult(2, 6, 10)]), ability([RungResult(2, 60, 100)])
    assert few is not None
    assert many is not None
    assert many.high - many.low < 0.6 * (few.high - few.low)
    assert ability([]) is None


def test_runs_of_a_restart_ladder_become_rungs() -> None:
    assert from_runs([0, 2]) == [RungResult(1, 1, 2), RungResult(2, 1, 1), RungResult(3, 0, 1)]


def test_half_go_on_the_level_rung() -> None:
    assert chance(level_of(0.7), 0.7) == pytest.approx(0.5)


def test_ten_ball_scores_cannot_tell_yet_and_say_how_many_more() -> None:
    found = compare(5, 10, 7, 10)
    assert found.told is None
    assert found.more is not None
    assert f"about {found.more} more tries" in found.sentence()
    one, two = Score.of(5, 10), Score.of(7, 10)
    n = found.more
    later = Score.of(n * two.mean, n, two.a, two.b).above(Score.of(n * one.mean, n, one.a, one.b))
    before = Score.of((n - 1) * two.mean, n - 1, two.a, two.b).above(
        Score.of((n - 1) * one.mean, n - 1, one.a, one.b)
    )
    assert before < 0.95 <= later


def test_equal_scores_cannot_be_told_apart() -> None:
    assert compare(50, 100, 50, 100).more is None
    assert "so close" in compare(50, 100, 50, 100).sentence()
    assert more_tries(Score(2, 2), Score(2, 2)) is None


def test_a_clear_difference_is_told() -> None:
    assert compare(20, 100, 60, 100).told == "two"
    assert compare(60, 100, 20, 100).told == "one"


def test_the_permutation_p_equals_scipy() -> None:
    """scipy.stats.permutation_test over the same statistic, exact."""
    before = [DayScore(a, 10) for a in (4, 5, 3)]
    after = [DayScore(a, 10) for a in (6, 5, 7, 8)]
    want = stats.permutation_test(
        ([d.amount for d in after], [d.amount for d in before]),
        lambda x, y: sum(x) / (10 * len(x)) - sum(y) / (10 * len(y)),
        permutation_type="independent",
        alternative="greater",
        n_resamples=10_000,
    )
    assert permutation_p(before, after)[0] == pytest.approx(want.pvalue)
    assert permutation_p(before, after, lower=True)[1] == pytest.approx(want.pvalue)


def test_verdicts() -> None:
    low, high = [DayScore(4, 10)] * 4, [DayScore(8, 10)] * 8
    kept, dropped = judge(low, high), judge(high[:4], low * 2)
    assert (kept.status, kept.helped, dropped.status, dropped.helped) == (
        ChangeStatus.KEPT,
        True,
        ChangeStatus.DROPPED,
        False,
    )
    assert kept.chance > 0.95
    unsure = judge(low, [DayScore(4, 10), DayScore(5, 10)] * 4)
    assert (unsure.status, unsure.helped) == (ChangeStatus.EXTENDED, None)
    assert judge(low, low * 2, extended=True).status is ChangeStatus.DROPPED
    fewer = judge([DayScore(5, 1)] * 4, [DayScore(1, 1)] * 8, unit="session")
    assert fewer.status is ChangeStatus.KEPT


def test_steady_progress_is_told_as_better_and_not_as_help() -> None:
    """Two more of twenty hit each day, before the change as after it."""
    days = [DayScore(hits, 40) for hits in (6, 8, 10, 12, 14, 16, 18, 20, 22, 24, 26, 28)]
    first, last = judge(days[:4], days[4:]), judge(days[:4], days[4:], extended=True)
    assert (first.better, first.helped, first.status) == (True, None, ChangeStatus.EXTENDED)
    assert (last.better, last.helped, last.status) == (True, None, ChangeStatus.KEPT)
    assert "steady progress would look the same" in first.words
    jump = [*days[:4], *(DayScore(day.amount + 8, 40) for day in days[4:])]
    assert judge(jump[:4], jump[4:]).helped is True


def test_before_the_stop_date_nothing_is_concluded() -> None:
    found = judge([DayScore(4, 10)] * 4, [DayScore(8, 10)] * 8, due=False)
    assert (found.status, found.helped, found.better) == (ChangeStatus.RUNNING, None, False)
    assert "before the stop date" in found.words
    assert "80 %" not in found.words
    assert "on 8 days" in found.words


def test_days_like_their_neighbours_need_more_to_convince() -> None:
    """The same scores: dealt about, and in two long waves."""
    waves = [DayScore(a, 10) for a in (3, 3, 4, 4, 5, 5, 6, 6, 7, 7)]
    mixed = [DayScore(a, 10) for a in (5, 3, 4, 3, 5, 4, 7, 6, 6, 7)]
    assert carried_over((), waves) > carried_over((), mixed)
    assert widening(4, 8, 0.0) == pytest.approx(1.0)
    assert widening(4, 8, 0.5) > widening(4, 8, 0.2) > 1.0
    assert widened(0.01, 1.0) == pytest.approx(0.01)
    assert 0.01 < widened(0.01, 1.3) < 0.5


def test_the_widening_is_that_of_neighbouring_days() -> None:
    """numpy's covariance of 40,000 drawn series with correlation 0.6 from day to day."""
    import numpy as np

    rng, rho, n, first = np.random.default_rng(2), 0.6, 12, 4
    series = rng.normal(size=(40_000, n))
    for day in range(1, n):
        series[:, day] = rho * series[:, day - 1] + np.sqrt(1 - rho**2) * series[:, day]
    spread = (series[:, first:].mean(axis=1) - series[:, :first].mean(axis=1)).std()
    assert widening(first, n - first, rho) == pytest.approx(spread / np.sqrt(1 / 4 + 1 / 8), rel=0.02)


def test_too_few_days_are_never_a_verdict() -> None:
    for before, after in (
        ([DayScore(0, 10)], [DayScore(10, 10)] * 9),
        ([DayScore(0, 10)] * 9, [DayScore(10, 10)] * 2),
        ([], []),
    ):
        found = judge(before, after)
        assert found.helped is None
        assert "Too few days" in found.words


@pytest.mark.parametrize(
    "name",
    [
        "lively days",
        "fault counts, lively days",
        "days hang together (0.6)",
        "but slowly getting better anyway",
    ],
)
def test_helped_is_said_wrongly_in_at_most_one_of_twenty(name: str) -> None:
    """600 changes without effect: the share may pass 5 % by simulation error only."""
    quality = simulation("verdict")
    (world,) = (w for w in quality.WORLDS if w.name == f"no effect, {name}")
    helped, _, _ = quality.share(world, 600, 11)
    assert helped <= 0.05 + 1.65 * (0.05 * 0.95 / 600) ** 0.5


def test_a_strong_effect_is_mostly_found() -> None:
    quality = simulation("verdict")
    world = next(w for w in quality.WORLDS if w.name.startswith("helps much"))
    assert quality.share(world, 300, 11)[0] > 0.7


def test_planned_looks_find_relapses_sooner_where_rates_differ() -> None:
    """500 invented players with rates of their own; the whole run prints every population."""
    quality = simulation("followups")
    laws = list(quality.LAWS.values())
    own = quality.factor(laws[0], 500, 3, 14.0)
    assert own["planned_looks"] <= own["fixed_looks"] * 1.03
    assert own["low"] > 0.10
    alike = quality.factor(laws[-1], 300, 3, 14.0)
    assert alike["sooner"] < 0.05, "where nothing can be learnt nothing should be gained"


@given(st.integers(0, 60), st.integers(0, 60))
def test_an_interval_holds_its_share(hits: int, misses: int) -> None:
    low, high = wilson(hits, hits + misses)
    assert 0 <= low <= high <= 1
    if hits + misses:
        assert low <= hits / (hits + misses) <= high


@given(st.lists(st.floats(0, 1), min_size=4, max_size=10))
def test_the_middle_half_equals_the_standard_library(values: list[float]) -> None:
    """statistics.quantiles(method="inclusive")."""
    from statistics import quantiles

    low, _, high = quantiles(values, n=4, method="inclusive")
    assert middle_half(values) == pytest.approx((low, high))
