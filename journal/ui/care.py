"""The caution for pain as every screen says it."""

from __future__ import annotations

from datetime import date

from textual.content import Content

from journal.days import day_words


def care_words(pain: date, today: date, also: str = "") -> Content:
    """When it was noted, and what to do. also: what this screen does about it."""
    from journal.prescription import PAIN_CAUTION

    return Content.assemble(
        (f"! Care ({day_words(pain, today)})  ", "bold $warning"), f"{PAIN_CAUTION} {also}".rstrip()
    )
