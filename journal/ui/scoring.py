"""Scoring try by try: what to play now, a big score, two big keys. Every try is on disk before the next."""

from __future__ import annotations

import asyncio
from collections.abc import Callable, Iterable
from typing import Protocol, TypeVar

from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical, VerticalScroll
from textual.content import Content
from textual.widget import Widget
from textual.widgets import Static

from journal.store.work import UnitOfWork
from journal.ui.base import JournalScreen
from journal.ui.threads import beside
from journal.ui.widgets.big_score import BigScore
from journal.ui.widgets.big_words import BigWords
from journal.ui.widgets.frame import Notice

T = TypeVar("T")

SCORING_KEYS: tuple[BindingType, ...] = (
    Binding("right,h,space", "ball(1)", "hit", key_display="→ h"),
    Binding("left,m", "ball(0)", "miss", key_display="← m"),
    Binding("u,backspace", "undo", "undo", key_display="u"),
    Binding("p", "pause", "pause / go on"),
    Binding("v", "picture", "picture or steps"),
)
SCORING_CSS = """
#drill { display: none; height: 1fr; }
#big { height: 6; }
#name { height: auto; }
#tally { width: 1fr; }
#picture { height: auto; padding: 0 1; }
#drill.-low #name, #drill.-low BigWords { margin: 0; }
#drill.-low #big { height: 5; }
"""


class Scored(Protocol):
    """What is scored: one drill, several mixed ones, or a trial. Each change gives the next one back."""

    @property
    def name(self) -> str:
        """In full, above the score."""

    @property
    def now(self) -> str:
        """What to play now, in big letters; empty when it never changes."""

    @property
    def minutes(self) -> float:
        """How long it is meant to take."""

    @property
    def score(self) -> str:
        """The big figures."""

    @property
    def for_two(self) -> bool:
        """Whether two can play it for points."""

    def picture(self, columns: int, rows: int, *, dark: bool) -> Content | None:
        """The positions, when there are any."""

    def tally(self) -> Content:
        """Beside the big figures, at most five lines."""

    def steps(self, *, short_form: bool) -> Content:
        """What to do; short_form: beside a picture."""

    def ball(self, work: UnitOfWork, hit: bool) -> Scored:
        """After one more try, permanently."""

    def undo(self, work: UnitOfWork) -> Scored:
        """Without the last try, permanently."""

    def point(self, work: UnitOfWork, side: str) -> Scored:
        """After a point in a game for two, permanently."""

    def finish(self, work: UnitOfWork, minutes: float | None) -> tuple[str, str]:
        """End it; what was kept, and what can be done next."""

    def put_by(self, work: UnitOfWork) -> bool:
        """Leave it to be gone on with; False when nothing was scored, and then it is dropped."""


