"""Players: who needs a look and why; choose somebody, add somebody."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING, ClassVar

from textual import on
from textual.binding import Binding, BindingType
from textual.content import Content
from textual.widget import Widget
from textual.widgets import OptionList
from textual.widgets.option_list import Option

from journal.days import day_words
from journal.ui.base import JournalScreen, heading
from journal.ui.words import plural, short

if TYPE_CHECKING:
    from journal.attention import Look
    from journal.records import Player
    from journal.store.work import UnitOfWork


class PlayersScreen(JournalScreen):
    """A coach's first look; a single player finds only themselves here."""

    room = "Players"
    about = "Who needs a look and why; choose, add or change a player."
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter", "none", "open this player", key_display="enter"),
        Binding("a", "add", "add a player"),
        Binding("e", "edit", "change details"),
    ]
    CSS = "#players { height: 1fr; }"

    def body(self) -> Iterable[Widget]:
        yield heading("Who needs a look, and why")
        yield OptionList(id="players", markup=False)

    def on_mount(self) -> None:
        self._looks: list[Look] = []
        self.query_one(OptionList).focus()
        self.reload()

    def reload(self) -> None:
        """Look again."""
        from journal.attention import who_needs_a_look

        now, today = self.journal.desk.now(), self.journal.desk.today(self.player)

        def fetch(work: UnitOfWork) -> list[Look]:
            return who_needs_a_look(work, self.journal.tool("rules"), today, now)

        self.at_desk(fetch, self._show, last="players")

    def _show(self, looks: list[Look]) -> None:
        self._looks = looks
        listing = self.query_one(OptionList)
        at = listing.highlighted
        listing.clear_options()
        listing.add_options([Option(self._line(look)) for look in looks])
        listing.highlighted = min(at or 0, len(looks) - 1) if looks else None
        self.title_line(f"Players · {self.player.name} is open", plural(len(looks), "player"))

    def _line(self, look: Look) -> Content:
        width, today = max(40, self.size.width - 4), self.journal.desk.today(self.player)
        mark = "!" if look.weight >= 50 else "?" if look.weight >= 30 else " "
        here = " (open)" if look.player.id == self.player.id else ""
        last = (
            f"last note {day_words(look.last, today)}, {plural(look.notes, 'note')}"
            if look.last
            else "no notes"
        )
        head = Content.assemble((f"{mark} ", "bold $warning"), (short(look.player.name, 30) + here, "bold"))
        gap = " " * max(2, width - head.cell_length - len(last))
        why = "; ".join(look.reasons) or "nothing needs a look"
        return Content.assemble(head, gap, (last, "$text-muted"), "\n    ", short(why, width - 6))

    @on(OptionList.OptionSelected)
    def choose(self, event: OptionList.OptionSelected) -> None:
        """From now on the screens are this player's."""
        from journal.players import choose_player

        player = self._looks[event.option_index].player

        def done(_: object) -> None:
            self.journal.player = player
            self.app.pop_screen()

        self.at_desk(lambda work: choose_player(work, player), done)

    def action_none(self) -> None:
        """The list's own enter chooses."""

    def action_add(self) -> None:
        """Ask for a new player."""
        from journal.ui.screens.player_details import PlayerDetails

        self.app.push_screen(PlayerDetails(None), self._changed)

    def action_edit(self) -> None:
        """Ask for the selected player's details."""
        from journal.ui.screens.player_details import PlayerDetails

        at = self.query_one(OptionList).highlighted
        if at is not None and at < len(self._looks):
            self.app.push_screen(PlayerDetails(self._looks[at].player), self._changed)

    def _changed(self, player: Player | None) -> None:
        if player is None:
            return
        from journal.players import SAFEGUARDING, may_be_minor

        if player.id == self.player.id:
            self.journal.player = player
        minor = may_be_minor(player, self.journal.desk.now())
        self.tell(f"{player.name} is kept", SAFEGUARDING if minor else "")
        self.reload()
