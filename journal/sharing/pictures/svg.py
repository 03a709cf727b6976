"""A scene as SVG. One user unit is one millimetre of the scene; x is the scene's, y is the scene's top less
y.

Every ball also carries its own place in ``data-x`` and ``data-y`` (scene millimetres, y upwards).
"""

from __future__ import annotations

from pathlib import Path
from xml.sax.saxutils import escape, quoteattr

from journal.errors import CannotWrite
from journal.sharing.pictures.inks import BALLS, CLOTH, FILLS, LINES, PAPER
from knowledge.mechanics.scene import Disc, Line, Note, Point, Scene, Zone

PIXELS_HIGH = 900
ARROWS = ("white path", "object path", "aim", "warning", "cue")


def svg(scene: Scene) -> str:
    """The scene as an SVG document; its words become the description that screen readers read."""
    unit = max(scene.width, scene.height) / 260
    small = scene.width / scene.height
    high = PIXELS_HIGH if small < 1 else max(200, round(PIXELS_HIGH / small))
    lines = [
        '<?xml version="1.0" encoding="UTF-8"?>',
        f'<svg xmlns="http://www.w3.org/2000/svg" role="img" width="{high * small:.0f}" height="{high}" '
        f'viewBox="{scene.left:.3f} 0 {scene.width:.3f} {scene.height:.3f}">',
        f"<title>{escape(scene.title)}</title>",
        f"<desc>{escape(' '.join(w.rstrip('.') + '.' for w in scene.words))}</desc>",
        _markers(),
        f'<rect x="{scene.left:.3f}" y="0" width="{scene.width:.3f}" height="{scene.height:.3f}" '
        f'fill="{CLOTH if scene.table else PAPER}"/>',
    ]
    for item in scene.items:
        match item:
            case Disc():
                lines += _disc(item, scene.top, unit)
            case Line():
                lines.append(_line(item, scene.top, unit))
            case Zone():
                lines.append(_zone(item, scene.top, unit))
            case Note():
                lines.append(_text(item.x, scene.top - item.y, item.text, item.at, 4.2 * unit))
    return "\n".join([*lines, "</svg>", ""])


def write_svg(scene: Scene, path: Path) -> None:
    """Write the scene to a file. Raises: CannotWrite."""
    try:
        path.write_text(svg(scene), encoding="utf-8")
    except OSError as problem:
        raise CannotWrite(
            f"{path}: {problem.strerror or problem}", "Choose a folder you may write to."
        ) from problem


def _markers() -> str:
    heads = "".join(
        f'<marker id="head-{ink.split()[0]}" viewBox="0 0 8 8" refX="7" refY="4" markerWidth="5" '
        'markerHeight="5" '
        f'orient="auto-start-reverse"><path d="M0 0.5 L8 4 L0 7.5 z" fill="{LINES[ink].colour}"/></marker>'
        for ink in LINES
        if ink in ARROWS
    )
    return f"<defs>{heads}</defs>"


def _points(points: tuple[Point, ...], top: float) -> str:
    return " ".join(f"{x:.2f},{top - y:.2f}" for x, y in points)


def _line(item: Line, top: float, unit: float) -> str:
    look = LINES[item.ink]
    dash = f' stroke-dasharray="{3 * unit:.2f} {2 * unit:.2f}"' if item.dashed else ""
    head = f' marker-end="url(#head-{item.ink.split()[0]})"' if item.arrow and item.ink in ARROWS else ""
    return (
        f'<polyline points="{_points(item.points, top)}" fill="none" stroke="{look.colour}" '
        f'stroke-width="{look.width * 2 * unit:.3f}" stroke-linejoin="round"{dash}{head} '
        f"data-ink={quoteattr(item.ink)}/>"
    )


def _zone(item: Zone, top: float, unit: float) -> str:
    fill = FILLS.get(item.ink, "none")
    return (
        f'<polygon points="{_points(item.points, top)}" fill="{fill}" fill-opacity="0.75" '
        f'stroke="{LINES[item.ink].colour}" stroke-width="{0.5 * unit:.3f}" data-ink={quoteattr(item.ink)}/>'
    )


def _disc(item: Disc, top: float, unit: float) -> list[str]:
    dash = f' stroke-dasharray="{1.2 * unit:.2f} {0.8 * unit:.2f}"' if item.role == "ghost" else ""
    found = [
        f'<circle cx="{item.x:.3f}" cy="{top - item.y:.3f}" r="{item.radius:.3f}" fill="{BALLS[item.role]}" '
        f'stroke="#222222" stroke-width="{0.5 * unit:.3f}"{dash} data-role={quoteattr(item.role)} '
        f'data-x="{item.x:.3f}" data-y="{item.y:.3f}"/>'
    ]
    if item.label:
        found.append(_text(item.x + item.radius * 1.3, top - item.y, item.label, "start", 4.2 * unit))
    return found


def _text(x: float, y: float, text: str, at: str, size: float) -> str:
    return (
        f'<text x="{x:.2f}" y="{y + size / 3:.2f}" font-size="{size:.2f}" font-family="sans-serif" '
        f'text-anchor="{at}" fill="#222222">{escape(text)}</text>'
    )
