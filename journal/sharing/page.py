"""One A4 page that is written from the top: lines, charts and small pictures. Points of 1/72 inch, y upwards.

The font is DejaVu Sans where the system has it (Latin, Greek, Cyrillic), else the Latin font that comes with
reportlab; either is embedded. Letters that the font lacks are named at the foot of the page.
"""

from __future__ import annotations

import textwrap
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from journal.errors import CannotWrite
from journal.sharing.chart_shapes import Dot, Drawing, Stroke, Words

if TYPE_CHECKING:
    from knowledge.mechanics.scene import Scene

WIDTH, HEIGHT, MARGIN = 595.28, 841.89, 48.0
FOOT = MARGIN + 24
FONTS = (("DejaVuSans", "DejaVuSans-Bold"), ("Vera", "VeraBd"))


@dataclass(frozen=True, slots=True)
class Line:
    """One line of a sheet. size in points; box: an empty tick box before it."""

    text: str
    size: float = 9.5
    bold: bool = False
    box: bool = False
    indent: float = 0.0
    before: float = 0.0


class Page:
    """Writes lines from the top; what does not fit is left out and counted, so that one page stays one
    page.
    """

    def __init__(self, path: Path, title: str) -> None:
        from reportlab.pdfgen.canvas import Canvas

        self.path = path
        self.canvas: Any = Canvas(str(path), pagesize=(WIDTH, HEIGHT), invariant=1)
        self.canvas.setTitle(title)
        self.plain, self.bold, self.known = _fonts()
        self.missing: set[str] = set()
        self.y = HEIGHT - MARGIN
        self.right = 0.0
        """Points at the right edge that lines leave free, for a picture."""
        self.left_out = 0

    @property
    def room(self) -> float:
        """Points that are left above the foot."""
        return self.y - FOOT

    def _wrapped(self, line: Line) -> list[str]:
        room = WIDTH - 2 * MARGIN - line.indent - (14 if line.box else 0) - self.right
        return _wrapped(line.text, line.size, room, self.bold if line.bold else self.plain)

    def height_of(self, line: Line) -> float:
        """Points that a line takes, wrapped."""
        return line.before + len(self._wrapped(line)) * line.size * 1.3

    def write(self, line: Line) -> bool:
        """Put a line, wrapped; False when there is no room for it."""
        size, words = line.size, self._wrapped(line)
        if self.height_of(line) > self.room:
            self.left_out += 1
            return False
        self.y -= line.before
        x = MARGIN + line.indent
        for n, part in enumerate(words):
            self.y -= size * 1.3
            if line.box and n == 0:
                self.canvas.rect(x, self.y - 1, size * 0.8, size * 0.8)
            self.canvas.setFont(self.bold if line.bold else self.plain, size)
            self.canvas.drawString(x + (14 if line.box else 0), self.y, self._shown(part))
        return True

    def draw(self, drawing: Drawing, *, before: float = 6.0) -> bool:
        """Put a chart; False when there is no room for it."""
        if before + drawing.height > self.room:
            self.left_out += 1
            return False
        top = self.y - before
        for shape in drawing.shapes:
            self._shape(shape, top)
        self.canvas.setDash([])
        self.canvas.setFillGray(0)
        self.y = top - drawing.height
        return True

    def _shape(self, shape: Stroke | Dot | Words, top: float) -> None:
        """One shape of a chart, whose y runs down from its top."""
        canvas = self.canvas
        if isinstance(shape, Stroke):
            canvas.setLineWidth(shape.width)
            canvas.setStrokeGray(0.75 if shape.faint else 0)
            canvas.line(MARGIN + shape.x1, top - shape.y1, MARGIN + shape.x2, top - shape.y2)
            canvas.setStrokeGray(0)
        elif isinstance(shape, Dot):
            canvas.circle(MARGIN + shape.x, top - shape.y, shape.r, stroke=0, fill=1)
        else:
            canvas.setFont(self.bold if shape.bold else self.plain, shape.size)
            put = {
                "start": canvas.drawString,
                "middle": canvas.drawCentredString,
                "end": canvas.drawRightString,
            }[shape.at]
            put(MARGIN + shape.x, top - shape.y, self._shown(shape.text))

    def picture(self, scene: Scene, height: float, top: float) -> None:
        """A table at the right edge, on its side with the baulk at the left, ``height`` points high, its upper edge
        at ``top``.
        """
        from journal.sharing.pictures.pdf import POINT, Sheet, draw_ground, draw_items

        # Drawn twice as large and halved, so that lines and arrow heads suit the small size.
        scale = scene.width * POINT / (2 * height)
        sheet = Sheet(WIDTH / POINT, HEIGHT / POINT, scale, 0.0, 0.0)
        self.canvas.saveState()
        self.canvas.translate(WIDTH - MARGIN - height * scene.height / scene.width, top)
        self.canvas.rotate(-90)
        self.canvas.scale(0.5, 0.5)
        draw_ground(self.canvas, scene, sheet)
        draw_items(self.canvas, scene, sheet)
        self.canvas.restoreState()

    def _shown(self, text: str) -> str:
        self.missing |= {c for c in text if ord(c) not in self.known and not c.isspace()}
        return "".join(c if ord(c) in self.known or c.isspace() else "?" for c in text)

    def save(self) -> None:
        """Write the foot and the file. Raises: CannotWrite."""
        notes = []
        if self.left_out:
            notes.append(
                f"{self.left_out} more line{'s' if self.left_out > 1 else ''} did not fit on this page."
            )
        if self.missing:
            notes.append(
                f"This system has no font for {len(self.missing)} letter(s), shown as ?. "
                "Install DejaVu or another font."
            )
        self.canvas.setFont(self.plain, 7.5)
        for n, note in enumerate(notes):
            self.canvas.drawString(MARGIN, MARGIN - 10 * n, note)
        try:
            self.canvas.save()
        except OSError as error:
            hint = "Name a file in a folder you may write to."
            raise CannotWrite(f"{self.path} cannot be written: {error.strerror or error}", hint) from error


def _fonts() -> tuple[str, str, frozenset[int]]:
    """(plain, bold, code points of the plain one), registered once."""
    from reportlab.pdfbase import pdfmetrics
    from reportlab.pdfbase.ttfonts import TTFError, TTFont

    for plain, bold in FONTS:
        try:
            for name in (plain, bold):
                if name not in pdfmetrics.getRegisteredFontNames():
                    pdfmetrics.registerFont(TTFont(name, f"{name}.ttf"))
        except TTFError:
            continue
        return plain, bold, frozenset(pdfmetrics.getFont(plain).face.charToGlyph)
    raise CannotWrite("no font for printing was found", "Install reportlab again; it brings one.")


def _wrapped(text: str, size: float, room: float, font: str) -> list[str]:
    from reportlab.pdfbase.pdfmetrics import stringWidth

    lines = [""]
    for word in text.split():
        for piece in textwrap.wrap(word, 60) or [word]:
            longer = f"{lines[-1]} {piece}".strip()
            if lines[-1] and stringWidth(longer, font, size) > room:
                lines.append(piece)
            else:
                lines[-1] = longer
    return lines
