"""The sightings beside the words: each is kept, corrected or dropped with one key."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import ClassVar

from textual import on
from textual.binding import Binding, BindingType
from textual.content import Content
from textual.message import Message
from textual.widgets import OptionList
from textual.widgets.option_list import Option

from journal.records import Polarity
from journal.ui.answers import Said, Seen
from journal.ui.words import POLARITY, fault_name, short, times
from knowledge.rulebase import RuleBase

MARK = {Said.OPEN: "?", Said.KEPT: "✓", Said.CORRECTED: "✓", Said.DROPPED: "✗"}
_TURN = (Polarity.PRESENT, Polarity.BETTER, Polarity.WORSE, Polarity.ABSENT)


class SightingList(OptionList):
    """Rows of sightings. It never stores anything: it tells its screen what was said."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("k,enter", "say('keep')", "keep", key_display="k"),
        Binding("c", "correct", "correct"),
        Binding("x,delete", "say('dropped')", "drop", key_display="x"),
        Binding("b", "turn", "better/worse"),
        Binding("o", "open", "what is it"),
    ]

    class Answered(Message):
        """A word on one sighting."""

        def __init__(self, row: Seen) -> None:
            super().__init__()
            self.row = row

    class Correct(Message):
        """Another fault is to be chosen for this sighting."""

        def __init__(self, row: Seen) -> None:
            super().__init__()
            self.row = row

    class Open(Message):
        """The entry of this fault is to be shown."""

        def __init__(self, fault: str) -> None:
            super().__init__()
            self.fault = fault

    class Chosen(Message):
        """Another row is selected, or none."""

        def __init__(self, row: Seen | None) -> None:
            super().__init__()
            self.row = row

    def __init__(self) -> None:
        super().__init__(id="sightings", markup=False)
        self.rows: list[Seen] = []
        self._rules: RuleBase | None = None
        self._shown: list[Seen] = []

    def show(self, rows: Sequence[Seen], rules: RuleBase) -> None:
        """Show these rows and keep the selection on the same sighting where it can."""
        if list(rows) == self._shown:
            return
        chosen = self.row.key if self.row is not None else None
        self.rows, self._rules, self._shown = list(rows), rules, list(rows)
        self.clear_options()
        self.add_options([Option(self._line(row, rules)) for row in rows])
        keys = [row.key for row in rows]
        if keys:
            self.highlighted = keys.index(chosen) if chosen in keys else 0
        self.post_message(self.Chosen(self.row))

    @property
    def row(self) -> Seen | None:
        """The selected sighting."""
        at = self.highlighted
        return self.rows[at] if at is not None and at < len(self.rows) else None

    def on_resize(self) -> None:
        if self._rules is not None and self.rows:
            for number, row in enumerate(self.rows):
                self.replace_option_prompt_at_index(number, self._line(row, self._rules))

    def _line(self, row: Seen, rules: RuleBase) -> Content:
        room = max(24, self.container_size.width - 4)
        style = {Said.OPEN: "$accent", Said.DROPPED: "$text-muted strike"}.get(row.said, "$success")
        facts = " · ".join(filter(None, (POLARITY[row.polarity], times(row.count))))
        state = row.said.value if row.said is not Said.OPEN else f"{row.confidence:.0%}"
        name = short(fault_name(rules, row.fault), room - len(state) - 4)
        head = Content.assemble((f"{MARK[row.said]} ", style), (name, style))
        gap = " " * max(1, room - head.cell_length - len(state))
        words = f"  {facts}  " if facts else "  "
        return Content.assemble(
            head,
            gap,
            (state, "$text-muted"),
            "\n",
            (words, "bold"),
            (f"“{short(row.words, room - len(words) - 2)}”", "$text-muted"),
        )

    @on(OptionList.OptionHighlighted)
    def _chosen(self, event: OptionList.OptionHighlighted) -> None:
        event.stop()
        self.post_message(self.Chosen(self.row))

    @on(OptionList.OptionSelected)
    def _clicked(self, event: OptionList.OptionSelected) -> None:
        event.stop()

    def action_say(self, said: str) -> None:
        """Keep or drop; the same word again takes it back."""
        row = self.row
        if row is not None:
            word = Said.OPEN if row.said.value == said else Said(said)
            fault = row.fault if word is not Said.OPEN else row.read_as
            self.post_message(self.Answered(replace(row, said=word, fault=fault)))
            self._next()

    def _next(self) -> None:
        at = self.highlighted or 0
        open_rows = [n for n, each in enumerate(self.rows) if each.said is Said.OPEN and n != at]
        if open_rows:
            self.highlighted = next((n for n in open_rows if n > at), open_rows[0])

    def action_correct(self) -> None:
        """Choose another fault."""
        if self.row is not None:
            self.post_message(self.Correct(self.row))

    def action_turn(self) -> None:
        """Say how it was: there, better, worse, or not this time."""
        row = self.row
        if row is not None:
            turned = _TURN[(_TURN.index(row.polarity) + 1) % len(_TURN)]
            self.post_message(self.Answered(replace(row, polarity=turned, said=Said.CORRECTED)))

    def action_open(self) -> None:
        """Read what the fault is."""
        if self.row is not None and self.row.fault != "none":
            self.post_message(self.Open(self.row.fault))
