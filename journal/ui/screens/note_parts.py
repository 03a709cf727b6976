"""The note screen's right side, and where its words come from."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from textual import on
from textual.app import ComposeResult
from textual.containers import Vertical
from textual.content import Content
from textual.message import Message
from textual.widgets import Static

from journal.ui.answers import Answers, Said, Seen, store_answers
from journal.ui.base import JournalScreen, Working
from journal.ui.widgets.sighting_list import SightingList
from journal.ui.words import entry_name, plural

if TYPE_CHECKING:
    from journal.notes import NoteWords, TakenNote
    from journal.recordings import Kept
    from journal.records import Figure, Player
    from journal.ui.app import JournalApp
    from knowledge.reading.types import CautionHit, Measure, Reading, Score
    from knowledge.rulebase import RuleBase

FIELDS = (
    ("went_well", "What went well", "one or two sentences"),
    ("went_wrong", "What did not", "in your own words; how often, if you know"),
    ("next_time", "Next time", "the one thing to try"),
)
LIVE_LETTERS = 20_000
"""Only so much is read while it is written; the rest is read on saving."""


def spans_by_field(words: NoteWords, row: Seen) -> dict[str, list[tuple[int, int]]]:
    """Where a sighting's span lies in the three fields. The reader saw them trimmed, one after the other."""
    found: dict[str, list[tuple[int, int]]] = {}
    cleaned, at = words.cleaned(), 0
    for name, _, _ in FIELDS:
        raw, read = getattr(words, name), getattr(cleaned, name)
        if not read:
            continue
        lead = len(raw) - len(raw.lstrip())
        start, end = max(row.start, at), min(row.end, at + len(read))
        if start < end:
            found.setdefault(name, []).append((start - at + lead, end - at + lead))
        at += len(read) + 1
    return found


def caution_words(cautions: Iterable[CautionHit]) -> Content:
    """The banner for pain and strain: each advice once."""
    advice = list(dict.fromkeys(hit.advice for hit in cautions))
    parts: list[Content] = []
    for each in advice[:3]:
        parts.append(Content.assemble(("! STOP  ", "bold $warning"), (each, "bold")))
    return Content("\n").join(parts)


def figure_words(rules: RuleBase, reading_figures: Iterable[Score | Measure | Figure]) -> Content:
    """ "Also noted": scores and measures, with what they speak of."""
    lines = [f"  {figure_line(rules, each)}" for each in list(reading_figures)[:6]]
    return Content("\n".join(["Also noted", *lines])) if lines else Content("")


def figure_line(rules: RuleBase, figure: Score | Measure | Figure) -> str:
    """What it speaks of, number and unit, and its words."""
    of, unit = getattr(figure, "of", None), getattr(figure, "unit", None)
    value = f"{figure.value:g}" + (f" of {of:g}" if of is not None else "") + (f" {unit}" if unit else "")
    about = f"{entry_name(rules.entries, figure.about)}: " if figure.about else ""
    return f"{about}{value}  “{' '.join(figure.words.split())[:40]}”"


def cut_off(journal: JournalApp, player: Player) -> tuple[str, tuple[Path, ...]]:
    """The words of this player's recordings that a crash left behind, and the files to delete once the words are
    safe. Those kept on purpose have another name and are left alone.
    """
    folder = journal.desk.recordings.of_player(player.id)
    if not folder.is_dir():
        return "", ()
    from journal.voice.errors import NoSpeech
    from journal.voice.recorder import recover
    from journal.voice.transcriber import Transcriber

    said, heard = [], []
    for recording in recover(folder):
        try:
            said.append(Transcriber(tuple(journal.tool("rules").terms.values())).transcribe(recording).text)
        except NoSpeech:  # then there is nothing to lose
            recording.unlink(missing_ok=True)
        else:
            heard.append(recording)
    return " ".join(said), tuple(heard)


