"""Figures with spread against scipy, statsmodels and published tables; the source stands beside each
check.
"""

from __future__ import annotations

import math
import random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats
from scipy.integrate import quad
from scipy.special import betaln
from statsmodels.stats.proportion import proportion_confint

from journal.progress import special
from journal.progress.alarm import count_reference, count_run_length, cusum, normal_run_length
from journal.progress.days import DayScore, step_p, student_above
from journal.progress.rates import Rate, Session, exact_count_interval, rate_of, two_rates_p
from journal.progress.scores import Score, clopper_pearson, wilson
from journal.progress.special import beta_above

A = st.floats(0.2, 400)


@settings(deadline=None)
@given(A, A, st.floats(0, 1))
def test_incomplete_beta_equals_scipy(a: float, b: float, x: float) -> None:
    """scipy.stats.beta (scipy)."""
    assert special.beta_cdf(x, a, b) == pytest.approx(stats.beta.cdf(x, a, b), abs=1e-10)
    assert special.log_beta(a, b) == pytest.approx(betaln(a, b), abs=1e-9, rel=1e-9)


@settings(deadline=None)
@given(A, st.floats(0, 1000))
def test_incomplete_gamma_equals_scipy(a: float, x: float) -> None:
    """scipy.stats.gamma."""
    assert special.gamma_cdf(x, a) == pytest.approx(stats.gamma.cdf(x, a), abs=1e-10)


@settings(max_examples=50, deadline=None)
@given(st.floats(0.5, 200), st.floats(0.5, 200), st.floats(0.001, 0.999))
def test_quantiles_equal_scipy(a: float, b: float, p: float) -> None:
    assert special.beta_quantile(p, a, b) == pytest.approx(stats.beta.ppf(p, a, b), abs=1e-8)
    assert special.gamma_quantile(p, a, b) == pytest.approx(stats.gamma.ppf(p, a, scale=1 / b), rel=1e-7)


@settings(deadline=None)
@given(st.integers(0, 30), st.integers(0, 30), A, A)
def test_predictive_counts_equal_scipy(k: int, more: int, a: float, b: float) -> None:
    """scipy.stats.betabinom and nbinom."""
    assert special.beta_binomial(k, k + more, a, b) == pytest.approx(
        stats.betabinom.pmf(k, k + more, a, b), abs=1e-9
    )
    assert special.negative_binomial(k, a, b / (b + 1)) == pytest.approx(
        stats.nbinom.pmf(k, a, b / (b + 1)), abs=1e-9
    )


@settings(max_examples=40, deadline=None)
@given(st.floats(1, 80), st.floats(1, 80), st.floats(1, 80), st.floats(1, 80))
def test_the_chance_that_one_rate_is_higher_equals_quadrature(
    a1: float, b1: float, a2: float, b2: float
) -> None:
    """scipy.integrate.quad of pdf times cdf; for Gammas scipy.stats.f."""
    want, _ = quad(
        lambda x: stats.beta.pdf(x, a1, b1) * stats.beta.cdf(x, a2, b2),
        0,
        1,
        limit=300,
        points=[a1 / (a1 + b1)],
    )
    assert beta_above(a1, b1, a2, b2) == pytest.approx(want, abs=1e-6)
    assert special.gamma_above(a1, b1, a2, b2) == pytest.approx(
        stats.f.sf((b1 / a1) / (b2 / a2), 2 * a1, 2 * a2), abs=1e-9
    )


def test_the_gamma_poisson_worked_case() -> None:
    """Prior Gamma(2, 1), counts 3 5 2 4. scipy.stats.gamma(16, scale=1/5) and nbinom(16, 5/6)."""
    days = [Session(None, count) for count in (3, 5, 2, 4)]  # type: ignore[arg-type]  # no day: nothing fades
    rate = rate_of(days, shape=2.0, rate=1.0)
    assert (rate.shape, rate.rate, rate.mean, rate.variance) == (16, 5, 3.2, pytest.approx(0.64))
    for p in (0.025, 0.05, 0.5, 0.95, 0.975):
        assert rate.quantile(p) == pytest.approx(stats.gamma.ppf(p, 16, scale=1 / 5), abs=1e-6)
    for k in range(9):
        assert rate.next_count(k) == pytest.approx(stats.nbinom.pmf(k, 16, 5 / 6), abs=1e-9)
    assert rate.interval()[0] == pytest.approx(1.82908, abs=1e-5)


