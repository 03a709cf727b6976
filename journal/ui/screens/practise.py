"""Practise: one drill, its picture, a big score, two big keys; readable from two metres away."""

from __future__ import annotations

import asyncio
from collections.abc import Callable, Iterable
from typing import TYPE_CHECKING, ClassVar

from textual import on
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical, VerticalScroll
from textual.content import Content
from textual.widget import Widget
from textual.widgets import OptionList, Static
from textual.widgets.option_list import Option

from journal.ui.base import JournalScreen
from journal.ui.screens.practise_parts import Choice, Going, choices, open_drill, steps_words, tally_words
from journal.ui.threads import beside
from journal.ui.widgets.big_score import BigScore
from journal.ui.words import short

if TYPE_CHECKING:
    from journal.records import Result
    from journal.store.work import UnitOfWork


class PractiseScreen(JournalScreen):
    """First the day's items, then one drill at a time. Every ball is on disk before the next is played."""

    room = "Practise"
    about = "Choose an item, then score ball by ball: → or h is a hit, ← or m a miss."
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("right,h,space", "ball(1)", "hit", key_display="→ h"),
        Binding("left,m", "ball(0)", "miss", key_display="← m"),
        Binding("u,backspace", "undo", "undo", key_display="u"),
        Binding("a", "point('a')", "point one"),
        Binding("b", "point('b')", "point two"),
        Binding("p", "pause", "pause / go on"),
        Binding("v", "picture", "picture or steps"),
        Binding("enter", "finish", "done, next", key_display="enter"),
        Binding("n", "note", "note at the end"),
    ]
    CSS = """
    #choose { height: 1fr; }
    #drill { display: none; height: 1fr; }
    #big { height: 6; }
    #name { height: auto; }
    #picture { height: auto; padding: 0 1; }
    """

    def __init__(self, drill: str | None = None) -> None:
        super().__init__()
        self._wanted = drill
        self._choices: list[Choice] = []
        self._going: Going | None = None
        self._one_at_a_time = asyncio.Lock()
        self._seconds = 0.0
        self._paused = False
        self._pictured = True

    def body(self) -> Iterable[Widget]:
        yield OptionList(id="choose", markup=False)
        yield Vertical(
            Static("", id="name", classes="block", markup=False),
            Horizontal(BigScore(), Static("", id="tally", classes="block", markup=False), id="big"),
            VerticalScroll(
                Static("", id="picture", markup=False),
                Static("", id="steps", classes="block", markup=False),
                can_focus=False,
            ),
            id="drill",
        )

    def on_mount(self) -> None:
        self.set_interval(1.0, self._tick)
        self.reload()

    def reload(self) -> None:
        """The day's items, what was interrupted first."""
        player, today = self.player, self.journal.desk.today(self.player)

        def fetch(work: UnitOfWork) -> list[Choice]:
            return choices(work, self.journal.tool("rules"), player, today)

        self.at_desk(fetch, self._list, last="choices")

    def _list(self, found: list[Choice]) -> None:
        self._choices = found
        self._going = None
        listing = self.query_one("#choose", OptionList)
        listing.clear_options()
        width = max(40, self.size.width - 4)
        for each in found:
            line = Content.assemble(
                (f"{each.mark} ", "bold $accent"),
                (short(each.name, width - 26), "bold"),
                (f"  {each.facts}", "$text-muted"),
            )
            listing.add_option(Option(line + Content("\n    " + short(each.why, width - 6))))
        if found:
            listing.highlighted = 0
        else:
            listing.add_option(
                Option("nothing is planned: l on the first screen plans, f looks up a drill", disabled=True)
            )
        listing.display, self.query_one("#drill").display = True, False
        listing.focus()
        self.title_line(f"Practise · {self.player.name}", "choose with ↑ ↓ and enter")
        self.refresh_bindings()
        if self._wanted:
            wanted, self._wanted = self._wanted, None
            self._begin(wanted)

    @on(OptionList.OptionSelected, "#choose")
    def choose(self, event: OptionList.OptionSelected) -> None:
        """Begin it, or go on with it."""
        if event.option_index < len(self._choices):
            self._begin(self._choices[event.option_index].ref)

    def _begin(self, ref: str) -> None:
        player, desk = self.player, self.journal.desk
        now, today = desk.now(), desk.today(player)

        def begin(work: UnitOfWork) -> Going:
            return open_drill(work, self.journal.tool("rules"), player, ref, now=now, today=today)

        self.at_desk(begin, self._opened)

    def _opened(self, going: Going) -> None:
        self._going, self._seconds, self._paused = going, 0.0, False
        self.query_one("#choose").display, self.query_one("#drill").display = False, True
        self.set_focus(None)
        self._draw()
        self.refresh_bindings()

    def on_resize(self) -> None:
        if self._going is not None:
            self.call_after_refresh(self._draw)

    def _draw(self) -> None:
        going = self._going
        if going is None:
            return
        self.query_one("#name", Static).update(Content.styled(going.name, "bold $accent"))
        self.query_one(BigScore).show(going.score)
        self.query_one("#tally", Static).update(tally_words(going))
        rows = max(6, self.size.height - 17)
        picture = (
            going.picture(max(30, self.size.width - 4), rows, dark=self.app.current_theme.dark)
            if self._pictured
            else None
        )
        self.query_one("#picture", Static).display = picture is not None
        if picture is not None:
            self.query_one("#picture", Static).update(picture)
        self.query_one("#steps", Static).update(steps_words(going, short_form=picture is not None))
        self._tick(0.0)

    def _tick(self, by: float = 1.0) -> None:
        if self._going is None:
            return
        if not self._paused:
            self._seconds += by
        minutes, seconds = divmod(int(self._seconds), 60)
        state = "paused" if self._paused else f"of {self._going.minutes:g} min"
        self.title_line(f"Practise · {self.player.name}", f"{minutes}:{seconds:02d} {state}")

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        going = self._going
        if action in ("ball", "undo", "pause", "picture", "finish"):
            return going is not None
        if action == "point":
            return going is not None and going.for_two
        return going is None if action == "note" else super().check_action(action, parameters)

    def action_ball(self, hit: int) -> None:
        """Score one ball; it is on disk before the next key is read."""
        from journal.practice import ball

        self._change(lambda work, result: ball(work, result, bool(hit)))

    def action_undo(self) -> None:
        """Take the last ball back."""
        from journal.practice import undo

        self._change(undo)

    def action_point(self, side: str) -> None:
        """A point in a game for two."""
        from journal.practice import point

        self._change(lambda work, result: point(work, result, side, 1))

    def _change(self, job: Callable[[UnitOfWork, Result], Result]) -> None:
        self.run_worker(self._changing(job), group="balls", exit_on_error=False)

    async def _changing(self, job: Callable[[UnitOfWork, Result], Result]) -> None:
        async with self._one_at_a_time:  # keys pressed meanwhile wait their turn
            going = self._going
            if going is None:
                return
            try:
                result = await beside(lambda: self.journal.worked(lambda work: job(work, going.result)))
            except Exception as error:  # a worker's boundary
                self.failed(error)
                return
            self._going = going.with_result(result)
            self._draw()

    def action_pause(self) -> None:
        """Stop the clock, or let it go on."""
        self._paused = not self._paused
        self._tick(0.0)

    def action_picture(self) -> None:
        """The picture with short steps, or all the words."""
        self._pictured = not self._pictured
        self._draw()

    def action_finish(self) -> None:
        """Close the drill and choose the next."""
        from journal.practice import finish

        going, minutes = self._going, round(self._seconds / 60, 1)
        if going is None:
            return

        def done(result: Result | None) -> None:
            self._going = None
            if result is None:
                self.tell("nothing was scored, so nothing is kept")
            else:
                self.tell(
                    f"kept: {going.name}, {result.hits} of {result.tries}",
                    "n writes a note when you are through.",
                )
            self.reload()

        self.at_desk(lambda work: finish(work, going.result, minutes=minutes or None), done)

    def action_note(self) -> None:
        """A spoken or written note at the end."""
        self.journal.go("note")
