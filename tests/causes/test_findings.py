"""What was reported, by whom and when, becomes bits by the stated formula."""

from __future__ import annotations

import math

import pytest

from knowledge.causes.deciding import WORDS, deciding_words
from knowledge.causes.findings import Findings
from knowledge.causes.network import network_of
from knowledge.causes.people import network_for
from knowledge.causes.posterior import posterior_of
from knowledge.causes.reports import Answer, Report, fault_bits, findings_of, with_answer
from knowledge.rulebase import load_rules

RULES = load_rules()
NETWORK = network_of(RULES)
SEEN = math.log2(0.3 / 0.02)
DENIED = math.log2(0.7 / 0.98)


def bits(*reports: Report, today: int = 100) -> dict[str, float]:
    return fault_bits(reports, today)


@pytest.mark.parametrize(
    ("report", "expected"),
    [
        (Report("f", 100), SEEN),
        (Report("f", 100, who="coach"), 2 * SEEN),
        (Report("f", 100, who="film"), 3 * SEEN),
        (Report("f", 100, "worse"), 1.5 * SEEN),
        (Report("f", 100, "better"), 0.5 * SEEN),
        (Report("f", 100, "absent"), DENIED),
        (Report("f", 100, "absent", "coach"), 2 * DENIED),
        (Report("f", 100, count=2), SEEN),
        (Report("f", 100, count=3), 1.2 * SEEN),
        (Report("f", 40), SEEN / 2),
        (Report("f", -20), SEEN / 4),
        (Report("f", 130), SEEN),
    ],
)
def test_one_report_is_worth_what_the_formula_says(report, expected):
    assert bits(report)["f"] == pytest.approx(expected)


def test_ten_mentions_of_one_day_count_once_and_three_days_thrice():
    assert bits(*[Report("f", 100)] * 10)["f"] == pytest.approx(SEEN)
    assert (
        bits(*(Report("f", day) for day in (100, 100, 100)))["f"]
        < bits(*(Report("f", day) for day in (98, 99, 100)))["f"]
    )


def test_a_day_that_saw_it_outweighs_the_same_day_denying_it():
    assert bits(Report("f", 100, "absent", "film"), Report("f", 100, "better"))["f"] == pytest.approx(
        SEEN / 2
    )


def test_an_old_fault_denied_session_after_session_turns_against_itself():
    old = Report("f", -80)
    assert bits(old)["f"] > 0
    assert bits(old, *(Report("f", day, "absent") for day in range(97, 101)))["f"] < 0


def test_what_nobody_mentions_is_unknown_and_moves_nothing():
    found = findings_of(RULES, [Report("head.lifts", 100)], [], 100)
    assert set(found.faults) == {"head.lifts"}


def test_a_coach_moves_the_causes_more_than_the_player():
    chance = {
        who: posterior_of(
            NETWORK, findings_of(RULES, [Report("bridge.too_long", 100, who=who)], [], 100)
        ).chance
        for who in ("player", "coach", "film")
    }
    far = [chance[who]["cause.bridge_too_far"] for who in ("player", "coach", "film")]
    assert NETWORK.base[NETWORK.cause_at["cause.bridge_too_far"]] < far[0] < far[1] < far[2]


@pytest.mark.parametrize(
    ("text", "word"),
    [
        ("I snatch, but only in matches", "matches"),
        ("in matches only I tighten up", "matches"),
        ("it happens mostly late in the evening", "late"),
        ("missing only when tired", "late"),
        ("goes wrong only on that table", "table"),
        ("short of pace on table four, fine on the other tables", "table"),
        ("only with the rest do I miss them", "rest"),
        ("misses only on hard shots", "power"),
        ("just with power the bridge slips", "power"),
        ("miscues since I had a new tip", "tip"),
        ("since the retip it slides off", "tip"),
        ("since the new tip", "tip"),
    ],
)
def test_deciding_words_are_heard(text, word):
    assert [found.id for found in deciding_words(text)] == [word]


