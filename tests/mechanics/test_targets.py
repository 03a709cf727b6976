"""Checkpoint numbers: from the tape, from height, from own trials."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from knowledge.body import Body, estimate
from knowledge.mechanics.inputs import ImpossibleInput
from knowledge.targets import Target, best_setting, targets, with_trials


def named(body: Body) -> dict[str, Target]:
    return {t.quantity: t for t in targets(body)}


def test_measures_beat_estimates_and_each_says_which_it_is() -> None:
    found = named(Body(height=1750, hand=200, table="men"))
    assert found["bridge distance"].value == 400
    assert found["bridge distance"].basis == "measured"
    assert found["foot spacing"].basis == "estimated from height"
    assert found["foot spacing"].spread > found["bridge distance"].spread / 2


def test_all_the_promised_numbers_are_there_from_height_alone() -> None:
    assert set(named(Body(height=1700))) == {
        "bridge distance", "chin gap", "foot spacing", "angle of the back foot's line", "template tape",
        "cue travel through the white", "butt height on the rail",
    }  # fmt: skip


def test_nothing_is_guessed_about_an_unknown_body() -> None:
    assert set(named(Body())) == {"butt height on the rail"}


def test_an_unstated_table_widens_the_spread() -> None:
    mixed = estimate("shoulder breadth", 1700)
    assert mixed.spread > max(estimate("shoulder breadth", 1700, t).spread for t in ("men", "women"))  # type: ignore[arg-type]


def test_a_mistyped_measure_is_doubted() -> None:
    assert Body(height=1750, hand=120, table="men").doubts()
    assert not Body(height=1750, hand=195, table="men").doubts()


@given(st.lists(st.floats(250, 450), min_size=1, max_size=40))
def test_trials_pull_the_target_between_book_and_own_mean(trials: list[float]) -> None:
    """Normal prior and normal trials: the posterior mean, here by its closed form."""
    book = named(Body(hand=190))["bridge distance"]
    moved = with_trials(book, trials, spread=20.0)
    prior = max(book.spread, (book.high - book.low) / 4)
    mean = (book.value / prior**2 + sum(trials) / 400) / (1 / prior**2 + len(trials) / 400)
    assert moved.value == pytest.approx(mean)
    assert moved.spread == pytest.approx(math.sqrt(1 / (1 / prior**2 + len(trials) / 400)))
    own = sum(trials) / len(trials)
    assert min(book.value, own) - 1e-9 <= moved.value <= max(book.value, own) + 1e-9


def test_many_trials_replace_the_book() -> None:
    book = named(Body(hand=190))["bridge distance"]
    moved = with_trials(book, [310.0] * 40, spread=20.0)
    assert moved.basis == "own trials"
    assert moved.value == pytest.approx(310.0, abs=2.0)
    assert with_trials(book, [310.0]).basis == "book and own trials"
    assert with_trials(book, []) is book


def test_a_trial_without_a_difference_decides_nothing() -> None:
    flat, flat_spread = best_setting([(285, 6, 10), (380, 6, 10), (475, 6, 10)])
    clear, clear_spread = best_setting([(285, 2, 20), (380, 19, 20), (475, 3, 20)])
    assert flat == pytest.approx(380, abs=1)
    assert clear == pytest.approx(380, abs=1)
    assert clear_spread < 5
    assert flat_spread > 60


@pytest.mark.parametrize(
    "wrong", [{"height": 17.5}, {"hand": -190}, {"shoulders": 4000}, {"height": math.nan}, {"upper_arm": 20}]
)
def test_impossible_bodies_are_refused(wrong: dict[str, float]) -> None:
    with pytest.raises(ImpossibleInput):
        Body(**wrong)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    "results", [[(280, 5, 10)], [(280, 11, 10), (380, 5, 10)], [(280, 0, 0), (380, 1, 2)]]
)
def test_impossible_trials_are_refused(results: list[tuple[float, int, int]]) -> None:
    with pytest.raises(ImpossibleInput):
        best_setting(results)
