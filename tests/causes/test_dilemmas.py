"""Contradictory advice opens its dilemma, and tries decide it or show no difference."""

from __future__ import annotations

import pytest

from journal.cli.main import entry
from journal.dilemmas import find_dilemmas, judge_trial, shuffled_order
from journal.errors import BadInput
from journal.trials import Tally, chances_best, more_tries, spread
from knowledge.rulebase import load_rules

RULES = load_rules()


@pytest.mark.parametrize(
    ("text", "dilemma"),
    [
        (
            "told to move the bridge nearer by one coach, told to keep it well away by another",
            "bridge_length",
        ),
        ("Coach says hold the cue lightly, the book says hold it firmly or it twists.", "grip"),
        ("I was told the bridge arm should be straight but my friend says keep it bent", "bridge_arm"),
        ("coach said keep the cue level but dad said raise the butt", "cue_level"),
    ],
)
def test_two_pieces_of_advice_that_pull_opposite_ways_open_their_dilemma(text, dilemma):
    found = find_dilemmas(RULES, text)
    assert found[0].dilemma.id == f"dilemma.{dilemma}"
    assert found[0].one != found[0].other
    assert found[0].dilemma.condition
    assert found[0].dilemma.trial


@pytest.mark.parametrize(
    "text",
    [
        "",
        "Told to keep my head still and to follow through.",
        "Missed three long pots, coach says I snatch.",
        "coach said hold the cue lightly", "my bridge was too near and then too far away",
    ],
)  # fmt: skip
def test_advice_that_agrees_or_no_advice_opens_nothing(text):
    assert find_dilemmas(RULES, text) == []


def test_a_trials_order_is_shuffled_fair_and_repeatable():
    order = shuffled_order(["near", "middle", "far"], 20, seed=4)
    assert order == shuffled_order(["near", "middle", "far"], 20, seed=4)
    assert order != shuffled_order(["near", "middle", "far"], 20, seed=5)
    assert {each: order.count(each) for each in order} == {"near": 20, "middle": 20, "far": 20}
    half = order[:30]
    assert {each: half.count(each) for each in half} == {"near": 10, "middle": 10, "far": 10}
    for bad in (["one"], ["a", "a"], ["a", "b", "c", "d"]):
        with pytest.raises(BadInput):
            shuffled_order(bad, 20, seed=1)


def test_a_clear_trial_decides_and_a_close_one_says_no_difference_found():
    clear = judge_trial([Tally("near", 17, 20), Tally("far", 6, 20), Tally("middle", 8, 20)])
    assert clear.winner == "near"
    close = judge_trial([Tally("near", 15, 20), Tally("far", 11, 20)])
    assert close.winner is None
    assert "no difference found" in close.words
    few = judge_trial([Tally("near", 8, 8), Tally("far", 0, 8)])
    assert few.winner is None
    assert "too few tries" in few.words


def test_a_trial_of_equal_settings_seldom_finds_a_difference():
    """Simulated: with equal rates one of three settings wins in at most one trial in ten."""
    import numpy as np

    random = np.random.default_rng(1)
    wins = sum(
        judge_trial([Tally(name, int(random.binomial(20, 0.6)), 20) for name in "abc"]).winner is not None
        for _ in range(400)
    )
    assert wins <= 40


def test_the_chance_to_be_the_better_of_two_rates_agrees_with_numerical_integration():
    """Beta(15, 7) against Beta(10, 12): 0.941014 by scipy.integrate.quad over scipy.stats.beta."""
    assert chances_best([Tally("a", 14, 20), Tally("b", 9, 20)])[0] == pytest.approx(0.941014, abs=1e-5)


def test_the_spread_is_the_middle_of_the_beta_distribution():
    scipy_stats = pytest.importorskip("scipy.stats")
    low, high = spread(Tally("a", 14, 20), 0.95)
    assert (low, high) == pytest.approx(
        tuple(map(float, scipy_stats.beta(15, 7).ppf([0.025, 0.975]))), abs=5e-4
    )


@pytest.mark.parametrize(
    "args", [["near=14/20"], ["a=14/20", "b=x"], ["a=21/20", "b=1/20"], ["a=1/0", "b=1/1"]]
)
def test_a_trial_that_cannot_be_counted_is_refused(args, capsys):
    assert entry(["trial", *args]) == 1
    assert capsys.readouterr().err.startswith("plainball: ")


@pytest.mark.parametrize("tries", [[(14, 20), (11, 20)], [(30, 60), (24, 60)], [(3, 5), (5, 5)]])
def test_so_many_more_tries_would_just_decide(tries):
    """The chance by scipy's quad over scipy's beta densities reaches 0.95 at the told number, not one before."""
    scipy_stats = pytest.importorskip("scipy.stats")
    from scipy.integrate import quad

    more = more_tries([Tally(str(n), *each) for n, each in enumerate(tries)], 0.95)
    assert more is not None

    def chance(n):
        one, two = (
            scipy_stats.beta(h + n * (h + 1) / (t + 2) + 1, t - h + n * (t - h + 1) / (t + 2) + 1)
            for h, t in tries
        )
        first = quad(lambda x: one.pdf(x) * two.cdf(x), 0, 1, limit=200)[0]
        return max(first, 1 - first)

    assert chance(more) >= 0.95 - 1e-4
    assert chance(more - 1) < 0.95 + 1e-4


def test_an_open_trial_tells_how_many_more_tries_would_decide_and_never_fewer_than_twenty_of_each():
    close = judge_trial([Tally("near", 14, 20), Tally("far", 11, 20)])
    assert f"Cannot tell yet: about {close.more} more tries of each would" in close.words
    few = judge_trial([Tally("near", 8, 8), Tally("far", 0, 8)])
    assert few.more == 12
    alike = judge_trial([Tally("near", 10, 20), Tally("far", 10, 20)])
    assert alike.more is None
    assert "over 2,000 more tries of each would not settle it" in alike.words
    assert judge_trial([Tally("near", 17, 20), Tally("far", 6, 20)]).more is None
