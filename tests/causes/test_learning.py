"""A club's own confirmed causes move the shipped values a little, visibly, and can be forgotten."""

from __future__ import annotations

from datetime import UTC, date, datetime

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from journal.diagnosis import player_network
from journal.learning import forget, learnt, moved, relearn
from journal.players import add_player
from journal.records import Change, ChangeStatus, Polarity, Sighting, SightingStatus
from journal.store.work import new_id, open_store
from knowledge.causes.findings import sure
from knowledge.causes.learning import PRIOR_CASES, Case, beta_mean, learn
from knowledge.causes.network import network_of
from knowledge.rulebase import load_rules

RULES = load_rules()
NETWORK = network_of(RULES)
NOW = datetime(2026, 5, 12, 19, tzinfo=UTC)
FAR = "cause.bridge_too_far"


@settings(deadline=None)
@given(st.floats(0.01, 0.99), st.integers(0, 500), st.data())
def test_a_value_is_the_mean_of_the_updated_beta_distribution(shipped, cases, data):
    scipy_stats = pytest.importorskip("scipy.stats")
    hits = data.draw(st.integers(0, cases))
    a, b = shipped * PRIOR_CASES + hits, (1 - shipped) * PRIOR_CASES + cases - hits
    assert beta_mean(shipped, hits, cases) == pytest.approx(float(scipy_stats.beta(a, b).mean()))


def test_confirmed_cases_raise_a_base_rate_towards_what_the_club_sees():
    base = NETWORK.base[NETWORK.cause_at[FAR]]
    case = Case(sure(["bridge.too_long"]), frozenset({FAR}))
    few, many = learn(NETWORK, [case] * 3), learn(NETWORK, [case] * 60)
    assert base < few.bases[FAR] < many.bases[FAR] < 1
    assert few.bases[FAR] == pytest.approx(beta_mean(base, 3, 3))
    refuted = learn(NETWORK, [Case(sure(["bridge.too_long"]), refuted=frozenset({FAR}))] * 3)
    assert refuted.bases[FAR] < base


def test_a_fault_that_comes_with_its_cause_strengthens_the_link_and_a_denied_one_weakens_it():
    link = ("bridge.too_long", FAR)
    shipped = NETWORK.strength[NETWORK.fault_at[link[0]], NETWORK.cause_at[FAR]]
    seen = learn(NETWORK, [Case(sure([link[0]]), frozenset({FAR}))] * 10).strengths[link]
    denied = learn(NETWORK, [Case(type(sure([]))({link[0]: -9.0}), frozenset({FAR}))] * 10).strengths[link]
    assert denied < shipped < seen


def test_players_drawn_from_the_shipped_values_leave_them_about_where_they_are():
    """Confirming what is true in 300 drawn players must not drift: 4 standard errors of the drawn share."""
    random = np.random.default_rng(4)
    cases = []
    for _ in range(300):
        causes = random.random(len(NETWORK.causes)) < NETWORK.base
        quiet = (1 - NETWORK.leak) * np.prod(np.where(causes, 1 - NETWORK.strength, 1.0), axis=1)
        seen = random.random(len(NETWORK.faults)) > quiet
        asked = random.choice(len(NETWORK.faults), 6, replace=False)
        bits = {NETWORK.faults[f]: np.inf if seen[f] else -np.inf for f in asked}
        there = {c: bool(causes[n]) for c, n in NETWORK.cause_at.items() if n % 8 == 0}
        yes, no = (
            frozenset(c for c, is_there in there.items() if is_there is side) for side in (True, False)
        )
        cases.append(Case(type(sure([]))(bits), yes, no))
    found = learn(NETWORK, cases)
    for cause, now in found.bases.items():
        base = NETWORK.base[NETWORK.cause_at[cause]]
        assert now == pytest.approx(base, abs=4 * np.sqrt(base * (1 - base) / 300) + 0.005)


def test_nothing_confirmed_moves_nothing():
    assert learn(NETWORK, [Case(sure(["head.lifts"]))] * 50).bases == {}


@pytest.fixture
def journal(tmp_path):
    store = open_store(tmp_path / "club.db")
    yield store
    store.close()


def _confirmed(work, player, status):
    day = date(2026, 5, 1)
    for fault in ("bridge.too_long", "delivery.cue_wavers", "delivery.backswing_long"):
        work.sightings.add(
            Sighting(player.id, new_id(), None, day, fault, Polarity.PRESENT, status=SightingStatus.CONFIRMED)
        )
    work.changes.add(
        Change(
            player.id,
            new_id(),
            "bridge.too_long",
            FAR,
            "x",
            (),
            None,
            "m",
            day,
            day,
            status,
            date(2026, 5, 10),
        )
    )


def test_a_kept_change_is_learnt_shown_used_and_forgotten(journal):
    with journal.work() as work:
        player = add_player(work, "Wren", now=NOW)
        _confirmed(work, player, ChangeStatus.KEPT)
        relearn(work, RULES, today=NOW.date())
        first = learnt(work, RULES)
        relearn(work, RULES, today=NOW.date())
        assert learnt(work, RULES) == first, "learning twice from the same cases counts them once"
        rows = {row.what: row for row in moved(work, RULES)}
        assert rows[FAR].now > rows[FAR].shipped
        assert rows[FAR].cases == 1
        used = player_network(work, RULES, player)
        assert used.base[used.cause_at[FAR]] == pytest.approx(rows[FAR].now)
        forget(work)
        assert moved(work, RULES) == []
        back = player_network(work, RULES, player)
        assert back.base[back.cause_at[FAR]] == pytest.approx(NETWORK.base[NETWORK.cause_at[FAR]])


def test_another_clubs_journal_learns_nothing(journal, tmp_path):
    with journal.work() as work:
        _confirmed(work, add_player(work, "Wren", now=NOW), ChangeStatus.KEPT)
        relearn(work, RULES, today=NOW.date())
        work.commit()
    other = open_store(tmp_path / "other.db")
    with other.work() as work:
        assert learnt(work, RULES).bases == {}
    other.close()
