"""An entry as text on the screen, and as one printed page."""

from __future__ import annotations

import textwrap
from pathlib import Path
from typing import TYPE_CHECKING

from textual.content import Content
from textual.style import Style

from journal.errors import CannotWrite
from journal.ui.pictures import drill_picture

if TYPE_CHECKING:
    from journal.pages import Line, Page
    from journal.records import Player
    from knowledge.rulebase import RuleBase


def page_content(page: Page, rules: RuleBase, room: int, *, dark: bool = True) -> Content:
    """The whole page; links carry their number and can be clicked."""
    numbers = {id_: n for n, id_ in enumerate(page.links, 1)}
    own = "  (your own rule)" if page.own else ""
    parts = [
        Content.assemble((page.title, "bold $accent"), (f"  {page.kind}{own}", "$text-muted")),
        Content(""),
    ]
    drill = rules.drills.get(page.id)
    for section in page.sections:
        if drill is not None and section.heading == "Balls":
            picture = drill_picture(drill, room, dark=dark)
            if picture is not None:
                parts += [picture, Content("")]
        parts.append(Content.styled(section.heading, "bold $primary"))
        parts += [_line(line, numbers, room) for line in section.lines]
        parts.append(Content(""))
    if page.source:
        parts.append(Content.styled(f"Source: {page.source}", "$text-muted"))
    return Content("\n").join(parts)


def _line(line: Line, numbers: dict[str, int], room: int) -> Content:
    source = Content.styled(f" [{line.source}]", "$text-muted") if line.source else Content("")
    if line.link is None:
        return Content(line.text) + source
    number = numbers[line.link]
    mark = f"{number:>2} "
    wrapped = textwrap.wrap(line.text, max(20, room - 4)) or [""]
    text = Content(("\n" + " " * 3).join(wrapped)).stylize(
        Style.from_meta({"@click": f"screen.follow({number})"})
    )
    return Content.styled(mark, "bold $accent") + text + source


def print_page(page: Page, rules: RuleBase, player: Player, folder: Path) -> Path:
    """One A4 page; a fault's in the player's own numbers. Raises: CannotWrite."""
    from journal.prescription import prescribe
    from journal.sharing.sheets import entry_sheet, text_sheet

    try:
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    except OSError as error:
        raise CannotWrite(
            f"{folder} cannot be made: {error.strerror}", "Open a journal in a folder you may write to."
        ) from error
    path = folder / f"{page.id}.pdf"
    if page.id in rules.faults:
        entry_sheet(prescribe(page.id, rules, player), path)
    else:
        lines = [
            part
            for section in page.sections
            for part in (section.heading.upper(), *(line.text for line in section.lines))
        ]
        text_sheet(page.title, [*lines, f"Source: {page.source}"], path)
    return path
