"""The next check brings most information a minute among what can be done, and knows when to stop."""

from __future__ import annotations

import itertools

import numpy as np
import pytest

from knowledge.causes.diagnose import diagnose
from knowledge.causes.findings import Findings, sure
from knowledge.causes.network import network_of
from knowledge.causes.next_check import Means, best_check, candidates, information, weigh_checks
from knowledge.causes.order import before_technique, ranked
from knowledge.causes.outcomes import UNCLEAR, outcome_table, told_causes
from knowledge.causes.posterior import posterior_of
from knowledge.causes.questions import questions_back
from knowledge.causes.reports import Report, findings_of, with_answer
from knowledge.entries import LIKELIHOOD_RATIO, Check
from knowledge.rulebase import load_rules

RULES = load_rules()
NETWORK = network_of(RULES)
HUNCHED = ("stance.cramped", "bridge.arm_cramped", "bridge.too_short")


def find(faults, **about):
    return diagnose(RULES, NETWORK, sure(faults), **about)


@pytest.mark.parametrize("check", RULES.checks.values(), ids=lambda check: check.id)
def test_outcomes_of_every_check_add_up_to_one_in_every_state(check):
    table = outcome_table(check)
    assert table.min() >= 0
    assert np.allclose(table.sum(axis=0), 1)


def _check(*signs: dict[str, str]) -> Check:
    outcomes = [{"id": f"o{n}", "result": "x", "signs": sign} for n, sign in enumerate(signs)]
    return Check.model_validate(
        {
            "id": "check.made_up",
            "name": "x",
            "do": "x",
            "minutes": 5,
            "needs": ["alone"],
            "outcomes": outcomes,
        }
    )


@pytest.mark.parametrize(("yes", "no"), [("++", "--"), ("+", "-"), ("++", "-"), ("+", "--")])
def test_a_two_way_check_has_exactly_the_ratios_of_the_rules(yes, no):
    table = outcome_table(_check({"cause.a": yes}, {"cause.a": no}, {}))
    assert table[0, 1] / table[0, 0] == pytest.approx(LIKELIHOOD_RATIO[yes], rel=1e-2)
    assert table[1, 1] / table[1, 0] == pytest.approx(LIKELIHOOD_RATIO[no], rel=1e-2)
    assert table[2] == pytest.approx([UNCLEAR, UNCLEAR], rel=1e-2)


def test_the_bits_equal_the_mutual_information_over_all_outcomes_by_hand():
    """Against adding up P(outcome, state) over all states of a check's causes, from the joint chances."""
    post = posterior_of(NETWORK, sure(["bridge.too_long", "delivery.cue_wavers", "bridge.too_short"]))
    check = RULES.checks["check.bridge_measure"]
    group = told_causes(check)
    (joint,) = post.joints([group])
    table, by_hand = outcome_table(check), 0.0
    for outcome, state in itertools.product(range(len(check.outcomes)), np.ndindex(*joint.shape)):
        both = table[(outcome, *state)] * joint[state]
        alone = sum(table[(outcome, *other)] * joint[other] for other in np.ndindex(*joint.shape))
        by_hand += both * np.log2(both / (alone * joint[state]))
    ((_, bits),) = weigh_checks(post, [check], group)
    assert bits == pytest.approx(by_hand, abs=1e-12)
    assert bits == pytest.approx(information(table, joint), abs=1e-12)


def test_what_an_outcome_would_change_is_what_it_does_change():
    """For a check of one cause with exact ratios, the forecast equals the posterior after the answer."""
    findings = sure(["bridge.unstable", "pot.power", "delivery.body_moves"])
    post = posterior_of(NETWORK, findings)
    choice = best_check(RULES, post)
    assert choice is not None
    for would in choice.would:
        after = posterior_of(NETWORK, with_answer(findings, RULES, choice.check.id, would.outcome))
        for cause, chance in would.after.items():
            assert after.chance[cause] == pytest.approx(chance, abs=0.02)
    assert sum(would.chance for would in choice.would) == pytest.approx(1)


