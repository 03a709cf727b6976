"""Questions: what came in, what is missing to answer it, and the draft reply beside it."""

from __future__ import annotations

import logging
from collections.abc import Callable, Iterable
from dataclasses import replace
from typing import TYPE_CHECKING, ClassVar

from textual import on
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical
from textual.content import Content
from textual.widget import Widget
from textual.widgets import OptionList, Static
from textual.widgets.option_list import Option

from journal.days import day_words
from journal.errors import BadInput, JournalError
from journal.ui.base import JournalScreen, heading
from journal.ui.widgets.frame import Notice
from journal.ui.widgets.note_area import NoteArea
from journal.ui.words import short

if TYPE_CHECKING:
    from journal.records import Question
    from journal.remote import Draft
    from journal.store.work import UnitOfWork

_log = logging.getLogger(__name__)


class QuestionsScreen(JournalScreen):
    """A pupil writes; the journal drafts; the coach decides what is sent."""

    room = "Questions"
    about = "A pupil's question, what cannot be judged unseen, and a draft reply to edit."
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("f2", "new", "new question", key_display="F2"),
        Binding("f5", "draft", "draft a reply", key_display="F5"),
        Binding("ctrl+s", "keep", "keep", priority=True),
        Binding("f4", "sent", "mark as sent", key_display="F4"),
        Binding("f8", "drop", "remove", key_display="F8"),
    ]
    CSS = """
    #list { width: 28; border-right: solid $panel; }
    #questions { height: 1fr; }
    #question { height: 5; }
    #missing { height: auto; max-height: 6; }
    #reply { height: 1fr; }
    """

    def body(self) -> Iterable[Widget]:
        left = Vertical(heading("Came in"), OptionList(id="questions", markup=False), id="list")
        right = Vertical(
            heading("The question"),
            NoteArea("question", "what the pupil wrote"),
            Static("", id="missing", classes="quiet", markup=False),
            heading("Your reply"),
            NoteArea("reply", "F5 drafts one"),
        )
        yield Horizontal(left, right)

    def on_mount(self) -> None:
        self._known: list[Question] = []
        self._open: Question | None = None
        self._written = self._stored = ("", "")  # question and reply, now and in the journal
        self.reload()
        self.query_one("#question", NoteArea).focus()

    def reload(self) -> None:
        """Fetch what came in."""
        player = self.player
        self.at_desk(
            lambda work: work.questions.all(order="-asked_at", player_id=player.id),
            self._list,
            last="questions",
        )

    def _list(self, found: list[Question]) -> None:
        self._known = sorted(found, key=lambda each: each.sent_at is not None)
        listing, today = self.query_one(OptionList), self.journal.desk.today(self.player)
        listing.clear_options()
        for each in self._known:
            state = "sent" if each.sent_at is not None else "to answer"
            mark = " " if each.sent_at is not None else "!"
            listing.add_option(
                Option(
                    Content.assemble(
                        (f"{mark} ", "bold $warning"),
                        (day_words(each.asked_at.date(), today), "bold"),
                        (f"  {state}", "$text-muted"),
                        "\n  ",
                        short(each.text or "(no question yet)", 22),
                    )
                )
            )
        self._count()

    def _count(self) -> None:
        waiting = sum(each.sent_at is None for each in self._known)
        self.title_line(right=f"{waiting} to answer")

    @on(NoteArea.Changed)
    def written(self) -> None:
        """Remember the words: when the program is left, the fields go before they could be asked."""
        self._written = (self.query_one("#question", NoteArea).text, self.query_one("#reply", NoteArea).text)

    @on(OptionList.OptionSelected)
    def open_question(self, event: OptionList.OptionSelected) -> None:
        """Show one, once what was written before is kept."""
        if event.option_index < len(self._known):
            question = self._known[event.option_index]
            self._keep_written(lambda: self._show(question))

    def _show(self, question: Question | None) -> None:
        self._open = question
        self._written = self._stored = (question.text, question.reply) if question else ("", "")
        self.query_one("#question", NoteArea).load_text(self._written[0])
        self.query_one("#reply", NoteArea).load_text(self._written[1])
        self._count()
        self.query_one("#missing", Static).update("")
        self.query_one("#reply" if question else "#question", NoteArea).focus()

    def action_new(self) -> None:
        """An empty question, once what was written before is kept."""
        self._keep_written(lambda: self._show(None))

    def action_leave(self) -> None:
        """Keep what was written, then go back; when it cannot be kept, say so and stay."""
        if self.query_one(Notice).error:
            super().action_leave()
            return

        def left() -> None:
            if self.is_current:  # a second escape may have been quicker
                self.app.pop_screen()

        self._keep_written(left)

    def on_unmount(self) -> None:
        """The program is left: what was written is kept all the same. The fields are gone already."""
        if self._unsaved:
            question = self._as_written()
            try:
                self.journal.worked(lambda work: work.questions.put(question))
            except JournalError as error:
                _log.error("the question could not be kept: %s", error)

    @property
    def _unsaved(self) -> bool:
        anything = self._open is not None or any(words.strip() for words in self._written)
        return anything and self._written != self._stored

    def _as_written(self, *, sent: bool = False) -> Question:
        """The open question, or a new one that is open from now on, with the words in the fields.

        A question whose words were wiped out keeps those it had.
        """
        from journal.records import Question
        from journal.store.work import new_id

        now, (text, reply) = self.journal.desk.now(), self._written
        known = self._open or Question(self.player.id, new_id(), now, "")
        text, sent_at = text.strip() or known.text, now if sent else known.sent_at
        self._open = replace(known, text=text, reply=reply, sent_at=sent_at)
        return self._open

    def _keep_written(self, then: Callable[[], object]) -> None:
        """Go on, once what is not in the journal yet is kept as it is."""
        self.written()
        if not self._unsaved:
            then()
            return
        question, written = self._as_written(), self._written

        def kept(_: object) -> None:
            self._stored = written
            then()
            here = self.app.screen
            if here is self:
                self.reload()
            if isinstance(here, JournalScreen):
                here.tell(
                    f"kept as it is: {short(question.text or question.reply, 40)}", "Questions shows it."
                )

        self.at_desk(lambda work: work.questions.put(question), kept)

    def action_draft(self) -> None:
        """Draft a reply from the words and everything the journal knows of the pupil."""
        text, player, desk = self.query_one("#question", NoteArea).text, self.player, self.journal.desk
        self.title_line(right="thinking …")

        def draft() -> Draft:
            from journal.remote import draft_reply

            rules, reader = self.journal.tool("rules"), self.journal.tool("reader")
            reading = reader.read(text)
            now, today = desk.now(), desk.today(player)
            return self.journal.worked(
                lambda work: draft_reply(work, rules, player, text, reading, now=now, today=today)
            )

        self.beside(draft, self._drafted, last="draft")

    def failed(self, error: Exception) -> None:
        """Show it; whatever was thought about is not any more."""
        self._count()
        super().failed(error)

    def _drafted(self, draft: Draft) -> None:
        parts = [Content.assemble(("! ", "bold $warning"), draft.caution)] if draft.caution else []
        if draft.for_coach:
            parts.append(Content.assemble(("for you, not sent: ", "bold"), draft.for_coach))
        parts += [Content(f"? {question.text}") for question in draft.questions]
        parts += [Content(f"unseen: {short(each, 160)}") for each in draft.unseen]
        self.query_one("#missing", Static).update(Content("\n").join(parts))
        self.query_one("#reply", NoteArea).load_text(draft.text)
        self.query_one("#reply", NoteArea).focus()
        self.written()
        self.title_line(right="edit the draft, ^s keeps it")

    def action_keep(self) -> None:
        """Store the question with its reply."""
        self._store(sent=False)

    def action_sent(self) -> None:
        """The reply went out."""
        self._store(sent=True)

    def _store(self, *, sent: bool) -> None:
        self.written()
        if not self._written[0].strip():
            self.failed(BadInput("the question has no words", "Write or paste what the pupil asked."))
            return
        question, written = self._as_written(sent=sent), self._written

        def stored(_: object) -> None:
            self._stored = written
            self.tell("kept and marked as sent" if sent else "kept")
            self.reload()

        self.at_desk(lambda work: work.questions.put(question), stored)

    def action_drop(self) -> None:
        """Remove the open question, after asking."""
        from journal.ui.screens.confirm import Confirm

        question = self._open
        if question is None:
            return

        def gone(_: object) -> None:
            self._show(None)
            self.reload()

        def sure(yes: bool | None) -> None:
            if yes:
                self.at_desk(lambda work: _remove(work, question), gone)

        self.app.push_screen(
            Confirm("Remove this question and its reply?", "It cannot be brought back."), sure
        )


def _remove(work: UnitOfWork, question: Question) -> int:
    return work.questions.remove(player_id=question.player_id, id=question.id)
