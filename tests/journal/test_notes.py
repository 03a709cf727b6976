"""A note keeps its words first, then what was understood; the person has the last say."""

from __future__ import annotations

import pytest

from journal.errors import BadInput, EmptyNote, TooLong
from journal.history import fault_rows, last_intention, past_notes
from journal.notes import (
    MAX_LETTERS,
    NoteWords,
    add_sighting,
    answer,
    clean,
    correct,
    erase_note,
    open_draft,
    own_words,
    save_draft,
    take_note,
)
from journal.records import Polarity, SightingStatus
from tests.conftest import NOW

HEAD = "kept lifting my head on the long ones, about five times, but the cue was dead straight for once"


def take(desk, player, wrong="", **more):
    return take_note(
        NoteWords(went_wrong=wrong, **more), player, store=desk.store, reader=desk.reader, now=NOW
    )


def test_a_note_is_stored_with_its_sightings_as_suggestions(desk, player):
    taken = take(desk, player, HEAD)
    (head,) = [s for s in taken.sightings if s.fault == "head.lifts"]
    assert (head.polarity, head.count, head.status) == (Polarity.PRESENT, 5, SightingStatus.SUGGESTED)
    assert taken.note.text[head.start : head.end] == head.words
    with desk.store.work() as work:
        assert work.sightings.count(note_id=taken.note.id) == len(taken.sightings)


def test_pain_gets_the_caution_and_no_drill(desk, player, rules):
    from journal.prescription import prescribe

    taken = take(desk, player, "my lower back was killing me and I miscued twice")
    (caution,) = taken.cautions
    assert "stop" in caution.advice.lower()
    assert "physician or physiotherapist" in caution.advice
    assert {(s.fault, s.count) for s in taken.sightings} >= {("contact.miscue", 2)}
    assert prescribe("stance.strain", rules, player).drills == ()


def test_the_words_are_safe_before_the_recogniser_starts(desk, player):
    class Broken:
        def read(self, *_args, **_more):
            raise RuntimeError("the recogniser fell over")

    with pytest.raises(RuntimeError):
        take_note(NoteWords(went_wrong="snatched it"), player, store=desk.store, reader=Broken(), now=NOW)
    with desk.store.work() as work:
        assert [note.went_wrong for note in work.notes.all()] == ["snatched it"]


def test_a_plan_for_next_time_is_no_sighting(desk, player):
    taken = take(desk, player, "good session", next_time="stop lifting my head, stop snatching")
    assert taken.sightings == ()
    with desk.store.work() as work:
        assert last_intention(work, player).next_time.startswith("stop lifting")


@pytest.mark.parametrize("words", ["", "   \n\t ", "\x00\x00"])
def test_a_note_without_words_is_refused(desk, player, words):
    with pytest.raises(EmptyNote):
        take(desk, player, words)


def test_a_text_beyond_the_limit_is_refused_and_a_megabyte_is_not(desk, player):
    with pytest.raises(TooLong):
        take(desk, player, "a" * (MAX_LETTERS + 1))


def test_nul_bytes_and_lone_surrogates_are_cleaned(desk, player):
    taken = take(desk, player, "snatched\x00 the black \ud800 again")
    assert "\x00" not in taken.note.text
    assert clean("a\x00b\x7f\ud800c") == "a bc"


def test_impossible_minutes_are_refused(desk, player):
    with pytest.raises(BadInput):
        take(desk, player, "fine", minutes=-5)


def test_a_draft_comes_back_and_goes_when_the_note_is_taken(desk, player):
    with desk.store.work() as work:
        save_draft(work, player, NoteWords(went_wrong="half a sent"), NOW)
    with desk.store.work() as work:
        assert open_draft(work, player).went_wrong == "half a sent"
    take(desk, player, "whole sentence")
    with desk.store.work() as work:
        assert open_draft(work, player) is None


