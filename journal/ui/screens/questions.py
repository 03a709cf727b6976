"""Questions: what came in, what is missing to answer it, and the draft reply beside it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from typing import TYPE_CHECKING, ClassVar

from textual import on
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical
from textual.content import Content
from textual.widget import Widget
from textual.widgets import OptionList, Static
from textual.widgets.option_list import Option

from journal.errors import BadInput
from journal.ui.base import JournalScreen, heading
from journal.ui.widgets.note_area import NoteArea
from journal.ui.words import day_words, short

if TYPE_CHECKING:
    from journal.records import Question
    from journal.remote import Draft
    from journal.store.work import UnitOfWork


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
                        short(each.text, 22),
                    )
                )
            )
        waiting = sum(each.sent_at is None for each in self._known)
        self.title_line(right=f"{waiting} to answer")

    @on(OptionList.OptionSelected)
    def open_question(self, event: OptionList.OptionSelected) -> None:
        """Show one."""
        if event.option_index < len(self._known):
            self._show(self._known[event.option_index])

    def _show(self, question: Question | None) -> None:
        self._open = question
        self.query_one("#question", NoteArea).load_text(question.text if question else "")
        self.query_one("#reply", NoteArea).load_text(question.reply if question else "")
        self.query_one("#missing", Static).update("")
        self.query_one("#reply" if question else "#question", NoteArea).focus()

    def action_new(self) -> None:
        """An empty question."""
        self._show(None)

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

    def _drafted(self, draft: Draft) -> None:
        parts = [Content.assemble(("! ", "bold $warning"), draft.caution)] if draft.caution else []
        parts += [Content(f"? {question.text}") for question in draft.questions]
        parts += [Content(f"unseen: {short(each, 160)}") for each in draft.unseen]
        self.query_one("#missing", Static).update(Content("\n").join(parts))
        self.query_one("#reply", NoteArea).load_text(draft.text)
        self.query_one("#reply", NoteArea).focus()
        self.title_line(right="edit the draft, ^s keeps it")

    def action_keep(self) -> None:
        """Store the question with its reply."""
        self._store(sent=False)

    def action_sent(self) -> None:
        """The reply went out."""
        self._store(sent=True)

    def _store(self, *, sent: bool) -> None:
        text, reply = self.query_one("#question", NoteArea).text, self.query_one("#reply", NoteArea).text
        now, player, known = self.journal.desk.now(), self.player, self._open
        if not text.strip():
            self.failed(BadInput("the question has no words", "Write or paste what the pupil asked."))
            return

        def store(work: UnitOfWork) -> Question:
            from journal.remote import keep_question

            question = known or keep_question(work, player, text, reply, now=now)
            return work.questions.put(
                replace(question, text=text.strip(), reply=reply, sent_at=now if sent else question.sent_at)
            )

        def stored(question: Question) -> None:
            self._open = question
            self.tell("kept and marked as sent" if sent else "kept")
            self.reload()

        self.at_desk(store, stored)

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
