"""One change at a time, and questions answered unseen: on a real journal."""

from __future__ import annotations

import json
from datetime import UTC, date, datetime, timedelta

import pytest

from journal.changes import end_change, running, start_change
from journal.cli.main import entry
from journal.diagnosis import answer_check, diagnose_player, means_of, take_back_answer
from journal.errors import BadInput, ChangeRunning, UnknownEntry
from journal.players import add_player
from journal.records import (
    ChangeStatus,
    Match,
    Note,
    Polarity,
    SeenBy,
    Sighting,
    SightingStatus,
)
from journal.remote import draft_reply
from journal.store.work import new_id, open_store
from knowledge.causes.next_check import Means
from knowledge.reading.types import CautionHit, Mention, Reading
from knowledge.rulebase import load_rules

RULES = load_rules()
NOW = datetime(2026, 5, 12, 19, tzinfo=UTC)
TODAY = NOW.date()
HUNCHED = ("stance.cramped", "bridge.arm_cramped", "bridge.too_short")


@pytest.fixture
def work(tmp_path):
    store = open_store(tmp_path / "j.db")
    with store.work() as work:
        yield work
    store.close()


@pytest.fixture
def player(work):
    return add_player(work, "Wren", now=NOW, hand_mm=190)


def see(work, player, *faults, day=TODAY, status=SightingStatus.CONFIRMED, by=SeenBy.PLAYER, **about):
    for fault in faults:
        work.sightings.add(
            Sighting(
                player.id,
                new_id(),
                about.get("note"),
                day,
                fault,
                about.get("polarity", Polarity.PRESENT),
                start=about.get("start", 0),
                end=about.get("end", 0),
                status=status,
                seen_by=by,
            )
        )


def look(work, player, **about):
    return diagnose_player(work, RULES, player, today=TODAY, **about)


def test_suggestions_and_dropped_sightings_are_no_evidence(work, player):
    see(work, player, *HUNCHED, status=SightingStatus.SUGGESTED)
    see(work, player, *HUNCHED, status=SightingStatus.DROPPED)
    assert look(work, player).causes == ()


def test_everything_ever_reported_counts_with_the_old_counting_less(work, player):
    see(work, player, "bridge.too_short", day=TODAY - timedelta(days=300))
    old = look(work, player).posterior.chance["cause.bridge_too_near"]
    see(work, player, "bridge.too_short", day=TODAY)
    assert look(work, player).posterior.chance["cause.bridge_too_near"] > old


def test_the_sentence_around_a_sighting_holds_its_deciding_words(work, player):
    text = "I snatch at it, only in matches. The rest was fine."
    note = work.notes.add(Note(player.id, new_id(), NOW, TODAY, NOW, went_wrong=text))
    see(work, player, "delivery.snatch", note=note.id, start=0, end=13)
    told = look(work, player)
    assert "words.matches" in told.posterior.findings.reasons
    arousal = next(cause for cause in told.causes if cause.id == "cause.arousal_high")
    assert "words.matches" in [reason.id for reason in arousal.why.speaks_for]


def test_an_answer_settles_and_the_step_back_unsettles(work, player):
    see(work, player, *HUNCHED, by=SeenBy.FILM)
    before = look(work, player)
    answer_check(work, RULES, player, "step_back_10", "back_is_easier", now=NOW)
    settled = look(work, player)
    assert (before.verdict, settled.verdict) == ("likely", "settled")
    assert take_back_answer(work, player) is not None
    assert look(work, player).verdict == "likely"
    assert take_back_answer(work, player) is None


def test_an_answered_or_skipped_check_is_not_asked_again_until_weeks_later(work, player):
    see(work, player, *HUNCHED)
    first = look(work, player).next_check.check.id
    assert look(work, player, skipped={first}).next_check.check.id != first
    answer_check(work, RULES, player, first, "unclear", now=NOW)
    assert look(work, player).next_check.check.id != first
    later = diagnose_player(work, RULES, player, today=TODAY + timedelta(days=30))
    assert later.next_check.check.id == first


@pytest.mark.parametrize(("check", "outcome"), [("nope", "x"), ("check.tip_look", "nope"), ("", "")])
def test_an_unknown_check_or_outcome_is_refused_with_the_choices(work, player, check, outcome):
    with pytest.raises(UnknownEntry) as caught:
        answer_check(work, RULES, player, check, outcome, now=NOW)
    assert caught.value.hint


