"""A dilemma's answers tried in shuffled order: every try kept, counted over days, and honest about the result."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import date, timedelta

import numpy as np
import pytest

from journal import practice, table_trial
from journal.desk import Desk
from journal.dilemmas import judge_trial
from journal.errors import BadInput, UnknownEntry
from journal.notes import NoteWords, add_sighting, take_note
from journal.records import ItemKind, Player
from journal.store.work import UnitOfWork
from journal.table_trial import Trial
from journal.trials import Tally
from journal.ui.widgets.big_words import LETTERS, width_of
from knowledge.rulebase import RuleBase
from tests.conftest import NOW

TODAY = NOW.date()
ARM = "dilemma.bridge_arm"


@pytest.fixture
def work(desk: Desk, player: Player) -> Iterator[UnitOfWork]:
    with desk.store.work() as work:
        yield work


def begin(work: UnitOfWork, rules: RuleBase, player: Player, tries: int = 10, later: int = 0) -> Trial:
    days = timedelta(days=later)
    return table_trial.begin(work, rules, player, ARM, now=NOW + days, today=TODAY + days, tries=tries)


def play(work: UnitOfWork, trial: Trial, hits: dict[str, int]) -> Trial:
    """All tries, so many hits of each setting first."""
    left = dict(hits)
    while trial.next_setting is not None:
        name = trial.settings[trial.next_setting]
        trial = table_trial.score(work, trial, left[name] > 0)
        left[name] -= 1
    return trial


def test_every_answer_comes_equally_often_and_in_no_plain_order(work, rules, player):
    trial = begin(work, rules, player, tries=20)
    assert [trial.order.count(n) for n in range(3)] == [20, 20, 20]
    assert list(trial.order) != sorted(trial.order)
    assert any(trial.order[n] != trial.order[n % 3] for n in range(60)), "no answer can be told beforehand"


def test_hits_are_counted_for_the_answer_that_was_played(work, rules, player):
    wanted = {"straight arm": 7, "slightly bent": 2, "clearly bent": 5}
    trial = play(work, begin(work, rules, player), wanted)
    found = table_trial.standing(work, rules, player, ARM)
    assert {tally.setting: (tally.hits, tally.tries) for tally in found.tallies} == {
        name: (hits, 10) for name, hits in wanted.items()
    }
    assert found.going == (30, 30)
    table_trial.finish(work, trial)
    assert table_trial.standing(work, rules, player, ARM).going is None


def test_a_trial_goes_on_where_it_stopped_and_only_one_is_open(work, rules, player):
    trial = table_trial.score(work, begin(work, rules, player), True)
    again = begin(work, rules, player, tries=30)
    assert (again.result.id, again.order) == (trial.result.id, trial.order)
    assert again.next_setting == trial.next_setting
    assert work.results.count(player_id=player.id) == 1


def test_undo_takes_the_last_try_back_and_nothing_more(work, rules, player):
    trial = begin(work, rules, player)
    once = table_trial.score(work, trial, True)
    assert table_trial.undo(work, table_trial.score(work, once, False)).result.detail["balls"] == [1]
    assert table_trial.undo(work, table_trial.undo(work, once)).next_setting == trial.next_setting


def test_no_try_is_taken_beyond_the_last(work, rules, player):
    trial = play(work, begin(work, rules, player), dict.fromkeys(rules.dilemmas[ARM].settings, 5))
    with pytest.raises(BadInput, match="all 30 tries are played"):
        table_trial.score(work, trial, True)
    assert table_trial.undo(work, trial).next_setting == trial.order[-1]


def test_days_are_counted_together_until_one_answer_is_best(work, rules, player):
    hits = {"straight arm": 9, "slightly bent": 3, "clearly bent": 4}
    table_trial.finish(work, play(work, begin(work, rules, player), hits))
    one_day = table_trial.standing(work, rules, player, ARM)
    assert one_day.verdict is not None
    assert one_day.verdict.winner is None, "ten of each decide nothing"
    assert one_day.verdict.more == 10
    table_trial.finish(work, play(work, begin(work, rules, player, later=1), hits))
    two_days = table_trial.standing(work, rules, player, ARM)
    assert two_days.days == 2
    assert two_days.verdict is not None
    assert two_days.verdict.winner == "straight arm"


def test_before_every_answer_was_tried_nothing_is_said(work, rules, player):
    assert table_trial.standing(work, rules, player, ARM).verdict is None
    table_trial.score(work, begin(work, rules, player), True)
    assert table_trial.standing(work, rules, player, ARM).verdict is None


def test_a_trial_without_a_try_leaves_nothing(work, rules, player):
    assert table_trial.finish(work, begin(work, rules, player)) is None
    assert work.results.count(player_id=player.id) == 0


def test_a_trial_is_no_interrupted_drill(work, rules, player):
    table_trial.score(work, begin(work, rules, player), True)
    assert practice.resume(work, player) is None
    (result,) = work.results.all(player_id=player.id)
    assert (result.kind, result.open) == (ItemKind.TRIAL, True)


def test_settings_that_a_coach_renamed_are_not_counted_together(work, rules, player):
    table_trial.finish(work, table_trial.score(work, begin(work, rules, player), True))
    (result,) = work.results.all(player_id=player.id)
    work.results.put(replace(result, detail={**result.detail, "settings": ["a", "b", "c"]}))
    assert table_trial.standing(work, rules, player, ARM).days == 0


def test_pain_stops_a_trial_that_touches_it_and_is_shown_with_the_others(work, rules, player):
    add_sighting(work, player, "stance.strain", TODAY)
    with pytest.raises(BadInput) as caught:
        table_trial.begin(work, rules, player, "dilemma.chin_on_cue", now=NOW, today=TODAY)
    assert "physician or physiotherapist" in caught.value.hint
    assert work.results.count(player_id=player.id) == 0
    assert "physician" in (table_trial.standing(work, rules, player, ARM).caution or "")


def test_a_trial_that_takes_weeks_is_told_in_words_instead(work, rules, player):
    with pytest.raises(BadInput) as caught:
        table_trial.begin(work, rules, player, "dilemma.blocks_or_random", now=NOW, today=TODAY)
    assert "a week each" in caught.value.hint


@pytest.mark.parametrize(
    "call", [table_trial.standing, lambda w, r, p, i: table_trial.begin(w, r, p, i, now=NOW, today=TODAY)]
)
def test_an_unknown_dilemma_is_named(work, rules, player, call):
    with pytest.raises(UnknownEntry, match=r"dilemma\.nothing"):
        call(work, rules, player, "dilemma.nothing")


def test_what_the_notes_ask_for_comes_first_and_the_interrupted_before_it(desk, work, rules, player):
    work.commit()
    work._connection.rollback()
    words = "Coach says hold the cue lightly, the book says hold it firmly or it twists."
    take_note(NoteWords("", words, ""), player, store=desk.store, reader=desk.reader, now=NOW)
    first = table_trial.offers(work, rules, player)[0]
    assert (first.dilemma.id, first.asked) == ("dilemma.grip", True)
    begin(work, rules, player)
    assert [each.dilemma.id for each in table_trial.offers(work, rules, player)[:2]] == [ARM, "dilemma.grip"]


def test_every_shipped_setting_can_be_read_from_afar(rules):
    """It has a letter for each sign and fits into 76 columns."""
    tried = [dilemma for dilemma in rules.dilemmas.values() if table_trial.can_be_tried(dilemma)]
    assert len(tried) >= 20
    for dilemma in tried:
        for name in dilemma.settings:
            assert set(name.lower()) <= set(LETTERS), name
            assert width_of(name) <= 76, name
        assert dilemma.hit
        assert len(dilemma.settings) == len(set(dilemma.settings))


@pytest.mark.parametrize(("settings", "low", "high"), [(2, 1 / 8, 1 / 4.5), (3, 1 / 40, 1 / 13)])
def test_the_doubt_about_a_winner_is_what_equal_answers_give(settings, low, high):
    """Simulated: 400 trials of equally good answers, looked at after 20, 40 and 60 tries of each."""
    random, known, wins = np.random.default_rng(5), {}, 0

    def decided(hits: tuple[int, ...], tries: int) -> bool:
        key = (tuple(sorted(hits)), tries)
        if key not in known:
            verdict = judge_trial([Tally(str(n), h, tries) for n, h in enumerate(key[0])])
            known[key] = verdict.winner is not None
        return known[key]

    for _ in range(400):
        hits = np.cumsum(random.binomial(20, 0.6, size=(3, settings)), axis=0)
        wins += any(decided(tuple(map(int, hits[day])), 20 * (day + 1)) for day in range(3))
    assert low <= wins / 400 <= high
    said = table_trial.doubt_of_winner(settings)
    assert ("1 in 6" if settings == 2 else "1 in 20") in said


def test_the_order_differs_from_day_to_day(work, rules, player):
    first = begin(work, rules, player)
    table_trial.finish(work, table_trial.score(work, first, True))
    assert begin(work, rules, player, later=1).order != first.order


def test_today_is_the_players_day(work, rules, player):
    begin(work, rules, player)
    (result,) = work.results.all(player_id=player.id)
    assert result.day == date(2026, 5, 12)
