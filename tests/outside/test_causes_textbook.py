"""The network's arithmetic against published conventions, a published identity and a general library."""

from __future__ import annotations

import math

import numpy as np
import pytest

from knowledge.causes.findings import Findings, sure
from knowledge.causes.network import network_of
from knowledge.causes.next_check import information
from knowledge.causes.posterior import posterior_of
from knowledge.rulebase import load_rules
from tests.causes.brute import quickscore, tiny

gum = pytest.importorskip("pyagrum")

THREE = tiny(
    (0.10, 0.20, 0.05), np.array([[0.8, 0.5, 0.0], [0.3, 0.6, 0.4], [0.0, 0.2, 0.9]]), (0.05, 0.02, 0.01)
)


@pytest.mark.parametrize(
    ("present", "chance"),
    [
        ("", 0.05),
        ("2", 0.335),
        ("1", 0.62),
        ("12", 0.734),
        ("0", 0.81),
        ("02", 0.867),
        ("01", 0.924),
        ("012", 0.9468),
    ],
)
def test_noisy_or_with_the_leak_as_a_cause_of_its_own(present, chance):
    """1 − (1 − leak) ∏ (1 − c), J. Pearl, Probabilistic Reasoning in Intelligent Systems (1988); leak
    0.05, c 0.8 0.6 0.3."""
    network = tiny((0.5, 0.5, 0.5), np.array([[0.8, 0.6, 0.3]]), (0.05,))
    assert network.chance_of("fault.f0", [f"cause.c{n}" for n in present]) == pytest.approx(chance, abs=1e-12)


@pytest.mark.parametrize(
    ("present", "absent", "evidence", "chances"),
    [
        ((0,), (), 0.21340000, (0.388472, 0.527648, 0.050000)),
        ((0, 1), (), 0.09409143, (0.366335, 0.759151, 0.074584)),
        ((0, 1), (2,), 0.07353337, (0.398006, 0.726983, 0.008272)),
        ((0, 1, 2), (), 0.02055806, (0.253052, 0.874210, 0.311774)),
        ((), (0, 1), 0.70048887, (0.015317, 0.047619, 0.030612)),
    ],
)
def test_a_two_layer_network_gives_the_figures_of_the_published_identity(present, absent, evidence, chances):
    """Identity of D. Heckerman, "A tractable inference algorithm for diagnosing multiple diseases", UAI
    1989, 174-181."""
    faults = {f"fault.f{n}": math.inf for n in present} | {f"fault.f{n}": -math.inf for n in absent}
    post = posterior_of(THREE, Findings(faults))
    assert 2**post.log2_evidence == pytest.approx(evidence, abs=5e-9)
    assert [post.chance[c] for c in THREE.causes] == pytest.approx(chances, abs=5e-7)
    total, by_identity = quickscore(THREE, present, absent)
    assert total == pytest.approx(evidence, abs=5e-9)
    assert list(by_identity) == pytest.approx(chances, abs=5e-7)


def _library(network, causes, faults, *, compound=False):
    """The same network in pyAgrum, restricted to some causes and faults."""
    net = gum.BayesNet()
    for cause in causes:
        net.add(gum.LabelizedVariable(cause, cause, 2))
    for fault in faults:
        row = network.fault_at[fault]
        add = net.addNoisyORCompound if compound else net.addNoisyORNet
        add(gum.LabelizedVariable(fault, fault, 2), float(network.leak[row]))
        for cause in causes:
            strength = float(network.strength[row, network.cause_at[cause]])
            if strength:
                net.addWeightedArc(cause, fault, strength)
    for cause in causes:
        base = float(network.base[network.cause_at[cause]])
        net.cpt(cause).fillWith([1 - base, base])
    return net


def _asked(net, causes, faults):
    engine = gum.LazyPropagation(net)
    engine.setEvidence(faults)
    engine.makeInference()
    return [float(engine.posterior(cause)[1]) for cause in causes], engine.evidenceProbability()


