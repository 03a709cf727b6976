"""Writing a note: drafts that survive, sightings suggested from the words, and what the person says to
each."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date, datetime
from typing import TYPE_CHECKING

from journal.desk import zone_of
from journal.draft_answers import DraftAnswer, packed, standing, unpacked
from journal.errors import BadInput, EmptyNote, TooLong
from journal.records import (
    Draft,
    Figure,
    Note,
    OwnUtterance,
    Player,
    Polarity,
    RecordId,
    SeenBy,
    Sighting,
    SightingStatus,
)
from journal.store.work import Store, UnitOfWork, new_id
from knowledge.reading.reader import OwnWords, Reader
from knowledge.reading.types import CautionHit, Reading

if TYPE_CHECKING:
    from journal.recordings import Recordings

MAX_LETTERS = 2_000_000
FIELDS = ("went_well", "went_wrong", "next_time")
_ABOUT = ("kind", "minutes", "table_name", "origin", "note_id", "kept")


@dataclass(frozen=True, slots=True)
class NoteWords:
    """The three short fields of a note, and what is known around them.

    note_id: the id the note will have; None for one that is given on saving. kept: names of its recordings.
    answers: what was said to its sightings while it is unfinished.
    """

    went_well: str = ""
    went_wrong: str = ""
    next_time: str = ""
    kind: str = "practice"
    minutes: int | None = None
    table_name: str | None = None
    origin: str = "typed"
    note_id: RecordId | None = None
    kept: tuple[str, ...] = ()
    answers: tuple[DraftAnswer, ...] = ()

    def cleaned(self) -> NoteWords:
        """The same without NUL and other control characters at the edges of the fields."""
        return replace(
            self,
            went_well=clean(self.went_well),
            went_wrong=clean(self.went_wrong),
            next_time=clean(self.next_time),
        )

    @property
    def text(self) -> str:
        """The fields as one text, one a line; a sighting's span lies in it."""
        return "\n".join(part for part in (self.went_well, self.went_wrong, self.next_time) if part)


@dataclass(frozen=True, slots=True)
class TakenNote:
    """A stored note with what was read from it. Cautions are shown wherever the note is."""

    note: Note
    sightings: tuple[Sighting, ...]
    figures: tuple[Figure, ...]
    cautions: tuple[CautionHit, ...]


def clean(text: str) -> str:
    """NUL and control characters become spaces; tabs and line ends stay; the edges are trimmed."""
    kept = "".join(
        letter if letter >= " " or letter in "\n\t" else " " for letter in text.replace("\r\n", "\n")
    )
    return "".join(
        letter for letter in kept if letter != "\x7f" and not 0xD800 <= ord(letter) <= 0xDFFF
    ).strip()


def own_words(work: UnitOfWork, player: Player) -> OwnWords:
    """How this player puts faults, learnt from corrections."""
    return OwnWords(
        tuple(
            (each.text, each.fault, each.polarity.value)
            for each in work.own_utterances.all(player_id=player.id)
        )
    )


def read_words(words: NoteWords, reader: Reader, own: OwnWords | None = None) -> Reading:
    """What the note's words say; the plan for next time is read for cautions and figures only."""
    words = words.cleaned()
    return reader.read(words.text, own=own, plan_from=_plan_start(words))


def take_note(
    words: NoteWords,
    player: Player,
    *,
    store: Store,
    reader: Reader,
    now: datetime,
    played_at: datetime | None = None,
    seen_by: SeenBy = SeenBy.PLAYER,
) -> TakenNote:
    """Store a note at once, then read it and store its sightings, all still suggestions.

    The words are safe before the recogniser starts. Raises: EmptyNote, TooLong.
    """
    words = words.cleaned()
    _check(words)
    with store.work() as work:
        own = own_words(work, player)
        note = work.notes.add(_new_note(work, words, player, now, played_at or now))
        _remove_draft(work, player, words)
        work.commit()
    reading = read_words(words, reader, own)
    sightings, figures = suggested(reading, note, seen_by), figures_of(reading, note)
    with store.work() as work:
        for sighting in sightings:
            work.sightings.add(sighting)
        for figure in figures:
            work.figures.add(figure)
        work.commit()
    return TakenNote(note, sightings, figures, reading.cautions)


def _new_note(work: UnitOfWork, words: NoteWords, player: Player, now: datetime, played: datetime) -> Note:
    note_id, kept = words.note_id, words.kept
    if note_id is None or work.notes.count(id=note_id):  # the same draft was saved in another window
        note_id, kept = new_id(), ()
    return Note(
        player.id,
        note_id,
        played,
        played.astimezone(zone_of(player)).date(),
        now,
        words.went_well,
        words.went_wrong,
        words.next_time,
        words.kind,
        words.minutes,
        words.table_name,
        words.origin,
        " ".join(kept) or None,
    )


def _remove_draft(work: UnitOfWork, player: Player, words: NoteWords) -> None:
    """The draft of this note; one of another note, still open on a screen, stays."""
    draft = work.drafts.one(player_id=player.id)
    if draft is not None and draft.fields.get("note_id") in (None, words.note_id):
        work.drafts.remove(player_id=player.id)