def test_what_is_at_hand_comes_from_plain_words():
    assert means_of("phone, home", 5) == Means(False, True, False, False, 5)
    with pytest.raises(BadInput):
        means_of("telescope")
    with pytest.raises(BadInput):
        means_of(None, float("nan"))


def _settled(work, player):
    see(work, player, *HUNCHED, by=SeenBy.FILM)
    answer_check(work, RULES, player, "step_back_10", "back_is_easier", now=NOW)


def test_a_settled_cause_becomes_one_whole_change(work, player):
    _settled(work, player)
    plan = start_change(work, RULES, player, today=TODAY)
    change = plan.change
    assert change.cause == "cause.too_near_ball"
    assert change.fault in HUNCHED
    assert change.instruction == RULES.causes[change.cause].first_fix
    assert change.instruction.count(".") == 1
    assert set(change.drills) <= set(RULES.drills)
    assert plan.drills
    assert plan.checkpoint is not None
    assert (change.stop_on - change.started_on).days == 20
    assert change.measure
    assert running(work, player) == change


def test_the_checkpoint_has_the_players_own_number(work, player):
    see(work, player, "bridge.too_long", by=SeenBy.FILM)
    plan = start_change(work, RULES, player, today=TODAY, cause="bridge_too_far")
    assert "380 mm" in plan.checkpoint.value


def test_a_second_change_is_refused_with_the_reason_and_the_way_out(work, player):
    _settled(work, player)
    start_change(work, RULES, player, today=TODAY)
    with pytest.raises(ChangeRunning) as caught:
        start_change(work, RULES, player, today=TODAY + timedelta(days=3), cause="grip_squeeze")
    assert "runs until" in caught.value.message
    assert "change PLAYER end" in caught.value.hint
    end_change(work, player, ChangeStatus.DROPPED, today=TODAY + timedelta(days=3), words="no gain")
    assert start_change(
        work, RULES, player, today=TODAY + timedelta(days=4), cause="grip_squeeze"
    ).change.fault


def test_an_open_verdict_starts_no_change_and_names_the_check(work, player):
    see(work, player, "pot.long")
    with pytest.raises(BadInput) as caught:
        start_change(work, RULES, player, today=TODAY)
    assert "check." in caught.value.hint


@pytest.mark.parametrize(("ahead", "refused"), [(0, True), (7, True), (8, False), (-1, False)])
def test_nothing_new_starts_close_before_an_important_match(work, player, ahead, refused):
    _settled(work, player)
    work.matches.add(Match(player.id, new_id(), TODAY + timedelta(days=ahead), 1170))
    if refused:
        with pytest.raises(BadInput, match="too near"):
            start_change(work, RULES, player, today=TODAY)
    assert start_change(work, RULES, player, today=TODAY, despite_match=True).change


def test_pain_gets_a_referral_and_no_drill(work, player):
    see(work, player, "stance.strain", "stance.stands_tall", "delivery.butt_high")
    for about in ({"cause": "body_limits"}, {"cause": "cue_tilted", "fault": "stance.strain"}):
        with pytest.raises(BadInput) as caught:
            start_change(work, RULES, player, today=TODAY, **about)
        assert "physiotherapist" in caught.value.hint
    assert running(work, player) is None
    assert "physiotherapist" in start_change(work, RULES, player, today=TODAY, cause="cue_tilted").caution


def test_a_change_can_be_extended_once_and_then_has_to_end(work, player):
    _settled(work, player)
    change = start_change(work, RULES, player, today=TODAY).change
    longer = end_change(work, player, ChangeStatus.EXTENDED, today=TODAY + timedelta(days=20))
    assert (longer.stop_on - change.stop_on).days == 14
    assert running(work, player) == longer
    with pytest.raises(BadInput):
        end_change(work, player, ChangeStatus.EXTENDED, today=TODAY + timedelta(days=30))
    ended = end_change(work, player, ChangeStatus.KEPT, today=TODAY + timedelta(days=34))
    assert ended.ended_on == TODAY + timedelta(days=34)
    assert running(work, player) is None
    with pytest.raises(BadInput):
        end_change(work, player, ChangeStatus.KEPT, today=TODAY)