def test_the_other_leak_convention_gives_other_figures_so_ours_is_stated():
    """pyAgrum's two noisy-ORs: "net" has the leak apart, as here; "compound" (M. Henrion) has it inside
    each strength."""
    ours = posterior_of(THREE, sure(["fault.f0"]))
    net, evidence = _asked(_library(THREE, THREE.causes, THREE.faults), THREE.causes, {"fault.f0": 1})
    assert net == pytest.approx([ours.chance[c] for c in THREE.causes], abs=1e-12)
    assert evidence == pytest.approx(0.2134, abs=1e-12)
    other, evidence = _asked(
        _library(THREE, THREE.causes, THREE.faults, compound=True), THREE.causes, {"fault.f0": 1}
    )
    assert evidence == pytest.approx(0.20789474, abs=1e-8)
    assert other == pytest.approx([0.393924, 0.518987, 0.05], abs=1e-6)


@pytest.mark.parametrize("seed", range(4))
def test_the_shipped_network_with_fifteen_causes_equals_a_general_library(seed):
    """pyAgrum, LazyPropagation, on the shipped rules restricted to 15 causes and the faults they are
    linked to."""
    network = network_of(load_rules())
    random = np.random.default_rng(seed)
    columns = np.sort(random.choice(len(network.causes), 15, replace=False))
    causes = tuple(network.causes[c] for c in columns)
    small = type(network)(
        causes, network.faults, network.base[columns], network.strength[:, columns], network.leak
    )
    linked = [f for f in small.faults if small.causes_of(f)]
    named = list(random.choice(linked, min(9, len(linked)), replace=False))
    present = named[:6]
    expected, evidence = _asked(_library(small, causes, named), causes, {f: int(f in present) for f in named})
    post = posterior_of(small, Findings({f: math.inf if f in present else -math.inf for f in named}))
    assert [post.chance[c] for c in causes] == pytest.approx(expected, abs=1e-9)
    assert 2**post.log2_evidence == pytest.approx(evidence, rel=1e-9)


def test_doubtful_reports_equal_the_librarys_virtual_evidence():
    """Soft evidence as a likelihood pair; the library takes the same pair as a likelihood vector."""
    bits = {"fault.f0": 2.0, "fault.f1": -0.5, "fault.f2": 3.9}
    post = posterior_of(THREE, Findings(bits))
    soft = {fault: [2.0**-b, 1.0] if b > 0 else [1.0, 2.0**b] for fault, b in bits.items()}
    expected, _ = _asked(_library(THREE, THREE.causes, THREE.faults), THREE.causes, soft)
    assert [post.chance[c] for c in THREE.causes] == pytest.approx(expected, abs=1e-12)


@pytest.mark.parametrize(
    ("table", "gain"),
    [
        ([[2, 3], [4, 0], [3, 2]], 0.246750),
        ([[3, 4], [6, 1]], 0.151836),
        ([[6, 2], [3, 3]], 0.048127),
    ],
)
def test_information_gain_of_the_classic_tree_example(table, gain):
    """J. R. Quinlan, Machine Learning 1 (1986) 81-106: outlook, humidity, wind over 9 yes, 5 no (data from
    memory)."""
    counts = np.array(table, dtype=float)
    classes = counts.sum(axis=0)
    assert information(counts / classes, classes / classes.sum()) == pytest.approx(gain, abs=1e-6)


def test_information_of_a_check_over_three_exclusive_causes():
    """Prior 0.5 0.3 0.2, positive 0.9 0.4 0.1: entropy 1.485475 before, 1.128557 expected after; by hand."""
    positive = np.array([0.9, 0.4, 0.1])
    assert information(np.stack([positive, 1 - positive]), np.array([0.5, 0.3, 0.2])) == pytest.approx(
        0.356918, abs=1e-6
    )
