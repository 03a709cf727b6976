"""How alike words sound, and how likely they are in the trade's talk."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from journal.voice.context import Context, shipped, split_words
from journal.voice.sounds import distance, from_espeak, from_spelling


@pytest.fixture(scope="module")
def context() -> Context:
    return shipped()


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("cue", "queue"),
        ("butt", "but"),
        ("baulk", "bork"),
        ("sight", "site"),
        ("brake", "break"),
        ("wait", "weight"),
    ],
)
def test_words_that_sound_the_same_have_no_distance(context: Context, one: str, other: str) -> None:
    """Homophones of British English; the pronunciations come from espeak-ng's en-gb rules."""
    assert distance(context.sound_of(one), context.sound_of(other)) == 0


@pytest.mark.parametrize(
    ("term", "near", "far"),
    [
        ("white", "right", "table"),
        ("stun", "stern", "chalk"),
        ("feathering", "fevering", "evening"),
        ("black", "block", "brown"),
        ("jaws", "jars", "reds"),
        ("cushion", "caution", "frame"),
    ],
)
def test_a_mishearing_is_nearer_than_another_word(context: Context, term: str, near: str, far: str) -> None:
    sound = context.sound_of
    assert distance(sound(near), sound(term)) < distance(sound(far), sound(term))


sounds = st.text("ptkbdgszfvmnlrwiIeaAuoOyU3@", max_size=8)


@settings(deadline=None)
@given(sounds, sounds)
def test_distance_is_symmetric_and_nought_only_for_the_same(one: str, other: str) -> None:
    assert distance(one, other) == pytest.approx(distance(other, one))
    assert (distance(one, other) == 0) == (one == other)


def test_espeaks_phoneme_names_become_one_letter_a_sound() -> None:
    assert from_espeak("w_'aI_t") == "w2t"
    assert from_espeak("f_'i:_v_3_r-_I_N") == "fIv@riN" or from_espeak("f_'i:_v_3_r-_I_N") == "fIv@iN"
    assert from_espeak("dZ_'O:_z") == "JOz"


@pytest.mark.parametrize(
    ("word", "sound"), [("cushing", "kuSiN"), ("bake", "b1k"), ("phone", "f5n"), ("", ""), ("'", "")]
)
def test_an_unknown_word_gets_a_sound_from_its_spelling(word: str, sound: str) -> None:
    assert from_spelling(word) == sound


@settings(max_examples=60, deadline=None)
@given(st.text(max_size=20))
def test_any_spelling_has_a_sound(word: str) -> None:
    assert isinstance(from_spelling(word), str)


@pytest.mark.parametrize(
    ("said", "misheard"),
    [
        ("the white was tight on the cushion", "the right was tight on the cushion"),
        ("the butt of the cue", "the but of the queue"),
        ("i went in off", "i went enough"),
        ("no pause before the delivery", "no paws before the delivery"),
    ],
)
def test_context_prefers_what_was_said(context: Context, said: str, misheard: str) -> None:
    assert context.score(split_words(said)) > context.score(split_words(misheard))


def test_chances_after_two_words_stay_below_one(context: Context) -> None:
    total = sum(2.718281828459045 ** context.log_chance("of", "the", word) for word in context.ones)
    assert 0.5 < total <= 1.0
