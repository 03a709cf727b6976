"""Charts as one SVG picture, black on white, with a text for screen readers."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence
from html import escape

from journal.sharing.chart_shapes import LINE, Dot, Drawing, Shape, Stroke, Words, drawing_of
from journal.sharing.charts import Chart

WIDTH, EDGE = 560.0, 16.0
LETTERS = 100
"""Letters of a line of text; longer ones are wrapped."""


def charts_svg(title: str, parts: Sequence[str | Chart]) -> str:
    """Lines of text and charts one below the other. The description says the same in plain characters."""
    drawn: list[str] = []
    y = EDGE
    for part in parts:
        drawing = _text(part) if isinstance(part, str) else drawing_of(part, WIDTH)
        inner = "".join(_shape(shape) for shape in drawing.shapes)
        drawn.append(f'<g transform="translate({EDGE:g} {y:.1f})">{inner}</g>')
        y += drawing.height + (0 if isinstance(part, str) else 8)
    told = "\n".join(line for part in parts for line in ([part] if isinstance(part, str) else part.lines()))
    size = f"{WIDTH + 2 * EDGE:g} {y + EDGE:.0f}"
    return "\n".join(
        [
            f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {size}" role="img" font-family="sans-serif">',
            f"<title>{escape(title)}</title>",
            f"<desc>{escape(told)}</desc>",
            '<rect width="100%" height="100%" fill="#fff"/>',
            *drawn,
            "</svg>",
            "",
        ]
    )


def _text(line: str) -> Drawing:
    lines = textwrap.wrap(line, LETTERS) or [""]
    words = tuple(Words(0, 9 + n * LINE, part, 9.0) for n, part in enumerate(lines))
    return Drawing(WIDTH, LINE * len(lines), words)


def _shape(shape: Shape) -> str:
    if isinstance(shape, Stroke):
        colour = "#bbb" if shape.faint else "#000"
        return (
            f'<path d="M{shape.x1:.1f} {shape.y1:.1f}L{shape.x2:.1f} {shape.y2:.1f}" '
            f'stroke="{colour}" stroke-width="{shape.width:g}"/>'
        )
    if isinstance(shape, Dot):
        return f'<circle cx="{shape.x:.1f}" cy="{shape.y:.1f}" r="{shape.r:g}"/>'
    weight = ' font-weight="bold"' if shape.bold else ""
    return (
        f'<text x="{shape.x:.1f}" y="{shape.y:.1f}" font-size="{shape.size:g}" text-anchor="{shape.at}"{weight}>'
        f"{escape(shape.text)}</text>"
    )
