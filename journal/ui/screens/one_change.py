"""One change: shown before it begins, with its drills, its checkpoint, its dates and its aim."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING, ClassVar

from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.content import Content
from textual.widget import Widget
from textual.widgets import Static

from journal.days import day_words
from journal.ui.base import Dialog, heading
from journal.ui.widgets.frame import Notice
from journal.ui.words import fault_name

if TYPE_CHECKING:
    from journal.changes import ChangePlan
    from journal.store.work import UnitOfWork


class OneChange(Dialog[str]):
    """Gives the instruction back once the change was begun."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("y", "begin", "begin it today"),
        Binding("n", "dismiss(None)", "not now"),
        Binding("d", "despite", "in spite of the match"),
    ]
    CSS = "OneChange VerticalScroll { height: auto; max-height: 14; }"

    def __init__(self, cause: str) -> None:
        super().__init__()
        self._cause = cause
        self._shown = self._despite = self._match_near = False

    def body(self) -> Iterable[Widget]:
        yield heading("One change")
        yield VerticalScroll(Static("…", id="change", classes="block", markup=False))

    def on_mount(self) -> None:
        self._look()

    def _look(self) -> None:
        def look() -> ChangePlan:
            with self.journal.tool("store").work() as work:  # left without a commit: only a look
                return self._start(work)

        self.beside(look, self._show)

    def _start(self, work: UnitOfWork) -> ChangePlan:
        from journal.changes import start_change

        player, rules = self.player, self.journal.tool("rules")
        today = self.journal.desk.today(player)
        return start_change(
            work,
            rules,
            player,
            today=today,
            cause=self._cause,
            despite_match=self._despite,
            now=self.journal.desk.now(),
        )

    def failed(self, error: Exception) -> None:
        if not self._shown:
            self.query_one("#change", Static).update("")  # nothing is being looked for any more
        if "despite-match" in getattr(error, "hint", ""):
            self._match_near = True
            self.refresh_bindings()
            self.tell(str(error), "Start it the day after; d begins it all the same.", error=True)
        else:
            super().failed(error)

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        if action in ("begin", "despite"):
            return self._shown if action == "begin" else self._match_near and not self._despite
        return super().check_action(action, parameters)

    def action_despite(self) -> None:
        """Look at it although a match is near."""
        self._despite = True
        self.query_one(Notice).put_away()
        self._look()

    def _show(self, plan: ChangePlan) -> None:
        self._shown = True
        self.refresh_bindings()
        change, today = plan.change, self.journal.desk.today(self.player)
        parts = [
            Content.styled(change.instruction, "bold $accent"),
            Content(f"Against: {fault_name(self.journal.tool('rules'), change.fault)}"),
            Content(
                f"From today to {day_words(change.stop_on, today)}; then its days are compared with those before. "
                f"Its aim: {change.measure}"
            ),
        ]
        if plan.caution:
            parts.insert(0, Content.assemble(("! ", "bold $warning"), plan.caution))
        parts += [
            Content(f"Drill: {dose.name} ({dose.minutes:g} min). Target: {dose.target}")
            for dose in plan.drills
        ]
        if plan.checkpoint is not None:
            point = plan.checkpoint
            parts.append(Content(f"Hold: {point.quantity}, {point.value}. {point.measure} [{point.source}]"))
        self.query_one("#change", Static).update(Content("\n").join(parts))

    def action_begin(self) -> None:
        """Begin it."""
        self.at_desk(lambda work: self._start(work).change.instruction, self.dismiss)