@pytest.mark.parametrize(
    "text",
    [
        "won my match on Saturday", "the rest went well", "late again for practice", "power shots were fine",
        "only missed two", "need a new tip soon", "table was fast tonight", "just missed the match ball",
    ],
)  # fmt: skip
def test_plain_words_decide_nothing(text):
    assert deciding_words(text) == ()


@pytest.mark.parametrize(
    ("word", "fault", "cause"),
    [
        ("only in matches", "delivery.snatch", "cause.arousal_high"),
        ("only on that table", "position.pace", "cause.table_speed_new"),
        ("since the new tip", "contact.miscue", "cause.tip_worn"),
        ("only with the rest", "pot.rest", "cause.rest_setup_poor"),
        ("only with power", "bridge.unstable", "cause.power_over_limit"),
        ("only late in the session", "pot.easy", "cause.fatigue"),
    ],
)
def test_a_deciding_word_raises_its_causes_and_lowers_the_fault_s_others(word, fault, cause):
    plain = posterior_of(NETWORK, findings_of(RULES, [Report(fault, 100)], [], 100)).chance
    told = posterior_of(NETWORK, findings_of(RULES, [Report(fault, 100, words=word)], [], 100)).chance
    assert told[cause] > plain[cause] + 0.05
    pointed = next(each.causes for each in WORDS if deciding_words(word)[0].id == each.id)
    others = [c for c in NETWORK.causes_of(fault) if c not in pointed]
    assert others
    assert all(told[c] < plain[c] for c in others)


def test_a_word_said_five_times_counts_once():
    reports = [Report("delivery.snatch", day, words="only in matches") for day in range(96, 101)]
    found = findings_of(RULES, reports, [], 100)
    assert found.causes["cause.arousal_high"] == {"words.matches": pytest.approx(math.log2(3), abs=1e-3)}


@pytest.mark.parametrize(("sign", "ratio"), [("over_2_5_hands", 5.0), ("about_2_hands", 0.2)])
def test_an_answer_multiplies_the_odds_by_its_likelihood_ratio(sign, ratio):
    before = NETWORK.base[NETWORK.cause_at["cause.bridge_too_far"]]
    found = findings_of(RULES, [], [Answer("check.bridge_measure", sign, 100)], 100)
    after = posterior_of(NETWORK, found).chance["cause.bridge_too_far"]
    assert after / (1 - after) == pytest.approx(ratio * before / (1 - before))


def test_a_check_done_again_replaces_its_older_answer():
    answers = [
        Answer("check.bridge_measure", "over_2_5_hands", 99),
        Answer("check.bridge_measure", "about_2_hands", 100),
    ]
    found = findings_of(RULES, [], answers, 100)
    assert found.bits_of("cause.bridge_too_far") == pytest.approx(math.log2(0.2))
    first = findings_of(RULES, [], answers[:1], 100)
    assert with_answer(first, RULES, "check.bridge_measure", "about_2_hands").bits_of(
        "cause.bridge_too_far"
    ) == pytest.approx(math.log2(0.2))


def test_an_unclear_answer_moves_nothing_and_is_no_evidence():
    found = with_answer(Findings(reports=2), RULES, "check.bridge_measure", "unclear")
    assert (found.causes, found.reports) == ({}, 2)


def test_faults_and_checks_the_rules_no_longer_have_are_left_out():
    found = findings_of(RULES, [Report("head.nods", 100)], [Answer("check.gone", "yes", 100)], 100)
    assert (found.faults, found.causes, found.reports) == ({}, {}, 0)


def test_level_and_hand_move_the_base_rates_a_little():
    def base(cause, **who):
        network = network_for(NETWORK, **who)
        return network.base[network.cause_at[cause]]

    gap = "cause.basics_gap"
    assert base(gap, level="beginner") > base(gap, level="club") > base(gap, level="strong")
    assert base(gap, level="club") == pytest.approx(NETWORK.base[NETWORK.cause_at[gap]])
    assert base("cause.feet_line_wrong", hand="left") > base("cause.feet_line_wrong", hand="right")
