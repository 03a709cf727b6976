"""A player's details: the name is needed, everything else may stay empty."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING, Any, ClassVar

from textual import on
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, VerticalScroll
from textual.widget import Widget
from textual.widgets import Input, Static

from journal.errors import BadInput
from journal.ui.base import Dialog, heading

if TYPE_CHECKING:
    from journal.records import Player
    from journal.store.work import UnitOfWork

FIELDS = (
    ("name", "name or code", "a first name is enough"),
    ("birth_year", "year of birth", "needed for under-18s"),
    ("guardian_consent", "guardian's consent", "under 18: who consented, and when"),
    ("hand", "playing hand", "right or left"),
    ("level", "level", "beginner, club or strong"),
    ("height_mm", "height in mm", ""),
    ("hand_mm", "hand length in mm", "wrist crease to the tip of the middle finger"),
    ("shoulder_mm", "shoulder breadth in mm", ""),
    ("upper_arm_mm", "upper arm in mm", ""),
    ("forearm_mm", "forearm in mm", ""),
    ("time_zone", "time zone", "such as Europe/London"),
)
_NUMBERS = ("birth_year", "height_mm", "hand_mm", "shoulder_mm", "upper_arm_mm", "forearm_mm")


class PlayerDetails(Dialog["Player"]):
    """Adds a player, or changes one; gives the player back."""

    BINDINGS: ClassVar[list[BindingType]] = [Binding("ctrl+s,enter", "keep", "keep it", key_display="^s")]
    CSS = """
    PlayerDetails Horizontal { height: 1; }
    PlayerDetails .label { width: 24; }
    PlayerDetails Input { width: 1fr; margin: 0; }
    PlayerDetails VerticalScroll { height: auto; max-height: 14; }
    """

    def __init__(self, known: Player | None) -> None:
        super().__init__()
        self._known = known

    def body(self) -> Iterable[Widget]:
        yield heading("A new player" if self._known is None else "Details")
        rows = []
        for name, label, hint in FIELDS:
            rows.append(
                Horizontal(
                    Static(label, classes="label", markup=False),
                    Input(self._now(name), placeholder=hint, id=name),
                )
            )
        yield VerticalScroll(*rows, can_focus=False)

    def _now(self, name: str) -> str:
        value = getattr(self._known, name, None)
        return "" if value is None else f"{value:g}" if isinstance(value, float) else str(value)

    def on_mount(self) -> None:
        self.query_one("#name", Input).focus()

    @on(Input.Submitted)
    def action_keep(self) -> None:
        """Check and store."""
        try:
            about = self._about()
        except BadInput as error:
            self.failed(error)
            return
        now, known = self.journal.desk.now(), self._known

        def keep(work: UnitOfWork) -> Player:
            from journal.players import add_player, change_player
            from journal.ui.place import local_zone

            if known is not None:
                return change_player(work, known, now=now, **about)
            name = about.pop("name")
            about.setdefault("time_zone", local_zone())
            return add_player(work, name, now=now, **about)

        self.at_desk(keep, self.dismiss)

    def _about(self) -> dict[str, Any]:
        about: dict[str, Any] = {}
        for name, label, _ in FIELDS:
            text = self.query_one(f"#{name}", Input).value.strip()
            if name in _NUMBERS:
                if text:
                    try:
                        about[name] = int(text) if name == "birth_year" else float(text.replace(",", "."))
                    except ValueError as error:
                        raise BadInput(
                            f"{label}: {text!r} is no number", "Use digits, or leave it empty."
                        ) from error
                elif self._known is not None:
                    about[name] = None
            elif text or name == "name":
                about[name] = text
        return about
