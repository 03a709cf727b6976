"""Planning against published facts: forgetting curves and spacing. The source stands beside each check."""

from __future__ import annotations

import pytest
from scipy import stats

from journal.planning.followups import Belief, wait_days, wait_for_chance


@pytest.mark.parametrize(
    ("days", "left"), [(0, 1), (1, 0.816497), (2, 0.707107), (5, 0.534522), (10, 0.408248), (30, 0.25)]
)
def test_the_lomax_survival(days: float, left: float) -> None:
    """(1 + t/2)^(-1/2), computed by hand and with scipy.stats.lomax."""
    assert Belief(0.5, 2.0).stays_away(days) == pytest.approx(left, abs=1e-6)
    assert Belief(0.5, 2.0).stays_away(days) == pytest.approx(stats.lomax.sf(days, 0.5, scale=2), abs=1e-12)


def test_the_wait_until_nine_in_ten_are_left() -> None:
    """0.469136 for (1 + t/2)^(-1/2); scipy.stats.lomax.ppf."""
    assert wait_for_chance(Belief(0.5, 2.0), 0.1) == pytest.approx(0.469136, abs=1e-6)
    assert wait_for_chance(Belief(0.5, 2.0), 0.1) == pytest.approx(
        stats.lomax.ppf(0.1, 0.5, scale=2), abs=1e-12
    )


def test_a_lomax_curve_is_a_mixture_of_exponentials() -> None:
    """Rates Gamma(a, rate b) give (1 + t/b)^(-a): the Gamma's Laplace transform, here by scipy's
    expectation.
    """
    belief = Belief(1.7, 23.0)
    for days in (1, 10, 100):
        mixed = stats.gamma(belief.a, scale=1 / belief.b).expect(
            lambda rate, days=days: 2.718281828459045 ** (-rate * days)
        )
        assert belief.stays_away(days) == pytest.approx(mixed, abs=1e-7)


def test_gaps_grow_with_the_horizon_and_shrink_as_a_share_of_it() -> None:
    """N. J. Cepeda et al., Psychological Science 19 (2008) 1095-1102: the best gap grows with the time it
    must last, but as a share of it falls. (Verbal facts, not cueing: an inequality, no figures.)
    """
    horizons = [7, 35, 70, 350]
    gaps = [wait_days(Belief(1.0, 14.0 + days)) for days in horizons]
    assert gaps == sorted(gaps)
    shares = [gap / days for gap, days in zip(gaps, horizons, strict=True)]
    assert shares == sorted(shares, reverse=True)
