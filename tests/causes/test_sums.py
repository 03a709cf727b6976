"""The exact sums equal adding up every set of causes, whatever the network and the findings."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from knowledge.causes.findings import Findings, pair, sure
from knowledge.causes.network import network_of
from knowledge.causes.posterior import WIDEST, Problem, chances_without, posterior_of
from knowledge.causes.sampling import sample
from knowledge.rulebase import load_rules
from tests.causes.brute import every_state, quickscore, tiny

RULES = load_rules()
NETWORK = network_of(RULES)


@st.composite
def cases(draw):
    """A random network of up to 12 causes with random findings, certain, doubtful and contrary."""
    random = np.random.default_rng(draw(st.integers(0, 2**32 - 1)))
    causes, faults = draw(st.integers(1, 12)), draw(st.integers(1, 9))
    strength = np.where(
        random.random((faults, causes)) < draw(st.floats(0.1, 1)),
        random.uniform(0.02, 0.98, (faults, causes)),
        0,
    )
    network = tiny(random.uniform(0.01, 0.9, causes), strength, random.uniform(0.001, 0.5, faults))
    choices = [math.inf, -math.inf, *map(float, random.uniform(-8, 8, 4))]
    bits = {fault: float(random.choice(choices)) for fault in network.faults if random.random() < 0.85}
    factors = {
        cause: {"check.x": float(random.uniform(-3, 3))} for cause in network.causes if random.random() < 0.4
    }
    return network, Findings(bits, factors)


def _truth(network, findings):
    pairs = {network.fault_at[f]: pair(b) for f, b in findings.faults.items()}
    factors = np.exp2([findings.bits_of(cause) for cause in network.causes])
    return every_state(network, pairs, factors)


@settings(max_examples=250, deadline=None)
@given(cases())
def test_every_chance_equals_brute_force(case):
    network, findings = case
    # Findings of under a hundredth of a bit count as unknown by design; none is drawn here but by chance.
    findings = Findings({f: b for f, b in findings.faults.items() if abs(b) >= 0.01}, findings.causes)
    states, weight = _truth(network, findings)
    post = posterior_of(network, findings)
    assert post.method == "exact"
    assert post.error == 0
    expected = states.T @ weight / weight.sum()
    assert np.array([post.chance[c] for c in network.causes]) == pytest.approx(expected, abs=1e-9)
    assert post.log2_evidence == pytest.approx(float(np.log2(weight.sum())), abs=1e-9)


@settings(max_examples=80, deadline=None)
@given(cases(), st.data())
def test_joint_chances_equal_brute_force(case, data):
    network, findings = case
    findings = Findings({f: b for f, b in findings.faults.items() if abs(b) >= 0.01}, findings.causes)
    group = tuple(data.draw(st.lists(st.sampled_from(network.causes), min_size=1, max_size=4, unique=True)))
    states, weight = _truth(network, findings)
    (joint,) = posterior_of(network, findings).joints([group])
    columns = [network.cause_at[cause] for cause in group]
    for state in np.ndindex(*joint.shape):
        fits = np.all(states[:, columns] == state, axis=1)
        assert joint[state] == pytest.approx(weight[fits].sum() / weight.sum(), abs=1e-9)


@settings(max_examples=60, deadline=None)
@given(cases())
def test_leaving_a_finding_out_equals_never_having_had_it(case):
    network, findings = case
    post = posterior_of(network, findings)
    soft = [f for f, b in findings.faults.items() if abs(b) >= 0.01 and b != -math.inf]
    if not soft:
        return
    table = chances_without(post, soft)
    for fault, row in zip(soft, table, strict=True):
        rest = Findings({f: b for f, b in findings.faults.items() if f != fault}, findings.causes)
        expected = posterior_of(network, rest).chance
        assert {c: row[at] for c, at in post.problem.column.items()} == pytest.approx(
            {c: expected[c] for c in post.problem.column}, abs=1e-9
        )


@pytest.mark.parametrize("size", [4, 8, 12])
def test_the_shipped_rules_agree_with_quickscore(size):
    random = np.random.default_rng(size)
    rows = random.choice(len(NETWORK.faults), size + 2, replace=False)
    total, expected = quickscore(NETWORK, rows[:size], rows[size:])
    faults = {NETWORK.faults[r]: math.inf for r in rows[:size]} | {
        NETWORK.faults[r]: -math.inf for r in rows[size:]
    }
    post = posterior_of(NETWORK, Findings(faults))
    assert [post.chance[c] for c in NETWORK.causes] == pytest.approx(list(expected), abs=1e-7)
    assert post.log2_evidence == pytest.approx(math.log2(total), abs=1e-6)


def test_unlikely_findings_keep_their_digits_where_alternating_sums_lose_them():
    """Ten faults of one rare cause each: the chance of all is 1e-30, far below what cancelling terms
    leave."""
    network = tiny([1e-3] * 10, np.eye(10) * 0.9, [1e-4] * 10)
    post = posterior_of(network, sure(network.faults))
    one = (0.9e-3 + 1e-4 * (1 - 0.9e-3), 1e-3 * (1 - 0.1 * (1 - 1e-4)))
    assert post.log2_evidence == pytest.approx(10 * math.log2(one[0]), rel=1e-12)
    assert post.chance["cause.c3"] == pytest.approx(one[1] / one[0], rel=1e-12)
    total, _ = quickscore(network, range(10), [])
    assert abs(total / one[0] ** 10 - 1) > 1e-3


def test_eighteen_present_faults_are_exact_and_more_than_eighteen_too():
    random = np.random.default_rng(5)
    for size in (18, 24):
        faults = list(random.choice(NETWORK.faults, size, replace=False))
        post = posterior_of(NETWORK, sure(faults))
        assert (post.method, post.error) == ("exact", 0.0)
        # Taking the faults in another order must not matter.
        other = posterior_of(NETWORK, sure(reversed(faults)))
        assert dict(other.chance) == pytest.approx(dict(post.chance), abs=1e-12)


def test_what_hangs_together_too_closely_is_sampled_and_says_how_far_off_it_may_be():
    faults = NETWORK.faults[:45]
    assert Problem(NETWORK, sure(faults)).way.width > WIDEST
    post = posterior_of(NETWORK, sure(faults), seed=3)
    again = posterior_of(NETWORK, sure(faults), seed=4)
    assert post.method == "sampled"
    assert 0 < post.error < 0.03
    worst = max(abs(post.chance[c] - again.chance[c]) for c in NETWORK.causes)
    assert worst <= post.error + again.error


def test_sampled_chances_lie_within_their_stated_error_of_the_exact_ones():
    faults = [f for f in NETWORK.faults if f.startswith(("pot.", "delivery."))][:14]
    post = posterior_of(NETWORK, sure(faults))
    problem = post.problem
    drawn = sample(problem.sums.strength, problem.sums.leak, *(part[0] for part in problem.batch(1)), seed=1)
    exact = np.array([post.chance[c] for c in problem.column])
    assert np.abs(drawn.chance - exact).max() <= drawn.error
    assert drawn.joint([0, 1], 2).sum() == pytest.approx(1)


def test_nothing_known_leaves_every_base_rate():
    post = posterior_of(NETWORK, Findings())
    assert [post.chance[c] for c in NETWORK.causes] == pytest.approx(list(NETWORK.base))
    assert post.linked == ()


def test_an_unknown_fault_is_an_error_not_a_guess():
    with pytest.raises(KeyError):
        posterior_of(NETWORK, sure(["head.nods"]))