def test_the_best_check_has_the_best_rate_among_checks_of_the_candidates():
    post = posterior_of(NETWORK, sure(HUNCHED))
    choice = best_check(RULES, post)
    about = candidates(post)
    rates = {c.id: b / c.minutes for c, b in weigh_checks(post, RULES.checks.values(), about)}
    assert choice is not None
    assert not any(before_technique(RULES, cause) for cause in about)
    assert rates[choice.check.id] == pytest.approx(max(rates.values()))


@pytest.mark.parametrize(
    "means",
    [
        Means(partner=False, phone=False), Means(partner=False, phone=True), Means(partner=True, phone=False),
        Means(at_table=False), Means(partner=False, phone=False, at_table=False), Means(minutes=3),
    ],
)  # fmt: skip
def test_only_what_can_be_done_now_is_proposed(means):
    have = {"alone"} | ({"partner"} if means.partner else set()) | ({"phone"} if means.phone else set())
    for fault in RULES.faults:
        choice = best_check(RULES, posterior_of(NETWORK, sure([fault])), means)
        if choice is not None:
            assert have & set(choice.check.needs)
            assert means.at_table or not choice.check.at_table
            assert means.minutes is None or choice.check.minutes <= means.minutes


def test_a_check_that_was_done_is_not_proposed_again():
    post, done = posterior_of(NETWORK, sure(HUNCHED)), set[str]()
    while (choice := best_check(RULES, post, done=done)) is not None:
        assert choice.check.id not in done
        done.add(choice.check.id)
    assert 3 < len(done) < len(RULES.checks)


def test_equipment_is_asked_about_before_technique_when_about_as_telling():
    choice = best_check(RULES, posterior_of(NETWORK, sure(["contact.miscue"])))
    assert choice is not None
    assert any(before_technique(RULES, cause) for cause in told_causes(choice.check))


def test_ties_go_to_the_cheaper_check_then_health_then_the_order_of_the_shot():
    level = dict.fromkeys(("cause.hit_impulse", "cause.tip_worn", "cause.spin_decay_unknown"), 0.3)
    assert ranked(RULES, level) == ["cause.tip_worn", "cause.hit_impulse", "cause.spin_decay_unknown"]
    # All four are checked in five minutes: health, then sight, feet and mind.
    five = [
        "cause.eyesight_uncorrected",
        "cause.target_vague",
        "cause.overstretch",
        "cause.technique_thoughts",
    ]
    assert ranked(RULES, dict.fromkeys(reversed(five), 0.2)) == five
    assert ranked(RULES, {"cause.tip_worn": 0.3, "cause.hit_impulse": 0.31})[0] == "cause.hit_impulse"


@pytest.mark.parametrize("faults", [["head.lifts"], ["head.lifts", "pot.thin"]])
def test_fewer_than_three_sightings_get_a_check_and_no_verdict(faults):
    found = find(faults)
    assert (found.verdict, found.next_check is None) == ("open", False)
    assert "too few notes" in found.reason


def test_two_sightings_stay_open_however_clear_the_answer():
    found = diagnose(
        RULES, NETWORK, findings_of(RULES, [Report("bridge.too_long", d, who="film") for d in (1, 2)], [], 2)
    )
    assert found.verdict == "open"


def test_a_cause_at_eight_tenths_settles_and_stops_the_checks():
    findings = with_answer(sure(HUNCHED), RULES, "check.step_back_10", "back_is_easier")
    found = diagnose(RULES, NETWORK, findings)
    assert (found.verdict, found.next_check, found.causes[0].id) == ("settled", None, "cause.too_near_ball")
    assert found.causes[0].probability >= 0.8


