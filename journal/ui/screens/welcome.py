"""The first start: a name, and nothing else."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import TYPE_CHECKING, ClassVar

from textual import on
from textual.binding import Binding, BindingType
from textual.widget import Widget
from textual.widgets import Input, Static

from journal.ui.base import JournalScreen

if TYPE_CHECKING:
    from journal.records import Player

GREETING = (
    "Write or say what happened at the table. The journal names the faults it hears, you say which are "
    "right, "
    "and it works out what to change, how to practise it, and whether it went away.\n\n"
    "Everything stays on this computer."
)


class WelcomeScreen(JournalScreen):
    """Asks who writes."""

    room = "plainball"
    about = "The first start: a name is all it takes."
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter", "none", "begin", key_display="enter"),
        Binding("escape", "none", show=False),
    ]

    def __init__(self, then: Callable[[Player], None]) -> None:
        super().__init__()
        self._then = then

    def body(self) -> Iterable[Widget]:
        yield Static(GREETING, classes="block", markup=False)
        yield Static("Your first name, or any code you like:", classes="heading", markup=False)
        yield Input(id="name", max_length=60)

    def on_mount(self) -> None:
        self.query_one(Input).focus()

    @on(Input.Submitted)
    def begin(self, event: Input.Submitted) -> None:
        """Add the player and go on."""
        from journal.players import add_player
        from journal.ui.place import local_zone

        name, now = event.value, self.journal.desk.now()

        def done(player: Player) -> None:
            self.app.pop_screen()
            self._then(player)

        self.at_desk(lambda work: add_player(work, name, now=now, time_zone=local_zone()), done)

    def action_none(self) -> None:
        """Nothing: there is no way round the name."""
