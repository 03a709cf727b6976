"""What if: a situation to scale, and what happens as keys change the stroke or move the balls."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from typing import TYPE_CHECKING, ClassVar

from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical, VerticalScroll
from textual.content import Content
from textual.widget import Widget
from textual.widgets import Static

from journal.ui.base import JournalScreen
from journal.ui.pictures import drawn
from journal.ui.screens.table_parts import PRESET_NAMES, Outcome, Situation, answer, from_drill, situations

if TYPE_CHECKING:
    from journal.ui.threads import Latest

MOVES = {"up": (-1, 0), "down": (1, 0), "left": (0, -1), "right": (0, 1)}
"""Arrow to (across, along): the table lies on its side, baulk at the left."""
NUDGE, LEAP = 10.0, 100.0


class TableScreen(JournalScreen):
    """drill: a drill's id to begin with."""

    room = "What if"
    about = "Change the stroke or move the balls and see path, travel and chance at once."
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("up", "arrow('up', False)", "choose", key_display="↑ ↓"),
        Binding("down", "arrow('down', False)", show=False),
        Binding("right", "arrow('right', False)", "change", key_display="← →"),
        Binding("left", "arrow('left', False)", show=False),
        *(Binding(f"shift+{way}", f"arrow('{way}', True)", show=False) for way in MOVES),
        Binding("m", "mode", "move balls / stroke"),
        Binding("tab", "ball", "next ball", key_display="tab"),
        Binding("t", "target", "other target"),
        Binding("p", "pocket", "other pocket"),
        Binding("c", "cloth", "other cloth"),
        Binding("n", "next", "other situation"),
        Binding("r", "reset", "as it was"),
        Binding("o", "drill", "read the drill"),
    ]
    CSS = """
    #top { height: 1fr; }
    #picture { width: 1fr; height: 1fr; padding: 0 0 0 1; }
    #dials { width: 27; border-left: solid $panel; }
    #words { height: auto; max-height: 7; border-top: solid $panel; }
    """

    def __init__(self, drill: str | None = None) -> None:
        super().__init__()
        self._drill = drill
        self._known: list[Situation] = []
        self._at = 0
        self._dial = 0
        self._ball = 0
        self._moving = False
        self._outcome: Outcome | None = None
        self._answers: Latest[Situation, Outcome] | None = None

    def body(self) -> Iterable[Widget]:
        yield Horizontal(
            Static("setting up the table …", id="picture", markup=False),
            VerticalScroll(
                Static("", id="settings", classes="block", markup=False), id="dials", can_focus=False
            ),
            id="top",
        )
        yield Vertical(Static("", id="says", classes="block", markup=False), id="words")

    def on_mount(self) -> None:
        self._answers = self.latest(answer, self._show)

        def set_up() -> list[Situation]:
            rules = self.journal.tool("rules")
            known = situations()
            drill = rules.drills.get(self._drill or "")
            own = from_drill(drill) if drill is not None else None
            return [own, *known] if own is not None else known

        self.beside(set_up, self._ready)

    def _ready(self, known: list[Situation]) -> None:
        self._known = known
        if self._drill is not None and known[0].drill != self._drill:
            self.tell("this drill has no single shot to play with", "Other situations are under n.")
        self._ask()

    @property
    def situation(self) -> Situation:
        """What lies on the table now."""
        return self._known[self._at]

    def _set(self, changed: Situation) -> None:
        self._known[self._at] = changed
        self._ask()

    def _ask(self) -> None:
        if self._answers is not None and self._known:
            self._answers.ask(self.situation)

    def on_resize(self) -> None:
        self.call_after_refresh(self._draw)

    def _show(self, _situation: Situation, outcome: Outcome) -> None:
        self._outcome = outcome
        self._draw()

    def _draw(self) -> None:
        outcome = self._outcome
        if outcome is None or not self.is_attached:
            return
        situation = self.situation
        self.title_line(f"What if · {situation.name}", PRESET_NAMES[situation.cloth])
        picture = self.query_one("#picture", Static)
        columns, rows = max(20, picture.size.width - 2), max(5, picture.size.height)
        if outcome.scene is not None:
            picture.update(drawn(outcome.scene, columns, rows, dark=self.app.current_theme.dark))
        self.query_one("#settings", Static).update(self._settings(situation))
        self.query_one("#says", Static).update(Content("\n".join(outcome.words)))
        self.refresh_bindings()

    def _settings(self, situation: Situation) -> Content:
        parts = [Content.styled("moving balls" if self._moving else "the stroke", "bold $primary")]
        if self._moving:
            for number, (name, place) in enumerate(situation.balls):
                mark = "▸" if number == self._ball % len(situation.balls) else " "
                parts.append(
                    Content.assemble(
                        (f"{mark} {name:<9}", "bold" if mark == "▸" else ""),
                        f"{place[0]:5.0f} {place[1]:5.0f}",
                    )
                )
            parts.append(Content.styled("mm from the left and from the baulk cushion", "$text-muted"))
        else:
            for number, dial in enumerate(situation.dials):
                mark = "▸" if number == self._dial % len(situation.dials) else " "
                parts.append(
                    Content.assemble((f"{mark} {dial.name:<13}", "bold" if mark == "▸" else ""), dial.shown)
                )
        if situation.balls:
            parts += [Content(""), Content(f"{situation.target}\n→ {situation.pocket}")]
        return Content("\n").join(parts)

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        balls = bool(self._known and self.situation.balls)
        if action in ("mode", "target", "pocket"):
            return balls
        if action == "ball":
            return balls and self._moving
        if action == "drill":
            return bool(self._known and self.situation.drill)
        return super().check_action(action, parameters)

    def action_arrow(self, way: str, far: bool) -> None:
        """Choose or change a dial, or move the ball."""
        if not self._known:
            return
        situation = self.situation
        across, along = MOVES[way]
        if self._moving and situation.balls:
            by = LEAP if far else NUDGE
            self._set(situation.moved(self._ball % len(situation.balls), across * by, along * by))
        elif across:
            self._dial = (self._dial + across) % len(situation.dials)
            self._draw()
        else:
            self._set(situation.turned(self._dial % len(situation.dials), along * (5 if far else 1)))

    def action_mode(self) -> None:
        """Arrows move balls, or change the stroke."""
        self._moving = not self._moving
        self._draw()

    def action_ball(self) -> None:
        """The next ball is moved."""
        self._ball += 1
        self._draw()

    def action_target(self) -> None:
        """Play at the next ball."""
        self._set(self.situation.with_next_target())

    def action_pocket(self) -> None:
        """Into the next pocket."""
        self._set(self.situation.with_next_pocket())

    def action_cloth(self) -> None:
        """On the next cloth."""
        if self._known:
            self._set(replace(self.situation, cloth=(self.situation.cloth + 1) % len(PRESET_NAMES)))

    def action_next(self) -> None:
        """The next situation."""
        if self._known:
            self._at, self._dial, self._ball, self._moving = (self._at + 1) % len(self._known), 0, 0, False
            self._ask()

    def action_reset(self) -> None:
        """Everything as it was."""
        if self._known:
            self._set(self.situation.first or self.situation)

    def action_drill(self) -> None:
        """Read the drill behind the situation."""
        if self._known and self.situation.drill:
            self.journal.go("look up", self.situation.drill)
