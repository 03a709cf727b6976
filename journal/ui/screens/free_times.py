"""When somebody can practise and when they play, in plain words."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING, ClassVar

from textual import events, on
from textual.binding import Binding, BindingType
from textual.content import Content
from textual.widget import Widget
from textual.widgets import Input, OptionList, Static
from textual.widgets.option_list import Option

from journal.ui.base import Dialog, heading

if TYPE_CHECKING:
    from journal.freetimes import Listing, Told
    from journal.store.work import UnitOfWork

EXAMPLES = (
    "Such as: four evenings a week, half an hour, match on Saturday\n"
    "Or: Tue and Thu 19:00, 45 min, not on the 14th"
)


class FreeTimes(Dialog[bool]):
    """Gives True when something was changed."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter", "none", "note it", key_display="enter"),
        Binding("tab", "app.focus_next", "words or list", key_display="tab"),
        Binding("x,delete", "remove", "take out", key_display="x"),
        Binding("escape", "leave", "done", key_display="esc"),
    ]

    def __init__(self) -> None:
        super().__init__()
        self._changed = False
        self._listing: Listing | None = None

    def body(self) -> Iterable[Widget]:
        yield heading("When are you free, and when do you play?")
        yield Static(EXAMPLES, classes="quiet", markup=False)
        yield Input(id="told", max_length=400)
        yield heading("Known")
        yield OptionList(id="known", markup=False)

    def on_mount(self) -> None:
        self.query_one(Input).focus()
        self.reload()

    def reload(self) -> None:
        """List what is known."""
        from journal.freetimes import listing

        player, today = self.player, self.journal.desk.today(self.player)
        self.at_desk(lambda work: listing(work, player, today), self._show)

    def _show(self, found: Listing) -> None:
        self._listing = found
        known = self.query_one(OptionList)
        at = known.highlighted
        known.clear_options()
        known.add_options(
            [Option(Content(line)) for line in (*found.free, *found.matches)]
            or [Option("nothing yet", disabled=True)]
        )
        last = len(found.free) + len(found.matches) - 1
        if last >= 0 and (known.has_focus or at is not None):
            known.highlighted = min(at or 0, last)

    @on(events.DescendantFocus)
    def begin_at_first(self) -> None:
        """A list that is entered shows which line x would take out."""
        known = self.query_one(OptionList)
        if known.has_focus and known.highlighted is None:
            known.action_first()

    @on(Input.Submitted)
    def note(self, event: Input.Submitted) -> None:
        """Store what was understood and say what was not."""
        from journal.freetimes import tell

        player, today, words = self.player, self.journal.desk.today(self.player), event.value
        if not words.strip():
            self.action_leave()
            return

        def noted(told: Told) -> None:
            self._changed = True
            self.query_one(Input).value = ""
            unknown = f"not understood: {', '.join(told.unknown)}" if told.unknown else ""
            self.tell("noted: " + "; ".join(told.said), unknown)
            self.reload()

        self.at_desk(lambda work: tell(work, player, words, today=today), noted)

    def action_remove(self) -> None:
        """Take out the selected one; what comes back on other days only after a yes."""
        from journal.freetimes import remove, remove_match
        from journal.ui.screens.confirm import Confirm

        at, found, player = self.query_one(OptionList).highlighted, self._listing, self.player
        today = self.journal.desk.today(player)
        if at is None or found is None or at >= len(found.free) + len(found.matches):
            return

        def take_out(work: UnitOfWork) -> None:
            if at < len(found.free):
                remove(work, player, str(at + 1))
            else:
                remove_match(work, player, at - len(found.free) + 1, today)

        def gone(_: object) -> None:
            self._changed = True
            self.reload()

        def sure(yes: bool | None) -> None:
            if yes:
                self.at_desk(take_out, gone)

        if at in found.often:
            line = found.free[at]
            question = Confirm("Take this time out, with all its days?", f"{line[:1].upper()}{line[1:]}.")
            self.app.push_screen(question, sure)
        else:
            sure(True)

    def action_none(self) -> None:
        """The field's own enter notes it."""

    def action_leave(self) -> None:
        """Back to the plan."""
        self.dismiss(self._changed)