def kept_words(kept: Sequence[Kept], missing: Sequence[str] = ()) -> Content:
    """What is kept with a note, in one line, and what should be and is gone."""
    lines = []
    if kept:
        facts = " + ".join(each.facts for each in kept[:3]) + (" + …" if len(kept) > 3 else "")
        lines.append(f"sound kept: {facts if len(kept) == 1 else f'{len(kept)} recordings, {facts}'}")
    if missing:
        lines.append(f"! {plural(len(missing), 'kept recording')} missing: {', '.join(missing)[:60]}")
    return Content("\n".join(lines))


class Understood(Working, Vertical):
    """What was understood so far, and the person's word on it."""

    DEFAULT_CSS = "Understood { height: auto; }"

    class Told(Message):
        """Something else holds of a sighting now: the draft is to be kept."""

    def __init__(self) -> None:
        super().__init__(id="understood")
        self.answers = Answers()
        self._rules: RuleBase | None = None
        self._mentions: Reading | None = None

    def compose(self) -> ComposeResult:
        yield Static("Understood", classes="heading", markup=False)
        yield SightingList()
        yield Static("the reader is starting …", id="understood-state", classes="quiet", markup=False)
        yield Static("", id="figures", classes="quiet", markup=False)

    def read(self, words: NoteWords) -> tuple[Reading, RuleBase, bool]:
        """Beside the event loop: what the words say, and whether only their beginning was read."""
        from journal.notes import own_words, read_words

        rules = self.journal.tool("rules")
        player = self.player
        own = self.journal.worked(lambda work: own_words(work, player))
        reader = self.journal.tool("reader")
        long = len(words.text) > LIVE_LETTERS
        if long:
            words = replace(
                words,
                went_wrong=words.went_wrong[:LIVE_LETTERS],
                went_well=words.went_well[:LIVE_LETTERS],
                next_time="",
            )
        return read_words(words, reader, own), rules, long

    def show(self, words: NoteWords, read: tuple[Reading, RuleBase, bool]) -> None:
        """Show a reading."""
        if not self.is_attached:
            return
        reading, rules, long = read
        self._mentions, self._rules = reading, rules
        self._relist()
        caution = self.screen.query_one("#caution", Static)
        caution.update(caution_words(reading.cautions))
        caution.display = bool(reading.cautions)
        self.query_one("#figures", Static).update(figure_words(rules, (*reading.scores, *reading.measures)))
        state = (
            ""
            if reading.mentions
            else ("no fault in these words" if words.text.strip() else "nothing written yet")
        )
        if long:
            state = f"Only the first {LIVE_LETTERS:,} letters are read while you write; all of it on saving."
        self.query_one("#understood-state", Static).update(state)

    def _relist(self) -> None:
        if self._mentions is not None and self._rules is not None:
            self.query_one(SightingList).show(self.answers.laid_over(self._mentions.mentions), self._rules)

    @on(SightingList.Answered)
    def said(self, event: SightingList.Answered) -> None:
        """Remember the person's word."""
        event.stop()
        self.answers.say(event.row)
        self._relist()
        self.post_message(self.Told())

    @on(SightingList.Correct)
    def correct(self, event: SightingList.Correct) -> None:
        """Ask for the right fault."""
        event.stop()
        from journal.ui.screens.choose_fault import ChooseFault

        row = event.row

        def chosen(fault: str | None) -> None:
            if fault is not None:
                self.answers.say(replace(row, fault=fault, said=Said.CORRECTED))
                self._relist()
                self.post_message(self.Told())

        self.app.push_screen(ChooseFault(row), chosen)

    def failed(self, error: Exception) -> None:
        screen = self.screen
        if isinstance(screen, JournalScreen):
            screen.failed(error)

    def take(self, words: NoteWords, player: Player) -> TakenNote:
        """Beside the event loop: store the note, its sightings, and what was said to them."""
        from journal.notes import take_note

        now = self.journal.desk.now()
        taken = take_note(
            words, player, store=self.journal.tool("store"), reader=self.journal.tool("reader"), now=now
        )
        self.journal.worked(lambda work: store_answers(work, taken.sightings, self.answers, now))
        return taken
