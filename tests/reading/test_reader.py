"""What a text says: faults with polarity and count, other people's play, questions, plans, figures, cautions."""

from __future__ import annotations

from pathlib import Path

import pytest
import yaml
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from knowledge.reading.reader import OwnWords, Reader
from knowledge.rulebase import load_rules

CASES = yaml.safe_load((Path(__file__).parent / "cautions_cases.yaml").read_text(encoding="utf-8"))
RULES = load_rules()


def told(reader: Reader, text: str) -> set[tuple[str, str, int | None]]:
    return {(m.fault, m.polarity, m.count) for m in reader.read(text).mentions}


def test_lifting_the_head_on_the_long_ones_is_one_fault_with_its_count(reader):
    text = "kept lifting my head on the long ones, about five times, but the cue was dead straight for once"
    mentions = told(reader, text)
    assert ("head.lifts", "present", 5) in mentions
    sure_long = [m for m in reader.read(text).mentions if m.fault == "pot.long" and m.confidence >= 0.5]
    assert not sure_long
    assert {polarity for fault, polarity, _ in mentions if fault == "delivery.cue_wavers"} <= {
        "absent",
        "better",
    }


def test_the_straight_cue_of_that_note_is_told_as_absent_or_better(reader):
    text = "kept lifting my head on the long ones, about five times, but the cue was dead straight for once"
    assert {p for f, p, _ in told(reader, text) if f == "delivery.cue_wavers"} & {"absent", "better"}


def test_pain_and_miscues_in_one_note(reader):
    reading = reader.read("my lower back was killing me and I miscued twice")
    assert ("contact.miscue", "present", 2) in {(m.fault, m.polarity, m.count) for m in reading.mentions}
    (caution,) = reading.cautions
    assert "stop" in caution.advice.lower()
    assert "physician or physiotherapist" in caution.advice


@pytest.mark.parametrize(
    ("text", "fault", "polarity"),
    [
        ("Did not lift my head once tonight.", "head.lifts", "absent"),
        ("no miscues at all this evening", "contact.miscue", "absent"),
        ("I lifted my head far less than last week", "head.lifts", "better"),
        ("lifting my head is getting worse", "head.lifts", "worse"),
        ("coach says I snatch at the ball", "delivery.snatch", "present"),
        ("gripping it too tight again", "grip.tight", "present"),
    ],
)
def test_polarity(reader, text, fault, polarity):
    assert polarity in {p for f, p, _ in told(reader, text) if f == fault}


PLAIN = {
    "Lifted my head five times.": "head.lifts",
    "Snatched at the long ones.": "delivery.snatch",
    "Gripped the cue too tight again.": "grip.tight",
    "Miscued twice off the cushion.": "contact.cushion_miscue",
    "Missed four easy ones.": "pot.easy",
    "Ran out of position with the white too strong all night.": "position.pace",
    "Cue was wobbling from side to side.": "delivery.cue_wavers",
    "Rushed most of my shots.": "delivery.rushed",
}
BESIDE = (
    "Best break 34.",
    "7 out of 10 on the long blues.",
    "Won 3-1.",
    "Two hours tonight.",
    "Table four, lovely cloth.",
)


def test_a_plain_fault_is_told_beside_a_score_or_a_kind_word(reader):
    """Before and after it; the words round a plain report do not make it doubtful."""
    missed = [
        text
        for plain, fault in PLAIN.items()
        for beside in BESIDE
        for text in (f"{beside} {plain}", f"{plain} {beside}")
        if (fault, "present") not in {(f, p) for f, p, _ in told(reader, text)}
    ]
    assert len(missed) <= 8, missed  # of 80; the weakest is "rushed"


@pytest.mark.xfail(strict=True, reason="it is read as absent: people praise with the words every shot")
def test_every_shot_rushed_is_told(reader):
    assert ("delivery.rushed", "present", None) in told(reader, "Rushed every shot.")


@pytest.mark.parametrize(
    "text",
    [
        "My opponent lifted his head on every shot.",
        "Should I move my bridge hand closer?",
        "Next time I will stop lifting my head.",
        "The lad on the next table snatched at everything.",
        "Met the team at seven, had two teas and went home happy.",
    ],
)
def test_what_is_no_sighting(reader, text):
    assert not [m for m in reader.read(text).mentions if m.polarity in ("present", "worse")]


