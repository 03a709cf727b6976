"""Refusing what cannot be: every wrong input is named, with the range it should have had."""

from __future__ import annotations

import math


class ImpossibleInput(ValueError):
    """A value that no table, ball, cue or body can have.

    name: the quantity in the trade's words. message: what is wrong. hint: what to give instead.
    """

    def __init__(self, name: str, message: str, hint: str = "") -> None:
        super().__init__(f"{name}: {message}")
        self.name = name
        self.message = f"{name}: {message}"
        self.hint = hint


def within(name: str, value: float, low: float, high: float, unit: str = "", scale: float = 1.0) -> float:
    """Return value when low <= value <= high (all in the inside unit); the message shows them divided by
    scale.

    Raises: ImpossibleInput, also for not-a-number.
    """
    if not math.isfinite(value) or not low <= value <= high:
        tail = f" {unit}" if unit else ""
        given = f"{value / scale:g}"
        reach = f"between {low / scale:g} and {high / scale:g}{tail}"
        raise ImpossibleInput(name, f"{given}{tail} is not possible", f"Give a number {reach}.")
    return value