def test_rates_with_unequal_exposure() -> None:
    """7 in 3.5 h, Jeffreys: 0.89459 to 3.92691 an hour (scipy.stats.gamma). Exact for 7: Garwood 1936,
    scipy.stats.chi2.
    """
    assert Rate(7.5, 3.5).interval() == pytest.approx((0.89459, 3.92691), abs=1e-5)
    assert exact_count_interval(7) == pytest.approx(
        (stats.chi2.ppf(0.025, 14) / 2, stats.chi2.ppf(0.975, 16) / 2), abs=1e-6
    )
    assert exact_count_interval(0) == pytest.approx((0.0, stats.chi2.ppf(0.975, 2) / 2), abs=1e-9)


def test_two_rates_by_the_conditional_binomial() -> None:
    """12 in 4 sessions against 5 in 5: one-sided p 0.027049 (scipy.stats.binomtest(12, 17, 4/9))."""
    want = stats.binomtest(12, 17, 4 / 9, alternative="greater").pvalue
    assert two_rates_p(12, 4, 5, 5) == pytest.approx(want, abs=1e-9) == pytest.approx(0.027049, abs=1e-6)


@pytest.mark.parametrize(
    ("hits", "tries"), [(81, 263), (15, 148), (0, 20), (1, 29), (14, 20), (7, 10), (0, 10), (10, 10)]
)
def test_intervals_equal_statsmodels(hits: int, tries: int) -> None:
    """statsmodels.stats.proportion.proportion_confint, wilson and beta; cases of R. G. Newcombe, Statistics
    in Medicine 17 (1998) 857-872, Table I (its contents from memory), and small ones.
    """
    assert wilson(hits, tries) == pytest.approx(proportion_confint(hits, tries, 0.05, "wilson"), abs=1e-9)
    assert clopper_pearson(hits, tries) == pytest.approx(
        proportion_confint(hits, tries, 0.05, "beta"), abs=1e-8
    )


def test_wilson_at_the_printed_values() -> None:
    """Newcombe 1998, Table I, method 3 (from memory): 81/263 0.2553-0.3662, 15/148 0.0624-0.1605, 0/20
    0-0.1611, 1/29.
    """
    table = {
        (81, 263): (0.2553, 0.3662),
        (15, 148): (0.0624, 0.1605),
        (0, 20): (0.0, 0.1611),
        (1, 29): (0.0061, 0.1718),
    }
    for (hits, tries), want in table.items():
        assert wilson(hits, tries) == pytest.approx(want, abs=1e-4)


def test_the_beta_binomial_worked_case() -> None:
    """Prior Beta(1, 1), 14 of 20. scipy.stats.beta and betabinom; Beta(15, 7) above Beta(10, 12):
    scipy.integrate.quad.
    """
    score = Score.of(14, 20)
    assert score.mean == pytest.approx(0.681818, abs=1e-6)
    assert score.interval() == pytest.approx((0.478249, 0.854123), abs=1e-6)
    assert score.quantile(0.5) == pytest.approx(0.687416, abs=1e-6)
    assert [score.next_hits(k, 10) for k in (7, 8, 10)] == pytest.approx(
        [0.220226, 0.201874, 0.044220], abs=1e-6
    )
    assert score.above(Score(10, 12)) == pytest.approx(0.941014, abs=1e-6)


LUCAS_CROSIER = {
    0: 168,
    0.25: 74.2,
    0.5: 26.6,
    0.75: 13.3,
    1: 8.38,
    1.5: 4.75,
    2: 3.34,
    2.5: 2.62,
    3: 2.19,
    4: 1.71,
}
MONTGOMERY = {
    0: 465,
    0.25: 139,
    0.5: 38.0,
    0.75: 17.0,
    1: 10.4,
    1.5: 5.75,
    2: 4.01,
    2.5: 3.11,
    3: 2.57,
    4: 2.01,
}


@pytest.mark.parametrize(("h", "table"), [(4, LUCAS_CROSIER), (5, MONTGOMERY)])
def test_run_lengths_equal_the_published_tables(h: float, table: dict[float, float]) -> None:
    """h 4: J. M. Lucas and R. B. Crosier, Technometrics 24 (1982) 199-205, Table 1, as the manual of the R
    package spc quotes it. h 5: D. C. Montgomery, Introduction to Statistical Quality Control (from memory). k
    0.5, two-sided, zero start.
    """
    for shift, published in table.items():
        assert normal_run_length(shift, 0.5, h) == pytest.approx(published, rel=0.006)