def test_when_no_check_would_move_it_it_says_so_and_whose_look_would():
    nothing = Means(partner=False, phone=False, minutes=0.5)
    found = find(["delivery.across", "arm.elbow_out", "stance.off_line"], means=nothing)
    assert (found.next_check, found.verdict == "settled") == (None, False)
    assert "cannot tell" in found.reason
    assert found.coach_look is not None
    every = find(["delivery.across", "arm.elbow_out", "stance.off_line"], done=set(RULES.checks))
    assert every.next_check is None
    assert "coach" in (every.coach_look or "")


def test_broad_faults_name_no_cause_but_ask_for_a_check():
    for fault in ("pot.long", "pot.easy", "position.screw_fails", "mind.practice_gap"):
        found = find([fault])
        assert found.verdict == "open"
        assert found.next_check is not None
        assert len(found.leaders) > 1


@pytest.mark.parametrize(
    ("faults", "cause"),
    [
        (("contact.cushion_miscue", "bridge.cushion_poor", "delivery.butt_low"), "cause.butt_kept_flat"),
        (HUNCHED, "cause.too_near_ball"),
        (
            ("contact.push_stroke", "delivery.backswing_long", "delivery.stops_short"),
            "cause.close_ball_unlearned",
        ),
        (("bridge.too_long", "delivery.cue_wavers", "delivery.backswing_long"), "cause.bridge_too_far"),
    ],
)
def test_known_players_come_to_the_right_change_within_three_checks(faults, cause):
    """Each answer is the one that speaks most for the player's true cause, or else the one against the
    asked cause."""
    findings, done = sure(faults), set[str]()
    for _ in range(4):
        found = diagnose(RULES, NETWORK, findings, done=done)
        if found.verdict == "settled":
            break
        assert found.next_check is not None
        check = found.next_check.check
        done.add(check.id)
        findings = with_answer(findings, RULES, check.id, _answer(check, cause))
    assert found.verdict == "settled"
    assert found.causes[0].id == cause
    assert len(done) <= 3


def _answer(check: Check, cause: str) -> str:
    def fits(outcome):
        own = LIKELIHOOD_RATIO.get(outcome.signs.get(cause, ""), 1.0)
        others = np.prod([LIKELIHOOD_RATIO[sign] for c, sign in outcome.signs.items() if c != cause])
        return own / others

    return max(check.outcomes, key=fits).id


def test_reasons_add_up_to_what_leaving_them_out_changes():
    found = find(["head.lifts", "pot.thin", "pot.easy"])
    top = found.causes[0]
    without = posterior_of(NETWORK, sure(["pot.thin", "pot.easy"])).chance[top.id]
    head = next(reason for reason in top.why.speaks_for if reason.id == "head.lifts")
    odds = [p / (1 - p) for p in (top.probability, without)]
    assert head.bits == pytest.approx(np.log2(odds[0] / odds[1]), abs=1e-3)


def test_a_check_that_spoke_against_a_cause_is_named_against_it():
    findings = with_answer(sure(HUNCHED), RULES, "check.bridge_measure", "about_2_hands")
    found = diagnose(RULES, NETWORK, findings)
    near = next(cause for cause in found.causes if cause.id == "cause.bridge_too_near")
    assert "check.bridge_measure" in [reason.id for reason in near.why.against]


def test_questions_back_ask_what_is_not_told_and_never_more_than_three():
    post = posterior_of(NETWORK, sure(["grip.tight", "delivery.snatch"]))
    asked = questions_back(RULES, post)
    assert 1 <= len(asked) <= 3
    assert not {"grip.tight", "delivery.snatch"} & {question.about for question in asked}
    assert [q.bits for q in asked] == sorted((q.bits for q in asked), reverse=True)


def test_nothing_reported_gives_no_cause_and_no_check():
    found = diagnose(RULES, NETWORK, Findings(reports=0))
    assert (found.causes, found.next_check, found.verdict, found.reason) == (
        (),
        None,
        "open",
        "nothing was reported yet",
    )
