"""Trade terms put right: what is mended, what is left alone, and that everything can be taken back."""

from __future__ import annotations

import re
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from journal.voice.repair import Repair, repair, undo
from knowledge.entries import Term
from tests.quality.voice import harm, load, terms

MENDED = [
    ("The white was on the bulk line.", "The white was on the baulk line."),
    ("The queue ball went in off.", "The cue ball went in off."),
    ("My fevering was too quick.", "My feathering was too quick."),
    ("I had the but of the queue too high.", "I had the butt of the cue too high."),
    ("But of the queue too high again.", "Butt of the cue too high again."),
    ("He left me on the bulk cushion twice.", "He left me on the baulk cushion twice."),
    ("I missed the bulk colors.", "I missed the baulk colours."),
    ("Czech side made me miss the pot.", "Check side made me miss the pot."),
    ("I miss queued twice tonight.", "I miscued twice tonight."),
    ("The object bowl hit the jar of the pocket.", "The object ball hit the jaw of the pocket."),
    (
        "With the right tight on the cushion I raised the butt.",
        "With the white tight on the cushion I raised the butt.",
    ),
    (
        "My queue action was smooth but my bridge was loose.",
        "My cue action was smooth but my bridge was loose.",
    ),
]


@pytest.mark.parametrize(("heard", "meant"), MENDED)
def test_a_misheard_term_is_put_right(heard: str, meant: str) -> None:
    assert repair(heard, terms())[0] == meant


@pytest.mark.parametrize(
    "text",
    [
        "I stood in the queue but the bulk of the people had gone.",
        "The long sentence is no sentence about the queue at the bar.",
        "We had to queue for a table, but it was worth it.",
        "Pack your bag and put it on the other side.",
        "The bulk line items are on the next page.",
        "My father had a fever, but he got no further.",
        "",
        "   ",
        "...",
        "147",
    ],
)
def test_what_was_right_is_left_alone(text: str) -> None:
    assert repair(text, terms()) == (text, ())


@pytest.mark.parametrize("half", ["tune", "report"])
def test_no_ordinary_sentence_is_made_worse(half: str) -> None:
    """378 everyday sentences, many with bulk, queue, but, pack and side; the weights never saw the second
    half."""
    assert len(load("ordinary", half)) >= 150
    assert harm(half) == []


@pytest.mark.parametrize("entry", load("spoken"), ids=lambda entry: entry["text"][:30])
def test_a_note_that_was_heard_rightly_stays_as_it_is(entry: dict[str, str]) -> None:
    assert repair(entry["text"], terms()) == (entry["text"], ())


def test_each_repair_says_where_what_was_heard_and_what_was_meant() -> None:
    text, repairs = repair("Bulk line safety. Then the queue ball, and the but of the queue!", terms())
    assert text == "Baulk line safety. Then the cue ball, and the butt of the cue!"
    assert [(text[r.start : r.end], r.heard) for r in repairs] == [
        ("Baulk line", "Bulk line"),
        ("cue ball", "queue ball"),
        ("butt of the cue", "but of the queue"),
    ]


def test_undo_from_the_last_to_the_first_gives_back_what_was_heard() -> None:
    for heard, _ in MENDED:
        text, repairs = repair(heard, terms())
        assert repairs
        for one in reversed(repairs):
            text = undo(text, one)
        assert text == heard


def test_undo_refuses_a_text_that_has_changed_there() -> None:
    with pytest.raises(ValueError, match="baulk"):
        undo("something else", Repair(0, 5, "bulk", "baulk"))


def test_a_repaired_text_needs_no_second_repair() -> None:
    for _, meant in MENDED:
        assert repair(meant, terms()) == (meant, ())


def test_a_players_own_word_is_put_right_when_nothing_else_can_have_been_said() -> None:
    own = ("Brindlewick",)
    assert (
        repair("Practised at Brindelwick on Monday.", terms(), own)[0]
        == "Practised at Brindlewick on Monday."
    )
    assert repair("Practised at home on Monday.", terms(), own)[1] == ()


def test_a_coachs_own_term_counts_as_a_term() -> None:
    term = Term(id="term.zigger", term="zigger", meaning="a made-up drill", misheard=("ziggar",), own=True)
    text, _ = repair("I did the ziggar drill with the cue ball on the baulk line.", (*terms(), term))
    assert "zigger drill" in text


def test_without_terms_nothing_of_the_vocabulary_is_put_in() -> None:
    assert repair("The white was tight on the question.", ()) == ("The white was tight on the question.", ())


words = st.sampled_from(
    re.split(
        " ", "the bulk queue but of line ball white I was on a fevering Czech side . , ! cue 4 butt's – é"
    )
)


@settings(max_examples=150, deadline=None)
@given(st.lists(words, max_size=14), st.sampled_from([" ", "  ", "\n"]))
def test_offsets_hold_and_undo_restores_for_any_text(parts: list[str], gap: str) -> None:
    heard = gap.join(parts)
    text, repairs = repair(heard, terms())
    assert all(text[r.start : r.end] == r.meant for r in repairs)
    assert all(a.end <= b.start for a, b in pairwise(repairs))
    for one in reversed(repairs):
        text = undo(text, one)
    assert text == heard