def ask(work, player, *faults, text="I keep doing it", cautions=()):
    mentions = tuple(Mention(fault, "present", None, 0.9, 0, len(text), text) for fault in faults)
    return draft_reply(work, RULES, player, text, Reading(mentions, cautions=cautions), now=NOW, today=TODAY)


def test_a_draft_says_what_is_unseen_asks_back_and_names_cause_check_drill_and_date(work, player):
    draft = ask(work, player, "bridge.unstable", "pot.power")
    assert 1 <= len(draft.questions) <= 3
    assert all(question.text in draft.text for question in draft.questions)
    assert "I have not seen you play" in draft.text
    assert draft.unseen
    assert RULES.causes[draft.diagnosis.causes[0].id].name in draft.text
    assert draft.diagnosis.next_check.check.do in draft.text
    for part in ("One drill:", "Keep an eye on:", "Write again on 26 May"):
        assert part in draft.text
    assert not work.check_results.count(player_id=player.id)


def test_a_question_about_pain_gets_a_referral_and_nothing_to_practise(work, player):
    hit = CautionHit("caution.back", "doctor", "back", "Stop and see a doctor.", 0, 4)
    for draft in (ask(work, player, "bridge.unstable", cautions=(hit,)), ask(work, player, "stance.strain")):
        assert draft.caution
        assert draft.caution in draft.text
        assert "One drill" not in draft.text


def test_a_question_in_which_nothing_is_understood_asks_for_the_facts(work, player):
    draft = ask(work, player, text="What do you think of me?")
    assert draft.questions == ()
    assert "since when" in draft.text


def test_a_young_pupils_draft_points_the_coach_to_safeguarding_beside_the_reply(work, player):
    pupil = add_player(work, "Pip", now=NOW, birth_year=2012, guardian_consent="mother, 3 May")
    draft = ask(work, pupil, "head.lifts")
    assert "safeguarding" in draft.for_coach
    assert "coach:" not in draft.text
    assert "guardian" not in draft.text
    assert ask(work, player, "head.lifts").for_coach is None


def test_the_commands_go_from_sightings_to_a_change_and_back(tmp_path, capsys):
    place = str(tmp_path / "c.db")

    def run(*args: str) -> tuple[int, str]:
        status = entry(["--journal", place, *args])
        return status, capsys.readouterr().out

    assert run("players", "add", "Wren")[0] == 0
    store = open_store(place)
    with store.work() as work:
        player = work.players.one(name="Wren")
        see(work, player, *HUNCHED, by=SeenBy.FILM, day=date.today())
        work.commit()
    store.close()
    before = json.loads(run("cause", "Wren", "--json")[1])
    assert before["verdict"] == "likely"
    assert set(before["next_check"]) == {"id", "minutes", "needs", "bits"}
    assert set(before["causes"][0]) == {"id", "probability", "for", "against"}
    assert run("change", "Wren", "start")[0] == 1
    after = json.loads(run("check", "Wren", "step_back_10", "back_is_easier", "--json")[1])
    assert (after["verdict"], after["next_check"]) == ("settled", None)
    assert "check.step_back_10" in [reason["id"] for reason in after["causes"][0]["for"]]
    assert run("change", "Wren", "start")[0] == 0
    assert run("change", "Wren", "start")[0] == 1
    assert json.loads(run("change", "Wren", "--json")[1])["running"]["cause"] == "cause.too_near_ball"
    assert run("change", "Wren", "end", "kept", "--words", "more room")[0] == 0
    assert "cause.too_near_ball" in run("cause", "--learnt")[1]
    assert "shipped" in run("cause", "--forget")[1]
    sheet = run("check", "Wren", "tip_look")[1]
    assert all(outcome.id in sheet for outcome in RULES.checks["check.tip_look"].outcomes)


def test_a_bare_list_opens_no_journal(tmp_path, capsys):
    place = tmp_path / "none.db"
    assert (
        entry(["--journal", str(place), "cause", "--faults", "head.lifts,pot.thin,pot.easy", "--json"]) == 0
    )
    assert not place.exists()
    assert json.loads(capsys.readouterr().out)["causes"][0]["id"] == "cause.looks_up_early"


@pytest.mark.parametrize("faults", ["", ",", "head.nods", "head.lifts,head.nods", "x" * 5000])
def test_a_bare_list_with_an_unknown_fault_is_refused(faults, capsys):
    assert entry(["cause", "--faults", faults, "--json"]) == 1
    assert capsys.readouterr().err.startswith("plainball: ")
