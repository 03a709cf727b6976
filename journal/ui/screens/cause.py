"""Find the cause: one check at a time, answers by key, the ranking live beside it. Ends in one change."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING, ClassVar

from textual import on
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical, VerticalScroll
from textual.content import Content
from textual.widget import Widget
from textual.widgets import OptionList, Static
from textual.widgets.option_list import Option

from journal.ui.base import JournalScreen
from journal.ui.care import care_words
from journal.ui.pictures import check_drawing
from journal.ui.screens.cause_parts import Found, check_words, find, ranking, verdict_words, why_words
from journal.ui.words import entry_name

if TYPE_CHECKING:
    from journal.records import CheckResult
    from journal.store.work import UnitOfWork
    from knowledge.causes.next_check import Means

AT_HAND: tuple[tuple[str, dict[str, bool]], ...] = (
    ("table, partner or phone", {}),
    ("table, alone", {"partner": False, "phone": False}),
    ("table, with a coach", {"coach": True}),
    ("at home, no table", {"at_table": False, "partner": False}),
)
"""What can be used for a check now: words, and the fields of Means."""
BOTH_ROWS = 34
"""Lines from which a check's picture and the ranking stand one above the other."""


class CauseScreen(JournalScreen):
    """Every answer is stored at once, so that it can be left and gone on with another day."""

    room = "Find the cause"
    about = "Do one check, answer by its number; the likely causes move with it. Ends in one change."
    BINDINGS: ClassVar[list[BindingType]] = [
        *(Binding(str(n), f"answer({n})", show=False) for n in range(1, 10)),
        Binding("u", "skip", "unclear, next"),
        Binding("x", "skip", "can't do it"),
        Binding("b", "step_back", "step back"),
        Binding("m", "means", "what is at hand"),
        Binding("c", "change", "make it the one change"),
        Binding("o", "entry", "read the cause"),
        Binding("d", "dilemma", "advice both ways"),
        Binding("v", "picture", "picture / ranking"),
    ]
    CSS = """
    #care { display: none; }
    #left { width: 1fr; }
    #right { width: 1fr; border-left: solid $panel; }
    #outcomes { height: auto; margin: 0 0 1 0; }
    #picture { height: auto; padding: 0 1; margin: 0 0 1 0; }
    """

    def __init__(self) -> None:
        super().__init__()
        self._skipped: list[str] = []
        self._at_hand = 0
        self._found: Found | None = None
        self._pictured = False

    def body(self) -> Iterable[Widget]:
        left = VerticalScroll(
            Static("thinking …", id="check", classes="block", markup=False),
            OptionList(id="outcomes", markup=False),
            Static("", id="verdict", classes="block", markup=False),
            id="left",
            can_focus=False,
        )
        right = Vertical(
            Static("", id="picture", markup=False),
            OptionList(id="causes", markup=False),
            Static("", id="why", classes="block", markup=False),
            id="right",
        )
        yield Static("", id="care", classes="block", markup=False)
        yield Horizontal(left, right)

    def on_mount(self) -> None:
        self.reload()

    def _means(self) -> Means:
        from knowledge.causes.next_check import Means

        return Means(**AT_HAND[self._at_hand][1])

    def reload(self) -> None:
        """Think again."""
        player, today = self.player, self.journal.desk.today(self.player)
        means, skipped = self._means(), tuple(self._skipped)
        rules_of = self.journal.tool

        def think() -> Found:
            rules = rules_of("rules")
            return self.journal.worked(lambda work: find(work, rules, player, today, means, skipped))

        self.beside(think, self._show, last="causes")

    def _show(self, found: Found) -> None:
        before, self._found = self._found, found
        if before is None or before.check != found.check:
            self._pictured = False
        self.title_line(right=f"at hand: {AT_HAND[self._at_hand][0]}")
        care = self.query_one("#care", Static)
        care.display = found.pain is not None
        if found.pain is not None:
            from journal.care import NO_CHECKS

            care.update(care_words(found.pain, found.today, NO_CHECKS))
        self.query_one("#check", Static).update(check_words(found))
        outcomes = self.query_one("#outcomes", OptionList)
        outcomes.clear_options()
        choice = found.diagnosis.next_check
        for number, outcome in enumerate(choice.check.outcomes if choice else (), 1):
            outcomes.add_option(Option(Content.assemble((f"{number}  ", "bold $accent"), outcome.result)))
        self.query_one("#verdict", Static).update(verdict_words(found))
        causes = self.query_one("#causes", OptionList)
        at = causes.highlighted
        causes.clear_options()
        room = max(30, self.size.width // 2 - 5)
        causes.add_options([Option(line) for line in ranking(found, room)])
        if causes.option_count:
            causes.highlighted = min(at or 0, causes.option_count - 1)
        self._draw()
        (outcomes if choice else causes).focus()
        self.refresh_bindings()

    def on_resize(self) -> None:
        self.call_after_refresh(self._draw)

    @property
    def _room_for_both(self) -> bool:
        return self.size.height >= BOTH_ROWS

    def _draw(self) -> None:
        """The check's picture: above the ranking, or in its place where there is no room for both."""
        picture = self._found.picture if self._found else None
        shown = picture is not None and (self._pictured or self._room_for_both)
        beside = self._room_for_both or not shown
        for part in ("#causes", "#why"):
            self.query_one(part).display = beside
        drawing = self.query_one("#picture", Static)
        drawing.display = shown
        if shown and picture is not None:
            columns, rows = max(30, self.size.width // 2 - 4), self.size.height - 12
            rows = min(rows, self.size.height // 2 - 3) if self._room_for_both else rows
            drawing.update(check_drawing(picture, columns, rows, dark=self.app.current_theme.dark))

    @on(OptionList.OptionHighlighted, "#causes")
    def explain(self, event: OptionList.OptionHighlighted) -> None:
        """Why this cause."""
        if self._found is not None:
            self.query_one("#why", Static).update(why_words(self._found, event.option_index))

    @on(OptionList.OptionSelected, "#outcomes")
    def chosen(self, event: OptionList.OptionSelected) -> None:
        """A click or enter answers."""
        self.action_answer(event.option_index + 1)

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:  # noqa: ARG002 (signature)
        found = self._found
        if action == "dilemma":
            return bool(found and found.dilemmas)
        if action == "picture":
            return bool(found and found.picture) and not self._room_for_both
        if action in ("skip", "answer"):
            return bool(found and found.diagnosis.next_check)
        return bool(found and found.diagnosis.causes) if action in ("change", "entry") else True

    def action_answer(self, number: int) -> None:
        """Store the outcome and think again."""
        choice = self._found.diagnosis.next_check if self._found else None
        if choice is None or number > len(choice.check.outcomes):
            return
        player, now, outcome = self.player, self.journal.desk.now(), choice.check.outcomes[number - 1].id

        def store(work: UnitOfWork) -> CheckResult:
            from journal.diagnosis import answer_check

            return answer_check(work, self.journal.tool("rules"), player, choice.check.id, outcome, now=now)

        self.at_desk(store, lambda _: self.reload())

    def action_skip(self) -> None:
        """This one tells nothing now, or cannot be done: the next."""
        choice = self._found.diagnosis.next_check if self._found else None
        if choice is not None:
            self._skipped.append(choice.check.id)
            self.reload()

    def action_step_back(self) -> None:
        """The last skipped check again, or the last answer taken back."""
        if self._skipped:
            self._skipped.pop()
            self.reload()
            return
        player = self.player

        def take_back(work: UnitOfWork) -> CheckResult | None:
            from journal.diagnosis import take_back_answer

            return take_back_answer(work, player)

        self.at_desk(take_back, self._taken_back)

    def _taken_back(self, result: CheckResult | None) -> None:
        if result is None:
            self.tell("nothing to take back")
        else:
            rules = self.journal.tool("rules")  # loaded since the first diagnosis: no wait on the event loop
            self.tell(f"taken back: {entry_name(rules.entries, result.check_id)}")
        self.reload()

    def action_picture(self) -> None:
        """The check's picture, or the ranking again."""
        self._pictured = not self._pictured
        self._draw()

    def action_means(self) -> None:
        """Table, partner, phone, coach: what is at hand."""
        self._at_hand = (self._at_hand + 1) % len(AT_HAND)
        self.reload()

    def _cause(self) -> str | None:
        at = self.query_one("#causes", OptionList).highlighted
        causes = self._found.diagnosis.causes if self._found else ()
        return causes[at].id if at is not None and at < len(causes) else None

    def action_entry(self) -> None:
        """Read about the selected cause."""
        cause = self._cause()
        if cause is not None:
            self.journal.go("look up", cause)

    def action_dilemma(self) -> None:
        """Two pieces of advice in the notes pull opposite ways: what decides."""
        if self._found is not None and self._found.dilemmas:
            self.journal.go("look up", self._found.dilemmas[0].dilemma.id)

    def action_change(self) -> None:
        """Make the selected cause the one change, after showing what that means."""
        from journal.ui.screens.one_change import OneChange

        cause = self._cause()
        if cause is not None:
            self.app.push_screen(OneChange(cause), self._started)

    def _started(self, instruction: str | None) -> None:
        if instruction:
            self.tell(f"the one change from today: {instruction}", "l on the first screen plans its drills.")
            self.reload()