def suggested(reading: Reading, note: Note, seen_by: SeenBy) -> tuple[Sighting, ...]:
    """The reading's mentions as suggestions to be confirmed."""
    return tuple(
        Sighting(
            note.player_id,
            new_id(),
            note.id,
            note.day,
            mention.fault,
            Polarity(mention.polarity),
            mention.count,
            mention.start,
            mention.end,
            mention.words,
            mention.confidence,
            SightingStatus.SUGGESTED,
            seen_by,
        )
        for mention in reading.mentions
    )


def figures_of(reading: Reading, note: Note) -> tuple[Figure, ...]:
    """The reading's scores and measures as records."""
    scores = [
        Figure(note.player_id, new_id(), note.id, note.day, "score", s.value, s.of, None, s.words, s.about)
        for s in reading.scores
    ]
    measures = [
        Figure(
            note.player_id, new_id(), note.id, note.day, "measure", m.value, None, m.unit, m.words, m.about
        )
        for m in reading.measures
    ]
    return (*scores, *measures)


def save_draft(work: UnitOfWork, player: Player, words: NoteWords, now: datetime) -> None:
    """Keep an unfinished note with the answers whose words still stand in it; one with neither words nor kept
    recordings removes the draft.
    """
    if any(getattr(words, name) for name in (*FIELDS, "kept")):
        fields = {name: getattr(words, name) for name in (*FIELDS, *_ABOUT)}
        fields["answers"] = packed(standing(words.answers, words.cleaned().text))
        work.drafts.put(Draft(player.id, now, fields))
    else:
        work.drafts.remove(player_id=player.id)
    work.commit()


def open_draft(work: UnitOfWork, player: Player) -> NoteWords | None:
    """The unfinished note, if there is one."""
    draft = work.drafts.one(player_id=player.id)
    if draft is None:
        return None
    fields = draft.fields
    answers = unpacked(fields.get("answers", ()))
    return NoteWords(**{**fields, "kept": tuple(fields.get("kept", ())), "answers": answers})


def answer(work: UnitOfWork, sighting: Sighting, status: SightingStatus) -> Sighting:
    """Confirm or drop a sighting; a confirmed one is certain."""
    sure = 1.0 if status is SightingStatus.CONFIRMED else sighting.confidence
    return work.sightings.put(replace(sighting, status=status, confidence=sure))


def correct(
    work: UnitOfWork, sighting: Sighting, fault: str | None, now: datetime, polarity: Polarity | None = None
) -> Sighting:
    """The person says what the words meant: another fault (or None for no fault), perhaps another polarity.

    The words are kept as this player's own utterance and used from the next reading on.
    """
    polarity = polarity or sighting.polarity
    if sighting.words:
        own = OwnUtterance(sighting.player_id, new_id(), sighting.words, fault or "none", polarity, now)
        work.own_utterances.add(own)
    if fault is None:
        return answer(work, sighting, SightingStatus.DROPPED)
    return answer(work, replace(sighting, fault=fault, polarity=polarity), SightingStatus.CONFIRMED)


def add_sighting(
    work: UnitOfWork,
    player: Player,
    fault: str,
    day: date,
    *,
    polarity: Polarity = Polarity.PRESENT,
    count: int | None = None,
    seen_by: SeenBy = SeenBy.PLAYER,
) -> Sighting:
    """A sighting without a note ("this is me" on a look-up page, a coach's tick), confirmed at once."""
    sighting = Sighting(
        player.id,
        new_id(),
        None,
        day,
        fault,
        polarity,
        count,
        status=SightingStatus.CONFIRMED,
        seen_by=seen_by,
    )
    return work.sightings.add(sighting)


def this_is_me(work: UnitOfWork, player: Player, fault: str, day: date) -> Sighting | None:
    """A player's own sighting from a look-up page; None, with nothing stored, when that day has one already."""
    known = work.sightings.all(player_id=player.id, fault=fault, day=day, note_id=None)
    if any(s.status is SightingStatus.CONFIRMED and s.polarity is Polarity.PRESENT for s in known):
        return None
    return add_sighting(work, player, fault, day)


def erase_note(work: UnitOfWork, player: Player, note_id: RecordId, recordings: Recordings) -> None:
    """Remove a note with its sightings, figures and kept recordings.

    The sound goes before the rows are committed: a crash in between leaves a note without sound, never sound
    without a note. Raises: BadInput, CannotWrite.
    """
    work.figures.remove(player_id=player.id, note_id=note_id)
    if not work.notes.remove(player_id=player.id, id=note_id):
        raise BadInput("there is no such note", "Look at: plainball history")
    recordings.erase_note(player.id, note_id)


def _plan_start(words: NoteWords) -> int | None:
    if not words.next_time:
        return None
    return len(words.text) - len(words.next_time)


def _check(words: NoteWords) -> None:
    if not words.text.strip():
        raise EmptyNote("the note has no words", "Write or say at least one sentence.")
    if len(words.text) > MAX_LETTERS:
        raise TooLong(
            f"the note has {len(words.text):,} letters",
            f"At most {MAX_LETTERS:,}. Split it into several notes.",
        )
    if words.minutes is not None and not 0 < words.minutes <= 24 * 60:
        raise BadInput(f"{words.minutes} minutes cannot be right", "Give 1 to 1440 minutes, or leave it out.")