@pytest.mark.parametrize(
    ("text", "count"),
    [
        ("miscued five times", 5),
        ("miscued three or four times", 3),
        ("miscued a couple of times", 2),
        ("miscued about a dozen times", 12),
        ("miscued every other shot", None),
        ("miscued twice", 2),
    ],
)
def test_counts(reader, text, count):
    (mention,) = [m for m in reader.read(text).mentions if m.fault == "contact.miscue"]
    assert mention.count == count


@pytest.mark.parametrize(
    ("text", "scores", "measures"),
    [
        ("7 out of 10 tonight", [(7, 10)], []),
        ("line-up 34", [(34, None)], []),
        ("a break of thirty one", [(31, None)], []),
        ("got to five on the ladder", [(5, None)], []),
        ("seven from ten", [(7, 10)], []),
        ("missed 14 out of 20 long pots", [(6, 20)], []),
        ("bridge about 35 cm", [], [(35, "cm")]),
        ("an hour and a half", [], [(1.5, "h")]),
        ("about a foot too far", [], [(1, "ft")]),
        ("bridge about two hands from the white", [], [(2, "hands")]),
        ("we met on 3/5/2026 at 7:30", [], []),
    ],
)
def test_figures(reader, text, scores, measures):
    reading = reader.read(text)
    assert [(s.value, s.of) for s in reading.scores] == scores
    assert [(m.value, m.unit) for m in reading.measures] == measures


def test_a_figure_is_attached_to_what_the_words_name(reader):
    reading = reader.read("line-up 34 and the bridge was about 35 cm")
    assert reading.scores[0].about == "drill.line_up"
    assert reading.measures[0].about is not None
    assert "bridge" in reading.measures[0].about


@pytest.mark.parametrize("text", CASES["positive"])
def test_pain_is_heard_in_every_form(reader, text):
    hits = reader.read(text).cautions
    assert hits
    assert all(text[hit.start : hit.end] == hit.words for hit in hits)


@pytest.mark.parametrize("text", CASES["negative"])
def test_innocent_words_raise_no_caution(reader, text):
    assert reader.read(text).cautions == ()


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.text(max_size=300))
def test_any_text_is_read_with_spans_inside_it(text):
    reader = Reader(RULES)
    reading = reader.read(text)
    for found in (*reading.mentions, *reading.scores, *reading.measures, *reading.cautions):
        assert 0 <= found.start < found.end <= len(text)
        assert found.words == text[found.start : found.end]
    assert all(0 <= m.confidence <= 1 for m in reading.mentions)
    assert reading == reader.read(text)


@pytest.mark.parametrize(
    "text", ["", "\u202eback to front\u202c", "😀" * 500, "\x00\x01\x02", "ﷺ" * 300, "a" * 5000]
)
def test_odd_texts_do_no_harm(reader, text):
    reader.read(text)


def test_a_very_long_text_is_read_whole(reader):
    text = "Potted a red and went home happy. " * 3000 + "My tip slid off the white twice."
    assert any(m.fault == "contact.miscue" and m.start > 90_000 for m in reader.read(text).mentions)


def test_an_own_utterance_may_say_that_words_mean_no_fault(reader):
    words = "snatched at the last black"
    assert reader.read(words).mentions
    assert reader.read(words, own=OwnWords(((words, "none", "present"),))).mentions == ()


def test_the_examples_of_the_rules_are_recognised_as_their_own_fault(reader):
    """The recogniser was trained without these examples: none of them is learnt by heart.

    They were picked among those that an earlier, cross-validated recogniser got right: a guard, no measure of accuracy.
    """
    right = {
        fault: [reader.guesses(words, 1)[0].fault == fault for words in entry.says]
        for fault, entry in RULES.faults.items()
    }
    assert all(len(each) >= 8 for each in right.values())
    assert {fault: each for fault, each in right.items() if sum(each) < 0.7 * len(each)} == {}
    assert sum(map(sum, right.values())) >= 0.95 * sum(map(len, right.values()))
