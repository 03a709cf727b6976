"""Practise: one drill, its picture, a big score, two big keys; readable from two metres away."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING, ClassVar

from textual import on
from textual.binding import Binding, BindingType
from textual.widget import Widget
from textual.widgets import OptionList
from textual.widgets.option_list import Option

from journal.ui.scoring import SCORING_CSS, SCORING_KEYS, Scored, ScoringScreen
from journal.ui.screens.practise_choices import Choice, choices
from journal.ui.screens.practise_parts import open_drill, open_mix
from journal.ui.widgets.frame import Notice

if TYPE_CHECKING:
    from journal.store.work import UnitOfWork


class PractiseScreen(ScoringScreen):
    """First the day's items, then one drill at a time, or several mixed. Every ball is on disk before the
    next is played."""

    room = "Practise"
    about = "Choose an item, then score ball by ball: → or h is a hit, ← or m a miss."
    BINDINGS: ClassVar[list[BindingType]] = [
        *SCORING_KEYS,
        Binding("a", "point('a')", "point one"),
        Binding("b", "point('b')", "point two"),
        Binding("enter", "finish", "done, next", key_display="enter"),
        Binding("x", "mark", "mark for mixing"),
        Binding("o", "order", "mixed order on / off"),
        Binding("t", "trial", "try both answers"),
        Binding("n", "note", "note at the end"),
    ]
    CSS = "#choose { height: 1fr; }" + SCORING_CSS

    def __init__(self, drill: str | None = None) -> None:
        super().__init__()
        self._wanted = drill
        self._choices: list[Choice] = []
        self._marked: list[str] = []

    def body(self) -> Iterable[Widget]:
        yield OptionList(id="choose", markup=False)
        yield from self.scored()

    def on_screen_resume(self) -> None:
        """A trial may have been played meanwhile."""
        if self.going is None and self._choices:
            self.reload()

    def reload(self) -> None:
        """The day's items, what was interrupted first."""
        player, today, marked = self.player, self.journal.desk.today(self.player), tuple(self._marked)

        def fetch(work: UnitOfWork) -> list[Choice]:
            return choices(work, self.journal.tool("rules"), player, today, marked)

        self.at_desk(fetch, self._list, last="choices")

    def _list(self, found: list[Choice]) -> None:
        listing = self.query_one("#choose", OptionList)
        at = self._choices[listing.highlighted] if self._choices and listing.highlighted is not None else None
        self._choices = found
        listing.clear_options()
        width = max(40, self.size.width - 4)
        for each in found:
            marked = each.kind == "drill" and each.ref in self._marked
            listing.add_option(Option(each.line(width, marked=marked)))
        if found:
            same = (n for n, each in enumerate(found) if at and (each.ref, each.kind) == (at.ref, at.kind))
            listing.highlighted = next(same, 0)
        else:
            words = (
                "nothing is planned: l on the first screen plans, f looks up a drill, t tries both answers"
            )
            listing.add_option(Option(words, disabled=True))
        listing.display = True
        listing.focus()
        self.title_line(f"Practise · {self.player.name}", "choose with ↑ ↓ and enter")
        self.refresh_bindings()
        if self._wanted:
            wanted, self._wanted = self._wanted, None
            self._begin(Choice(wanted, "", "", ""))

    @on(OptionList.OptionSelected, "#choose")
    def choose(self, event: OptionList.OptionSelected) -> None:
        """Begin it, or go on with it."""
        if event.option_index < len(self._choices):
            self._begin(self._choices[event.option_index])

    def _begin(self, choice: Choice) -> None:
        if choice.kind == "trial":
            self.journal.go("trial", choice.ref)
            return
        player, desk = self.player, self.journal.desk
        now, today = desk.now(), desk.today(player)

        def begin(work: UnitOfWork) -> Scored:
            rules = self.journal.tool("rules")
            if choice.kind == "mix":
                return open_mix(work, rules, player, choice.refs, now=now, today=today)
            return open_drill(work, rules, player, choice.ref, now=now, today=today)

        self.at_desk(begin, self._opened)

    def _opened(self, going: Scored) -> None:
        self._marked.clear()
        self.query_one(Notice).put_away()
        self.query_one("#choose").display = False
        self.begin_scoring(going)

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        if action == "finish":
            return self.going is not None
        if action in ("mark", "order", "trial", "note"):
            return self.going is None
        return super().check_action(action, parameters)

    def action_finish(self) -> None:
        """Close the drill and choose the next."""
        self.close_scoring()

    def action_mark(self) -> None:
        """Choose the highlighted drill for mixing, or take it out again."""
        at = self.query_one("#choose", OptionList).highlighted
        choice = self._choices[at] if at is not None and at < len(self._choices) else None
        if choice is None or choice.kind != "drill" or not choice.ref.startswith("drill."):
            self.tell("only drills can be mixed", "Choose one with ↑ ↓, then x marks it.")
            return
        if choice.ref in self._marked:
            self._marked.remove(choice.ref)
        else:
            self._marked.append(choice.ref)
        if len(self._marked) == 1:
            self.tell("one drill is marked", "x on another one makes a mix of them.")
        elif self._marked:
            self.tell(f"{len(self._marked)} drills are marked", "Enter on the line “Mixed” begins with them.")
        self.reload()

    def action_order(self) -> None:
        """Propose mixed order, or never."""
        player = self.player

        def switch(work: UnitOfWork) -> bool:
            from journal.mixing import prefer, preferred

            mixed = not preferred(work, player)
            prefer(work, player, mixed)
            return mixed

        self.at_desk(switch, self._ordered)

    def _ordered(self, mixed: bool) -> None:
        more = (
            "f on the first screen, “same shot many times or changing shots”, says how weak the evidence is."
        )
        self.tell("mixed order is proposed" if mixed else "mixed order is not proposed any more", more)
        self.reload()

    def action_trial(self) -> None:
        """Both answers of a dilemma, in shuffled order."""
        self.journal.go("trial")

    def action_note(self) -> None:
        """A spoken or written note at the end."""
        self.journal.go("note")
