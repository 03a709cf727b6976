"""What every screen shares: the frame, work beside the event loop, and errors shown in one place."""

from __future__ import annotations

import logging
from collections.abc import Callable, Iterable
from functools import partial
from typing import TYPE_CHECKING, Any, ClassVar, Generic, TypeVar, cast

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical
from textual.screen import ModalScreen, Screen
from textual.widget import Widget
from textual.widgets import Static

from journal.errors import JournalError
from journal.ui.hints import on_screen
from journal.ui.threads import Latest, beside
from journal.ui.widgets.frame import KeyLine, Notice, TitleLine

if TYPE_CHECKING:
    from journal.records import Player
    from journal.store.work import UnitOfWork
    from journal.ui.app import JournalApp

T = TypeVar("T")
V = TypeVar("V")
R = TypeVar("R")
_log = logging.getLogger(__name__)


class Working:
    """Mixed into screens and dialogs: use cases run beside the event loop, errors end in the notice."""

    @property
    def journal(self) -> JournalApp:
        """The program this screen is in."""
        return cast("JournalApp", cast("Widget", self).app)

    @property
    def player(self) -> Player:
        """Whose records are on the screen."""
        player = self.journal.player
        assert player is not None, "screens open once somebody was chosen"
        return player

    def beside(
        self, job: Callable[[], T], then: Callable[[T], object] | None = None, *, last: str = ""
    ) -> None:
        """Run a job beside the event loop and hand its result on.

        last: a name; a later job of this name makes the earlier one's result forgotten.
        """
        # A function rather than a coroutine: one that is overtaken before it starts is then never made.
        cast("Widget", self).run_worker(
            cast("Any", partial(self._beside, job, then)),
            group=last or "work",
            exclusive=bool(last),
            exit_on_error=False,
        )

    async def _beside(self, job: Callable[[], T], then: Callable[[T], object] | None) -> None:
        try:
            result = await beside(job)
        except Exception as error:  # a worker's boundary
            self.failed(error)
            return
        if then is not None and cast("Widget", self).is_attached:
            then(result)

    def at_desk(
        self, job: Callable[[UnitOfWork], T], then: Callable[[T], object] | None = None, *, last: str = ""
    ) -> None:
        """Like ``beside`` with a unit of work that is committed at the end."""
        self.beside(lambda: self.journal.worked(job), then, last=last)

    def latest(self, job: Callable[[V], T], done: Callable[[V, T], None]) -> Latest[V, T]:
        """A job of which only the last asked-for counts."""
        widget = cast("Widget", self)
        return Latest(
            lambda work: widget.run_worker(work, group=f"latest{id(job)}", exit_on_error=False),
            job,
            done,
            self.failed,
        )

    def failed(self, error: Exception) -> None:
        """Show what went wrong; what nobody expected goes to the log in full."""
        if not isinstance(error, JournalError):
            _log.error("unexpected", exc_info=error)
            error = JournalError(
                f"something went wrong inside ({type(error).__name__}: {error})",
                "What was saved before is safe. The log beside the journal says more.",
            )
        rooms = [each.room for each in self.journal.screen_stack if isinstance(each, JournalScreen)]
        self.tell(error.message, on_screen(error.hint, rooms[-1] if rooms else ""), error=True)

    def tell(self, message: str, hint: str = "", *, error: bool = False) -> None:
        """Say something in the notice line."""
        for notice in cast("Widget", self).query(Notice):
            notice.tell(message, hint, error=error)


class JournalScreen(Working, Screen[None]):
    """A screen with the journal's frame. ``room`` is its name in the title line."""

    room: ClassVar[str] = ""
    about: ClassVar[str] = ""
    parts: ClassVar[tuple[type[Widget], ...]] = ()
    """Widgets whose keys belong to this screen; the help lists them."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape", "leave", "back", key_display="esc"),
        Binding("f1", "journal_help", "all keys", key_display="F1"),
    ]

    def compose(self) -> ComposeResult:
        player = self.journal.player
        yield TitleLine(f"{self.room} · {player.name}" if player else self.room)
        with Vertical(id="body"):
            yield from self.body()
        yield Notice()
        yield KeyLine()

    def body(self) -> Iterable[Widget]:
        """The widgets between title and keys."""
        return ()

    def title_line(self, left: str | None = None, right: str | None = None) -> None:
        """Change the title line."""
        self.query_one(TitleLine).say(left, right)

    def action_leave(self) -> None:
        """Put an error away, or go back; a plain message holds nobody up."""
        notice = self.query_one(Notice)
        if notice.error:
            notice.put_away()
        elif len(self.app.screen_stack) > 1:
            self.app.pop_screen()

    def action_journal_help(self) -> None:
        """Every key of the program."""
        self.journal.go("help")


class Dialog(Working, ModalScreen[R | None], Generic[R]):
    """A question over the screen; gives a value back, or None when it was left."""

    BINDINGS: ClassVar[list[BindingType]] = [Binding("escape", "dismiss(None)", "leave", key_display="esc")]

    def compose(self) -> ComposeResult:
        with Vertical():
            yield from self.body()
            yield Notice()
            yield KeyLine()

    def body(self) -> Iterable[Widget]:
        """The widgets inside the frame."""
        return ()


def heading(words: str) -> Static:
    """A section's name."""
    return Static(words, classes="heading", markup=False)
