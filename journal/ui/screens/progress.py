"""Progress: is it going away, is it coming back, did the change help? Every figure with its spread."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING, ClassVar

from textual import on
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.content import Content
from textual.widget import Widget
from textual.widgets import OptionList, Static
from textual.widgets.option_list import Option

from journal.days import day_words
from journal.records import ChangeStatus
from journal.ui.base import JournalScreen
from journal.ui.screens.progress_parts import Figures, chart, gather, lines

if TYPE_CHECKING:
    from journal.records import Change
    from journal.store.work import UnitOfWork

VERDICTS = {"k": ChangeStatus.KEPT, "x": ChangeStatus.DROPPED, "e": ChangeStatus.EXTENDED}


class ProgressScreen(JournalScreen):
    """Rows of faults and drills; the selected one through time below."""

    room = "Progress"
    about = "Fault rates, drill scores and the running change, each with its spread; ends the change."
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("k", "end('k')", "change: keep"),
        Binding("e", "end('e')", "change: extend"),
        Binding("x", "end('x')", "change: drop"),
        Binding("t", "by", "by table, cue, time"),
        Binding("c", "compare", "compare"),
        Binding("o", "entry", "what is it"),
    ]
    CSS = """
    #rows { height: auto; max-height: 35%; }
    #through { height: 1fr; border-top: solid $panel; }
    """

    def __init__(self) -> None:
        super().__init__()
        self._figures: Figures | None = None
        self._by = 0

    def body(self) -> Iterable[Widget]:
        yield Static("counting …", id="change", classes="block", markup=False)
        yield OptionList(id="rows", markup=False)
        yield VerticalScroll(
            Static("", id="chart", classes="block", markup=False), id="through", can_focus=False
        )

    def on_mount(self) -> None:
        self.reload()

    def reload(self) -> None:
        """Count again."""
        player, today = self.player, self.journal.desk.today(self.player)
        room = max(40, self.size.width - 4)

        def count(work: UnitOfWork) -> Figures:
            return gather(work, self.journal.tool("rules"), player, today, room)

        self.at_desk(count, self._show, last="figures")

    def _show(self, figures: Figures) -> None:
        self._figures = figures
        self.query_one("#change", Static).update(figures.change_words)
        listing = self.query_one(OptionList)
        at = listing.highlighted
        listing.clear_options()
        room = max(40, self.size.width - 6)
        listing.add_options([Option(line) for line in lines(figures, room)])
        if figures.rows:
            listing.highlighted = min(at or 0, len(figures.rows) - 1)
        else:
            listing.add_option(
                Option("nothing to count yet: write notes, keep sightings, score drills", disabled=True)
            )
        listing.focus()
        self.refresh_bindings()

    @on(OptionList.OptionHighlighted)
    def through_time(self, event: OptionList.OptionHighlighted) -> None:
        """The selected row through time, once the list has its height."""
        self.call_after_refresh(self._draw, event.option_index)

    def _draw(self, number: int) -> None:
        if self._figures is not None and number < len(self._figures.rows):
            height = max(3, self.query_one("#through").size.height - 6 | 1)
            text = chart(self._figures, number, max(30, self.size.width - 12), height)
            self.query_one("#chart", Static).update(Content(text))

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        if action == "end":
            return bool(self._figures and self._figures.change)
        return super().check_action(action, parameters)

    def action_end(self, key: str) -> None:
        """End the running change, or give it two more weeks, after asking."""
        from journal.ui.screens.confirm import Confirm

        figures, player, today = self._figures, self.player, self.journal.desk.today(self.player)
        if figures is None or figures.change is None:
            return
        verdict = VERDICTS[key]

        def end(work: UnitOfWork) -> Change:
            from journal.changes import end_change
            from journal.learning import relearn

            change = end_change(work, player, verdict, today=today, words=figures.verdict)
            if change.ended_on is not None:
                relearn(work, self.journal.tool("rules"), today=today)
            return change

        def sure(yes: bool | None) -> None:
            if yes:
                self.at_desk(end, self._ended)

        words = {
            "k": "End the change and keep it?",
            "x": "End the change and drop it?",
            "e": "Two more weeks?",
        }[key]
        self.app.push_screen(Confirm(words, figures.verdict or "The figures decide nothing yet."), sure)

    def _ended(self, change: Change) -> None:
        after = (
            "c on the first screen finds the next one."
            if change.ended_on
            else f"It runs until {day_words(change.stop_on)}."
        )
        self.tell(f"the change is {change.status.value}", after)
        self.reload()

    def action_by(self) -> None:
        """Scores by table, cue, fatigue and time of day, one after the other."""
        from journal.ui.screens.progress_parts import CONTEXTS, context_chart

        player, what = self.player, CONTEXTS[self._by % len(CONTEXTS)]
        self._by += 1
        width = max(30, self.size.width - 8)
        self.at_desk(
            lambda work: context_chart(work, player, what, width),
            lambda text: self.query_one("#chart", Static).update(Content(text)),
        )

    def action_compare(self) -> None:
        """Two players, answers, cues or tables side by side."""
        self.journal.go("compare")

    def action_entry(self) -> None:
        """Read about the selected fault or drill."""
        at = self.query_one(OptionList).highlighted
        if self._figures is not None and at is not None and at < len(self._figures.rows):
            self.journal.go("look up", self._figures.rows[at].ref)