class ScoringScreen(JournalScreen):
    """The part that scores. ``reload`` shows what comes before and after."""

    def __init__(self) -> None:
        super().__init__()
        self.going: Scored | None = None
        self._one_at_a_time = asyncio.Lock()
        self._seconds = 0.0
        self._paused = False
        self._pictured = True

    def scored(self) -> Iterable[Widget]:
        """Its widgets."""
        yield Vertical(
            Static("", id="name", classes="block", markup=False),
            BigWords(),
            Horizontal(BigScore(), Static("", id="tally", classes="block", markup=False), id="big"),
            VerticalScroll(
                Static("", id="picture", markup=False),
                Static("", id="steps", classes="block", markup=False),
                can_focus=False,
            ),
            id="drill",
        )

    def reload(self) -> None:
        """Show what can be scored, or how it stands."""
        raise NotImplementedError

    def on_mount(self) -> None:
        self.set_interval(1.0, self._tick)
        self.reload()

    def begin_scoring(self, going: Scored) -> None:
        """Show it and let its keys work."""
        self.going, self._seconds, self._paused = going, 0.0, False
        self.query_one("#drill").display = True
        self.set_focus(None)
        self.redraw()
        self.refresh_bindings()

    def end_scoring(self) -> None:
        """Put it away."""
        self.going = None
        self.query_one("#drill").display = False

    def on_resize(self) -> None:
        if self.going is not None:
            self.call_after_refresh(self.redraw)

    def redraw(self) -> None:
        """Everything of the present try."""
        going = self.going
        if going is None:
            return
        self.query_one("#name", Static).update(Content.styled(going.name, "bold $accent"))
        self.query_one(BigWords).show(going.now)
        self.query_one(BigScore).show(going.score)
        self.query_one("#tally", Static).update(going.tally())
        low = bool(going.now) and self.size.height < 30
        self.query_one("#drill").set_class(low, "-low")
        rows = self.size.height - (18 if low else 21 if going.now else 17)
        picture = (
            going.picture(max(30, self.size.width - 4), max(6, rows), dark=self.app.current_theme.dark)
            if self._pictured
            else None
        )
        self.query_one("#picture", Static).display = picture is not None
        if picture is not None:
            self.query_one("#picture", Static).update(picture)
        self.query_one("#steps", Static).update(going.steps(short_form=picture is not None))
        self._tick(0.0)

    def _tick(self, by: float = 1.0) -> None:
        if self.going is None:
            return
        if not self._paused:
            self._seconds += by
        minutes, seconds = divmod(int(self._seconds), 60)
        state = "paused" if self._paused else f"of {self.going.minutes:g} min"
        self.title_line(f"{self.room} · {self.player.name}", f"{minutes}:{seconds:02d} {state}")

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        going = self.going
        if action in ("ball", "undo", "pause", "picture"):
            return going is not None
        if action == "point":
            return going is not None and going.for_two
        return super().check_action(action, parameters)

    def action_ball(self, hit: int) -> None:
        """Score one try; it is on disk before the next key is read. Playing on ends a pause."""
        self._paused = False
        self._change(lambda work, going: going.ball(work, bool(hit)))

    def action_undo(self) -> None:
        """Take the last try back."""
        self._change(lambda work, going: going.undo(work))

    def action_point(self, side: str) -> None:
        """A point in a game for two."""
        self._paused = False
        self._change(lambda work, going: going.point(work, side))

    def _change(self, job: Callable[[UnitOfWork, Scored], Scored]) -> None:
        self.run_worker(self._in_turn(job, self._changed), group="balls", exit_on_error=False)

    async def _in_turn(self, job: Callable[[UnitOfWork, Scored], T], then: Callable[[T], object]) -> None:
        async with self._one_at_a_time:  # keys pressed meanwhile wait their turn
            going = self.going
            if going is None:
                return
            try:
                result = await beside(lambda: self.journal.worked(lambda work: job(work, going)))
            except Exception as error:  # a worker's boundary
                self.failed(error)
                return
            then(result)

    def _changed(self, going: Scored) -> None:
        self.going = going
        self.redraw()

    def action_pause(self) -> None:
        """Stop the clock, or let it go on."""
        self._paused = not self._paused
        self._tick(0.0)

    def action_picture(self) -> None:
        """The picture with short steps, or all the words."""
        self._pictured = not self._pictured
        self.redraw()

    def close_scoring(self) -> None:
        """End what is scored once the tries pressed so far are in, and show what comes next."""
        minutes = round(self._seconds / 60, 1) or None
        ending = self._in_turn(lambda work, going: going.finish(work, minutes), self._ended)
        self.run_worker(ending, group="balls", exit_on_error=False)

    def action_leave(self) -> None:
        """Leave what is scored to be gone on with, and show what comes before; without anything, go back."""
        if self.going is None or self.query_one(Notice).error:
            super().action_leave()
            return
        leaving = self._in_turn(lambda work, going: going.put_by(work), self._put_by)
        self.run_worker(leaving, group="balls", exit_on_error=False)

    def _put_by(self, kept: bool) -> None:
        self._ended(
            ("put by with the tries so far", "Enter goes on with it.")
            if kept
            else ("nothing was scored, so nothing is kept", "")
        )

    def _ended(self, said: tuple[str, str]) -> None:
        self.end_scoring()
        self.tell(*said)
        self.reload()
