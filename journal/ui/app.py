"""The program with screens: one journal, one player at a time, one screen on top of today's."""

from __future__ import annotations

import importlib
import sys
import threading
from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING, Any, ClassVar, TypeVar

from textual.app import App
from textual.binding import Binding, BindingType

from journal.desk import Desk
from journal.errors import JournalError
from journal.records import Player
from journal.ui.look import CSS, DARK, LIGHT
from journal.ui.rooms import ROOMS
from journal.ui.screens.today import TodayScreen
from journal.ui.threads import beside
from journal.ui.widgets.frame import Notice

if TYPE_CHECKING:
    from textual.actions import ActionParseResult
    from textual.dom import DOMNode

T = TypeVar("T")


class JournalApp(App[JournalError]):
    """desk: the journal and its rules. named: whose screens to open; None for the current player.

    Returns the error that kept the journal shut, or None.
    """

    CSS = CSS
    ENABLE_COMMAND_PALETTE = False
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("ctrl+q", "quit", "leave", priority=True),
        Binding("f9", "paper", "light or dark", show=False, key_display="F9"),
    ]

    def __init__(self, desk: Desk, named: str | None = None) -> None:
        super().__init__()
        self.register_theme(DARK)
        self.register_theme(LIGHT)
        self.theme = DARK.name
        self.desk, self.named = desk, named
        self.player: Player | None = None
        self._making = {name: threading.Lock() for name in ("store", "rules", "reader", "lookup")}

    def get_default_screen(self) -> TodayScreen:
        """The screen below all others."""
        return TodayScreen()

    def tool(self, name: str) -> Any:
        """The desk's store, rules, reader or lookup, made once whoever asks first.

        Slow at first: call it beside the event loop. Raises: JournalError.
        """
        if name in ("reader", "lookup"):
            self.tool("rules")
        with self._making[name]:
            return getattr(self.desk, name)

    def worked(self, job: Callable[[Any], T]) -> T:
        """Run a job in one unit of work and commit it. Raises: JournalError."""
        with self.tool("store").work() as work:
            result = job(work)
            work.commit()
            return result

    def go(self, room: str, *about: Any) -> None:
        """Open a screen on top of this one. ``about``: what it opens on."""
        self.run_worker(self._go(room, about), group="go", exclusive=True, exit_on_error=False)

    async def _go(self, room: str, about: tuple[Any, ...]) -> None:
        module, name = ROOMS[room]
        if module not in sys.modules:
            await beside(lambda: importlib.import_module(module))  # some bring figures and tables with them
        await self.push_screen(getattr(sys.modules[module], name)(*about))

    async def run_action(
        self,
        action: str | ActionParseResult,
        default_namespace: DOMNode | None = None,
        namespaces: Mapping[str, DOMNode] | None = None,
    ) -> bool:
        """What a key does; a plain message from before it is put away then, an error stays until Esc."""
        told = [(notice, notice.told) for notice in self.screen.query(Notice) if not notice.error]
        done = await super().run_action(action, default_namespace, namespaces)
        for notice, count in told if done else ():
            if notice.told == count:
                notice.put_away()
        return done

    def action_paper(self) -> None:
        """Change between the dark and the light look."""
        self.theme = LIGHT.name if self.theme == DARK.name else DARK.name