def test_the_limit_for_a_usual_quiet_run() -> None:
    """h 4.7738 at k 0.5 gives a two-sided run of 370; one-sided: h 4 335.37, h 5 930.89 (Page's integral
    equation).
    """
    assert normal_run_length(0, 0.5, 4.7738) == pytest.approx(370, rel=1e-3)
    assert normal_run_length(0, 0.5, 4, two_sided=False) == pytest.approx(335.37, rel=1e-3)
    assert normal_run_length(0, 0.5, 5, two_sided=False) == pytest.approx(930.89, rel=1e-3)


READINGS = [
    9.45,
    7.99,
    9.29,
    11.66,
    12.16,
    10.18,
    8.04,
    11.46,
    9.20,
    10.34,
    9.03,
    11.47,
    10.51,
    9.40,
    10.08,
    9.37,
    10.62,
    10.31,
    8.52,
    10.84,
    10.90,
    9.33,
    12.29,
    11.50,
    10.60,
    11.08,
    10.38,
    11.62,
    11.31,
    10.52,
]
UP = [
    0,
    0,
    0,
    1.16,
    2.82,
    2.50,
    0.04,
    1.00,
    0,
    0,
    0,
    0.97,
    0.98,
    0,
    0,
    0,
    0.12,
    0,
    0,
    0.34,
    0.74,
    0,
    1.79,
    2.79,
    2.89,
    3.47,
    3.35,
    4.47,
    5.28,
    5.30,
]


def test_the_worked_cusum_path() -> None:
    """Thirty readings of Montgomery's example (from memory), mean 10, k 0.5, h 5: signal at 29, change after
    22.
    """
    path = cusum(READINGS, 10, 0.5, 5)
    assert list(path.up) == pytest.approx(UP, abs=0.005)
    assert path.down[:8] == pytest.approx([0.05, 1.56, 1.77, 0, 0, 0, 1.46, 0], abs=0.005)
    assert (path.signal, path.began) == (29, 22)


@pytest.mark.parametrize(("usual", "worse", "k"), [(2, 4, 2.8854), (3, 5, 3.9152), (1, 2, 1.4427)])
def test_the_reference_value_for_counts(usual: float, worse: float, k: float) -> None:
    """J. M. Lucas, Technometrics 27 (1985): (λ1 - λ0)/ln(λ1/λ0) (from memory)."""
    assert count_reference(usual, worse) == pytest.approx(k, abs=5e-5)


@pytest.mark.parametrize(("mean", "k", "h"), [(1.0, 1.45, 3.0), (2.0, 1.45, 3.0), (0.3, 0.45, 2.5)])
def test_count_run_lengths_equal_simulation(mean: float, k: float, h: float) -> None:
    """The exact chain against 4,000 simulated runs, within four standard errors."""
    rng = random.Random(5)
    lengths = []
    for _ in range(4000):
        total, n = 0.0, 0
        while total <= h + 1e-9:
            limit, count, product = math.exp(-mean), 0, rng.random()
            while product > limit:
                count += 1
                product *= rng.random()
            total, n = max(0.0, total + count - k), n + 1
        lengths.append(n)
    average = sum(lengths) / len(lengths)
    error = math.sqrt(sum((each - average) ** 2 for each in lengths)) / len(lengths)
    assert abs(count_run_length(mean, k, h) - average) < 4 * error


@pytest.mark.parametrize("lower", [False, True])
def test_the_step_on_top_of_a_line_equals_statsmodels(lower: bool) -> None:
    """statsmodels WLS of the same transformed days on constant, line and step; half its two-sided p."""
    import numpy as np
    import statsmodels.api as sm

    amounts = [4.0, 9, 5, 11, 7, 6, 15, 8, 16, 9, 18]
    sizes = [10.0, 20, 10, 20, 10, 10, 20, 10, 20, 10, 20]
    days = [
        DayScore(a, 1.0 + n % 2 if lower else s) for n, (a, s) in enumerate(zip(amounts, sizes, strict=True))
    ]
    size = np.array([day.size for day in days])
    amount = np.array([day.amount for day in days])
    y = -np.sqrt((amount + 0.375) / size) if lower else np.arcsin(np.sqrt((amount + 0.375) / (size + 0.75)))
    x = np.stack([np.ones(11), np.arange(11), np.arange(11) >= 4], axis=1)
    fit = sm.WLS(y, x, weights=size).fit()
    half = fit.pvalues[2] / 2
    want = half if fit.params[2] > 0 else 1 - half
    assert step_p(days[:4], days[4:], lower=lower) == pytest.approx(want, abs=1e-9)


@settings(deadline=None)
@given(st.floats(-30, 30), st.integers(1, 60))
def test_student_equals_scipy(t: float, free: int) -> None:
    """scipy.stats.t."""
    assert student_above(t, free) == pytest.approx(stats.t.sf(t, free), abs=3e-8)