def test_an_emptied_draft_is_removed(desk, player):
    with desk.store.work() as work:
        save_draft(work, player, NoteWords(went_wrong="x"), NOW)
        save_draft(work, player, NoteWords(), NOW)
        assert open_draft(work, player) is None


def test_confirm_drop_and_correct(desk, player):
    taken = take(desk, player, HEAD)
    first = taken.sightings[0]
    with desk.store.work() as work:
        assert answer(work, first, SightingStatus.CONFIRMED).confidence == 1.0
        assert answer(work, first, SightingStatus.DROPPED).status is SightingStatus.DROPPED
        changed = correct(work, first, "stance.stands_tall", NOW)
        assert (changed.fault, changed.status) == ("stance.stands_tall", SightingStatus.CONFIRMED)
        assert own_words(work, player).utterances[-1][1] == "stance.stands_tall"


def test_a_correction_is_used_from_the_next_note_on(desk, player):
    """What a person corrects is how they put it: the same words then mean what they said."""
    words = "my arm went all jelly on that one"
    before = desk.reader.read(words)
    with desk.store.work() as work:
        from journal.records import OwnUtterance
        from journal.store.work import new_id

        work.own_utterances.add(
            OwnUtterance(player.id, new_id(), words, "arm.elbow_drops", Polarity.PRESENT, NOW)
        )
        work.commit()
        own = own_words(work, player)
    after = desk.reader.read(words, own=own)
    assert [m.fault for m in after.mentions] == ["arm.elbow_drops"]
    assert before == desk.reader.read(words)


def test_history_shows_notes_and_each_fault_through_time(desk, player):
    take(desk, player, HEAD)
    take(desk, player, "lifted my head twice")
    with desk.store.work() as work:
        add_sighting(work, player, "grip.tight", NOW.date())
        rows = {row.fault: row for row in fault_rows(work, player)}
        assert rows["head.lifts"].times == 7
        assert rows["head.lifts"].days == (NOW.date(),)
        assert rows["grip.tight"].confirmed == 1
        assert len(past_notes(work, player)) == 2
        assert len(past_notes(work, player, 1)) == 1


def test_a_note_is_erased_with_its_sightings(desk, player):
    taken = take(desk, player, HEAD)
    with desk.store.work() as work:
        erase_note(work, player, taken.note.id, desk.recordings)
        work.commit()
        assert (work.notes.count(), work.sightings.count(), work.figures.count()) == (0, 0, 0)
        with pytest.raises(BadInput):
            erase_note(work, player, taken.note.id, desk.recordings)


def test_corrections_become_an_addition_to_the_rules_that_passes_their_check(desk, player, tmp_path):
    from journal.contribution import contribution
    from knowledge.rulebase import read_rules

    taken = take(
        desk, player, "The stick was nodding like a donkey. Snatched the last black. Went home: sad."
    )
    with desk.store.work() as work:
        sighting = add_sighting(work, player, "head.lifts", taken.note.day)
        for words, fault, polarity in (
            ("the stick was nodding like a donkey: again", "delivery.cue_wavers", Polarity.PRESENT),
            ("the stick was nodding like a donkey: again", "delivery.cue_wavers", Polarity.WORSE),
            ("no donkey tonight", "delivery.cue_wavers", Polarity.ABSENT),
            ("went home sad", None, Polarity.PRESENT),
        ):
            correct(work, _with_words(sighting, words), fault, NOW, polarity)
        text = contribution(work.own_utterances.all(), desk.rules)
    (tmp_path / "words.yaml").write_text(text, encoding="utf-8")
    base, problems = read_rules(tmp_path)
    assert not problems
    added = set(base.faults["delivery.cue_wavers"].says) - set(desk.rules.faults["delivery.cue_wavers"].says)
    assert added == {"the stick was nodding like a donkey: again"}
    assert "# no fault: went home sad\n" in text
    assert "# delivery.cue_wavers absent: no donkey tonight\n" in text


def _with_words(sighting, words):
    from dataclasses import replace

    return replace(sighting, words=words)
