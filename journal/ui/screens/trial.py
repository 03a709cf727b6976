"""A trial: both answers of a dilemma at the table in shuffled order, each try scored by a big key."""

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

from journal import table_trial
from journal.table_trial import Offer, Standing
from journal.ui.scoring import SCORING_CSS, SCORING_KEYS, ScoringScreen
from journal.ui.screens.trial_parts import TrialGoing, about_words, going_of
from journal.ui.words import short

if TYPE_CHECKING:
    from journal.store.work import UnitOfWork


class TrialScreen(ScoringScreen):
    """dilemma: its id; without one, a list to choose from."""

    room = "Trial"
    about = "Try both answers in shuffled order; the screen says which, → or h is a hit, ← or m a miss."
    BINDINGS: ClassVar[list[BindingType]] = [
        *SCORING_KEYS,
        Binding("enter", "go_on", "begin / end for today", key_display="enter"),
        Binding("t", "tries", "tries of each"),
        Binding("l", "list", "all trials"),
        Binding("o", "entry", "read the dilemma"),
    ]
    CSS = "#offers { height: 1fr; } #page { display: none; height: 1fr; }" + SCORING_CSS

    def __init__(self, dilemma: str | None = None) -> None:
        super().__init__()
        self._dilemma = dilemma
        self._offers: list[Offer] = []
        self._standing: Standing | None = None
        self._tries = table_trial.CHOICES[1]

    def body(self) -> Iterable[Widget]:
        yield OptionList(id="offers", markup=False)
        yield VerticalScroll(Static("", id="about", classes="block", markup=False), id="page")
        yield from self.scored()

    def reload(self) -> None:
        """How the dilemma stands, or all that can be tried."""
        player, chosen = self.player, self._dilemma
        rules = self.journal.tool
        self.query_one("#offers").display = chosen is None
        self.query_one("#page").display = chosen is not None
        if chosen is None:
            self._standing = None
            self.at_desk(
                lambda work: table_trial.offers(work, rules("rules"), player), self._list, last="trial"
            )
        else:
            self.at_desk(
                lambda work: table_trial.standing(work, rules("rules"), player, chosen),
                self._show,
                last="trial",
            )

    def _list(self, offers: list[Offer]) -> None:
        self._offers = offers
        listing = self.query_one("#offers", OptionList)
        listing.clear_options()
        width = max(40, self.size.width - 6)
        for each in offers:
            first = Content.styled(short(each.dilemma.name, width), "bold")
            answers = " / ".join(each.dilemma.settings)
            told = f"{each.why} ({answers})" if each.why else answers
            listing.add_option(Option(first + Content.styled("\n  " + short(told, width), "$text-muted")))
        if offers:
            listing.highlighted = 0
        else:
            listing.add_option(Option("the rules hold no trial that is counted try by try", disabled=True))
        listing.focus()
        self.title_line(f"Trial · {self.player.name}", "choose with ↑ ↓ and enter")
        self.refresh_bindings()

    @on(OptionList.OptionSelected, "#offers")
    def choose(self, event: OptionList.OptionSelected) -> None:
        """Look at it."""
        if event.option_index < len(self._offers):
            self._dilemma = self._offers[event.option_index].dilemma.id
            self.reload()

    def _show(self, standing: Standing) -> None:
        self._standing = standing
        self._write()
        self.set_focus(None)
        self.query_one("#page").focus()
        self.title_line(f"Trial · {self.player.name}", "both answers, shuffled")
        self.refresh_bindings()

    def _write(self) -> None:
        if self._standing is not None:
            words = about_words(self._standing, self._tries, self.size.width)
            self.query_one("#about", Static).update(words)

    def on_resize(self) -> None:
        self.call_after_refresh(self._write)

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        shown = self._standing if self.going is None else None
        if action == "go_on":
            return self.going is not None or (shown is not None and table_trial.can_be_tried(shown.dilemma))
        if action == "tries":
            return shown is not None and shown.going is None and table_trial.can_be_tried(shown.dilemma)
        if action in ("list", "entry"):
            return shown is not None
        return super().check_action(action, parameters)

    def action_go_on(self) -> None:
        """Begin, go on, or end for today."""
        if self.going is not None:
            self.close_scoring()
            return
        player, desk, chosen, tries = self.player, self.journal.desk, self._dilemma, self._tries
        now, today = desk.now(), desk.today(player)
        if chosen is None:
            return

        def begin(work: UnitOfWork) -> TrialGoing:
            rules = self.journal.tool("rules")
            return going_of(
                rules, table_trial.begin(work, rules, player, chosen, now=now, today=today, tries=tries)
            )

        self.at_desk(begin, self._opened)

    def _opened(self, going: TrialGoing) -> None:
        self.query_one("#page").display = False
        self.begin_scoring(going)

    def action_tries(self) -> None:
        """Ten, twenty or thirty."""
        at = table_trial.CHOICES.index(self._tries)
        self._tries = table_trial.CHOICES[(at + 1) % len(table_trial.CHOICES)]
        self._write()

    def action_list(self) -> None:
        """Choose another one."""
        self._dilemma = None
        self.reload()

    def action_entry(self) -> None:
        """Its page in the look-up."""
        if self._dilemma is not None:
            self.journal.go("look up", self._dilemma)
