"""Who may be kept, and what is refused."""

from __future__ import annotations

import pytest

from journal.errors import BadInput, NeedsConsent, UnknownPlayer
from journal.players import SAFEGUARDING, add_player, change_player, find_player, may_be_minor
from tests.conftest import NOW


def test_nobody_under_18_is_kept_without_a_guardians_consent(desk):
    with desk.store.work() as work:
        with pytest.raises(NeedsConsent) as caught:
            add_player(work, "Junior", now=NOW, birth_year=2012)
        assert "safeguarding" in caught.value.hint
        kept = add_player(work, "Junior", now=NOW, birth_year=2012, guardian_consent="father, 3 May")
        assert may_be_minor(kept, NOW)
    assert "welfare officer" in SAFEGUARDING


def test_consent_cannot_be_taken_out_of_a_minors_record(desk):
    with desk.store.work() as work:
        kept = add_player(work, "Junior", now=NOW, birth_year=2012, guardian_consent="father")
        with pytest.raises(NeedsConsent):
            change_player(work, kept, now=NOW, guardian_consent=" ")


@pytest.mark.parametrize("bare", ["yes", "Yes.", "ok", "no", "y", "3.5.2026", "yes, ok", "-"])
def test_a_consent_that_names_nobody_is_asked_for_again(desk, bare):
    with desk.store.work() as work:
        with pytest.raises(NeedsConsent, match="does not say who consented") as caught:
            add_player(work, "Junior", now=NOW, birth_year=2012, guardian_consent=bare)
        assert "who consented" in caught.value.hint
        assert work.players.count() == 0


@pytest.mark.parametrize("named", ["mother, 3 May", "yes, Bo Tarn", "ok by dad", "мама", "Jo"])
def test_a_consent_that_names_somebody_is_taken(desk, named):
    with desk.store.work() as work:
        kept = add_player(work, "Junior", now=NOW, birth_year=2012, guardian_consent=named)
    assert kept.guardian_consent == named


@pytest.mark.parametrize(
    ("about", "what"),
    [
        ({"hand_mm": 18.5}, "hand of 18.5 mm"),
        ({"height_mm": 176}, "height of 176 mm"),
        ({"hand": "both"}, "hand 'both'"),
        ({"level": "pro"}, "level 'pro'"),
        ({"birth_year": 1066}, "1066"),
        ({"time_zone": "Mars/Base"}, "Mars/Base"),
    ],
)
def test_what_cannot_be_right_is_refused_by_name(desk, about, what):
    with desk.store.work() as work, pytest.raises(BadInput, match=what):
        add_player(work, "Ida", now=NOW, **about)


@pytest.mark.parametrize("name", ["", "   ", "x" * 61, "a\x00b"])
def test_a_name_must_be_printable_and_short(desk, name):
    with desk.store.work() as work, pytest.raises(BadInput):
        add_player(work, name, now=NOW)


def test_two_players_cannot_share_a_name(desk, player):
    with desk.store.work() as work, pytest.raises(BadInput, match="already"):
        add_player(work, "ansel", now=NOW)


def test_an_unknown_player_is_named_with_the_nearest(desk, player):
    with desk.store.work() as work:
        with pytest.raises(UnknownPlayer) as caught:
            find_player(work, "Ansle")
        assert "Ansel" in caught.value.hint


def test_with_several_players_the_first_stays_current_until_another_is_chosen(desk, player):
    with desk.store.work() as work:
        add_player(work, "Zoe", now=NOW)
        assert find_player(work, None).name == "Ansel"
