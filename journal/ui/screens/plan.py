"""Plan: a month and a list: what, when, why; a day that falls out is planned around."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date
from typing import TYPE_CHECKING, ClassVar

from textual import on
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical, VerticalScroll
from textual.content import Content
from textual.widget import Widget
from textual.widgets import OptionList, Static
from textual.widgets.option_list import Option

from journal.days import clock, day_words
from journal.records import ItemKind, ItemStatus
from journal.ui.base import JournalScreen
from journal.ui.care import care_words
from journal.ui.month import two_months
from journal.ui.screens.plan_jobs import export, leave_out, planned
from journal.ui.words import item_name, short

if TYPE_CHECKING:
    from journal.plans import MadePlan
    from journal.records import PlanItem
    from journal.store.work import UnitOfWork
    from knowledge.rulebase import RuleBase

MARK = {ItemStatus.DONE: "✓", ItemStatus.MISSED: "–", ItemStatus.CANCELLED: "✗", ItemStatus.OPEN: " "}


class PlanScreen(JournalScreen):
    """The stored plan."""

    room = "Plan"
    about = "What, when and why; tell when you are free, plan anew, take the plan out as calendar or paper."
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("t", "tell_times", "free times, matches"),
        Binding("m", "make", "plan anew"),
        Binding("d", "done", "done / not done"),
        Binding("x", "leave_out", "not that day"),
        Binding("i", "export('ics')", "calendar file"),
        Binding("p", "export('pdf')", "print"),
    ]
    CSS = """
    #care { display: none; }
    #left { width: 26; border-right: solid $panel; }
    #items { height: 1fr; }
    #why { height: auto; max-height: 7; border-top: solid $panel; }
    """

    def body(self) -> Iterable[Widget]:
        month = VerticalScroll(
            Static("", id="month", classes="block", markup=False),
            Static("", id="state", classes="block", markup=False),
            id="left",
            can_focus=False,
        )
        right = Vertical(
            OptionList(id="items", markup=False), Static("", id="why", classes="quiet", markup=False)
        )
        yield Static("", id="care", classes="block", markup=False)
        yield Horizontal(month, right)

    def on_mount(self) -> None:
        self._made: MadePlan | None = None
        self._pain: date | None = None
        self._items: list[PlanItem | None] = []
        self.query_one(OptionList).focus()

    def on_screen_resume(self) -> None:
        self.reload()

    def reload(self) -> None:
        """Fetch the stored plan."""
        from journal.care import pain_noted
        from journal.plans import current_plan

        player, today = self.player, self.journal.desk.today(self.player)

        def look(work: UnitOfWork) -> tuple[MadePlan | None, date | None]:
            return current_plan(work, player, today), pain_noted(work, player)

        def fetch() -> tuple[MadePlan | None, date | None, RuleBase]:
            return *self.journal.worked(look), self.journal.tool("rules")

        self.beside(fetch, self._fetched, last="plan")

    def _fetched(self, found: tuple[MadePlan | None, date | None, RuleBase]) -> None:
        made, self._pain, rules = found
        self._show(made, rules)

    def _show(self, made: MadePlan | None, rules: RuleBase) -> None:
        self._made, self._rules = made, rules
        today = self.journal.desk.today(self.player)
        listing = self.query_one(OptionList)
        listing.clear_options()
        self._items = []
        width = max(30, self.size.width - 32)
        day: date | None = None
        for item in made.items if made else ():
            if item.ref == "rest" or item.day < today:
                continue
            if item.day != day:
                day = item.day
                self._items.append(None)
                listing.add_option(
                    Option(Content.styled(day_words(day, today), "bold $primary"), disabled=True)
                )
            self._items.append(item)
            listing.add_option(Option(self._line(item, width)))
        first = next((n for n, item in enumerate(self._items) if item is not None), None)
        listing.highlighted = first
        self.query_one("#month", Static).update(two_months(made.items if made else (), today))
        self.query_one("#state", Static).update(self._state())
        self._take_care(today)
        if made is None:
            listing.add_option(
                Option("no plan yet: t tells when you are free, m makes a plan", disabled=True)
            )

    def _line(self, item: PlanItem, width: int) -> Content:
        minutes = f"{item.minutes:g} min" if item.minutes else ""
        kind = "match  " if item.kind is ItemKind.MATCH else ""
        name = short(kind + item_name(item, self._rules), width - 20)
        mark = MARK[item.status]
        if self._waits(item):
            mark, minutes = "!", "waits"
        return Content.assemble(
            f"{mark} {clock(item.start_minute)}  ",
            (name.ljust(width - 20), ""),
            ("  " + minutes, "$text-muted"),
        )

    def _state(self) -> str:
        made = self._made
        if made is None:
            return ""
        gap = made.plan.gap
        proof = (
            ""
            if gap is None
            else "proved: none is better"
            if gap == 0
            else f"within {100 * gap:.1f} % of the best"
        )
        return "\n".join(
            filter(
                None,
                [
                    *(f"gave way: {each}" for each in made.relaxed),
                    proof,
                ],
            )
        )

    def _take_care(self, today: date) -> None:
        """The caution for pain over everything else, and what to do with a plan that was made before it."""
        care = self.query_one("#care", Static)
        care.display = self._pain is not None
        if self._pain is None:
            return
        waits = any(item is not None and self._waits(item) for item in self._items)
        also = "What waits here was planned before: m plans anew without it." if waits else ""
        care.update(care_words(self._pain, today, also))

    def _waits(self, item: PlanItem) -> bool:
        """Whether an item that was planned before pain was noted falls into the days that are kept free for it."""
        from journal.care import table_again

        return (
            self._pain is not None
            and item.status is ItemStatus.OPEN
            and item.kind is not ItemKind.MATCH
            and item.day < table_again(self._pain)
        )

    @property
    def item(self) -> PlanItem | None:
        """The selected item."""
        at = self.query_one(OptionList).highlighted
        return self._items[at] if at is not None and at < len(self._items) else None

    @on(OptionList.OptionHighlighted)
    def explain(self) -> None:
        """Why this, why then."""
        from journal.plans import why_today

        item = self.item
        words = f"Why: {why_today(item, self._rules)}" if item is not None else ""
        if item is not None and self._waits(item):
            words = "Waits: nothing is practised or looked at again while it hurts."
        self.query_one("#why", Static).update(words)

    @on(OptionList.OptionSelected)
    def open_entry(self) -> None:
        """The drill or fault behind an item."""
        item = self.item
        if item is not None and item.ref in self._rules.entries:
            self.journal.go("look up", item.ref)

    def action_tell_times(self) -> None:
        """Free times and matches in plain words."""
        from journal.ui.screens.free_times import FreeTimes

        def told(changed: bool | None) -> None:
            if changed:
                self.action_make()

        self.app.push_screen(FreeTimes(), told)

    def action_make(self) -> None:
        """Build the plan; what an earlier one had stays where it can."""
        self.title_line(right="planning …")
        desk, player, today = self.journal.desk, self.player, self.journal.desk.today(self.player)

        def make(work: UnitOfWork) -> MadePlan:
            return planned(work, self.journal.tool("rules"), player, desk.now(), today)

        self.at_desk(make, self._planned)

    def _planned(self, made: MadePlan) -> None:
        self.title_line(right="")
        self._show(made, self._rules)
        drills = sum(i.kind is ItemKind.DRILL and i.status is ItemStatus.OPEN for i in made.items)
        kept = f", {made.stayed} items stayed where they were" if made.stayed else ""
        self.tell(
            f"planned: {drills} drills{kept}",
            "enter opens what is selected.",
        )

    def failed(self, error: Exception) -> None:
        self.title_line(right="")
        super().failed(error)

    def action_done(self) -> None:
        """Tick off, or take the tick back."""
        from journal.plans import mark

        item = self.item
        if item is not None:
            status = ItemStatus.OPEN if item.status is ItemStatus.DONE else ItemStatus.DONE
            self.at_desk(lambda work: mark(work, item, status), lambda _: self.reload())

    def action_leave_out(self) -> None:
        """This day falls out: plan around it, after asking."""
        from journal.ui.screens.confirm import Confirm

        item = self.item
        if item is None:
            return
        desk, player, today = self.journal.desk, self.player, self.journal.desk.today(self.player)

        def sure(yes: bool | None) -> None:
            if yes:
                self.title_line(right="planning …")
                self.at_desk(
                    lambda work: leave_out(
                        work, self.journal.tool("rules"), player, item.day, desk.now(), today
                    ),
                    self._planned,
                )

        self.app.push_screen(
            Confirm(
                f"Not on {day_words(item.day)}: plan around that day?",
                "What is ticked off stays. t lists the day, and x there gives it back.",
            ),
            sure,
        )

    def action_export(self, how: str) -> None:
        """A calendar file or a printed page beside the journal."""
        desk, player, today = self.journal.desk, self.player, self.journal.desk.today(self.player)

        def job(work: UnitOfWork) -> str:
            return str(
                export(
                    work, self.journal.tool("rules"), player, how, desk.folder / "sheets", desk.now(), today
                )
            )

        self.at_desk(job, lambda path: self.tell("written", path))
