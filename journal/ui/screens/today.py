"""Today: what did I tell myself last time, what is the one change, what is due, what is slipping?"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING, ClassVar

from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.content import Content
from textual.widget import Widget
from textual.widgets import Static

from journal.days import day_words
from journal.errors import JournalError
from journal.ui.base import JournalScreen
from journal.ui.widgets.frame import Notice

if TYPE_CHECKING:
    from journal.records import Player
    from journal.today import Today
    from knowledge.rulebase import RuleBase


@dataclass(frozen=True, slots=True)
class _Opened:
    """What the first look into the journal gave."""

    player: Player | None


class TodayScreen(JournalScreen):
    """The first screen. It is painted before the journal is opened."""

    room = "plainball"
    about = "The last resolve, the one change, what is due and what is slipping."
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("n", "go('note')", "note"),
        Binding("s", "go('note', True)", "speak"),
        Binding("p", "go('practise')", "practise"),
        Binding("f", "go('look up')", "look up"),
        Binding("c", "go('cause')", "cause"),
        Binding("h", "go('history')", "history"),
        Binding("l", "go('plan')", "plan"),
        Binding("g", "go('progress')", "progress"),
        Binding("w", "go('table')", "what if"),
        Binding("y", "go('players')", "players"),
        Binding("q", "go('questions')", "questions"),
        Binding("question_mark", "journal_help", "all keys", key_display="?"),
        Binding("f1", "journal_help", "all keys", show=False),
        Binding("escape", "leave", show=False),
    ]

    def __init__(self) -> None:
        super().__init__()
        self._warmed = False

    def body(self) -> Iterable[Widget]:
        yield VerticalScroll(Static("opening the journal …", id="today", classes="block", markup=False))

    def on_mount(self) -> None:
        self.call_after_refresh(self._open)

    def on_screen_resume(self) -> None:
        if self.journal.player is not None:
            self.reload()

    def _open(self) -> None:
        if self.journal.player is None:
            self.run_worker(self._opening(), exit_on_error=False)

    async def _opening(self) -> None:
        from journal.ui.threads import beside

        try:
            opened = await beside(self._first_look)
        except JournalError as error:
            self.app.exit(error, return_code=1)  # without a journal there is nothing to show
            return
        except Exception as error:  # a worker's boundary
            self.failed(error)
            return
        if opened.player is None:
            self.journal.go("welcome", self.welcomed)
        else:
            self.welcomed(opened.player)

    def _first_look(self) -> _Opened:
        from journal.players import find_player

        store = self.journal.tool("store")
        with store.work() as work:
            if self.journal.named is None and not work.players.count():
                return _Opened(None)
            return _Opened(find_player(work, self.journal.named))

    def welcomed(self, player: Player) -> None:
        """From now on the screens are this player's."""
        self.journal.player = player
        self.reload()

    def _warm(self) -> None:
        self.journal.tool("reader").read("The cue ball.")
        self.journal.tool("lookup").warm()

    def reload(self) -> None:
        """Look again."""
        player = self.player
        today = self.journal.desk.today(player)
        self.title_line(f"plainball · {player.name}", day_words(today))

        def look() -> tuple[Today, RuleBase]:
            from journal.today import look_at

            found = self.journal.worked(lambda work: look_at(work, player, today))
            return found, self.journal.tool("rules")

        self.beside(look, lambda found: self._show(*found), last="today")

    def _show(self, found: Today, rules: RuleBase) -> None:
        from journal.ui.screens.today_page import page

        width = max(40, self.query_one("#today", Static).content_size.width)
        self.query_one("#today", Static).update(Content("\n").join(page(found, rules, width)))
        if not self._warmed:
            self._warmed = True  # load what the next screens need while this one is read
            self.beside(self._warm)

    def action_go(self, room: str, *about: bool) -> None:
        """Open a screen once somebody is chosen."""
        if self.journal.player is None:
            return
        self.query_one(Notice).put_away()
        self.journal.go(room, *about)
