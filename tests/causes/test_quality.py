"""Small runs of the two harnesses; the full figures come from tests.quality.causes and
tests.bench.causes_speed.

With 120 players the sampling error is about 0.03 on the share and 0.04 on the hits, so the bounds here are
that much looser than the aims (0.60 and 0.80).
"""

from __future__ import annotations

import numpy as np
import pytest

from knowledge.rulebase import load_rules
from tests.bench.causes_speed import timings
from tests.quality.causes import Tally, simulate


@pytest.fixture(scope="module")
def tally() -> Tally:
    return simulate(120, seed=11)


def test_chances_are_calibrated_before_and_after_checks(tally):
    assert tally.ece() <= 0.03
    assert tally.ece(after=True) <= 0.03


def test_chosen_checks_get_there_in_far_fewer_than_a_blind_order(tally):
    assert tally.share_of_random <= 0.66


def test_what_stops_at_eight_tenths_is_mostly_true(tally):
    assert len(tally.first_true) >= 60
    assert np.mean(tally.first_true) >= 0.72


def test_the_calibration_error_itself_is_zero_for_true_and_large_for_boastful_chances():
    true = Tally(chances=[0.25] * 4, truths=[True, False, False, False])
    boast = Tally(chances=[0.95] * 4, truths=[True, False, False, False])
    assert true.ece() == pytest.approx(0)
    assert boast.ece() == pytest.approx(0.70)


def test_fifteen_present_faults_take_less_than_a_tenth_of_a_second():
    assert np.percentile(timings(load_rules(), 15, 60), 95) <= 100
