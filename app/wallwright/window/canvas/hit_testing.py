"""What of the wall is under the pointer."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QPointF, Qt
from PySide6.QtGui import QPolygonF

from wallwright.document import generated_artwork
from wallwright.document.document import Document
from wallwright.window.canvas.artwork_layer import frame_shown, handle_points
from wallwright.window.canvas.guide_lines import line_at, ruler_at
from wallwright.window.canvas.handles import page_contains
from wallwright.window.canvas.hangings_layer import grip, handover_lines
from wallwright.window.canvas.ink_picking import InkHit, ink_at
from wallwright.window.canvas.keep_out_layer import corner_points, side_points
from wallwright.window.model.selection import WALL, PartSelection

if TYPE_CHECKING:
    from wallwright.window.canvas.canvas import Canvas

REACH = 10.0
"""Pixels around a point that take hold of it."""
INNER_REACH = 0.25
"""Of a frame's shorter side: as far as a handle reaches into it."""
INK_REACH = 6.0
"""Pixels around a stroke in which a click means it."""

CURSORS = {
    "handle": Qt.CursorShape.CrossCursor, "anchor": Qt.CursorShape.PointingHandCursor,
    "datum": Qt.CursorShape.PointingHandCursor, "keep-out": Qt.CursorShape.SizeAllCursor,
    "placement": Qt.CursorShape.SizeAllCursor, "corner": Qt.CursorShape.CrossCursor,
    "side": Qt.CursorShape.CrossCursor, "plumb": Qt.CursorShape.SplitHCursor, "level": Qt.CursorShape.SplitVCursor,
    "meeting": Qt.CursorShape.SplitHCursor,
}  # fmt: skip


def close(a: QPointF, b: QPointF, reach: float = REACH) -> bool:
    """Whether two points of the widget are within reach of each other, pixels."""
    return QPointF.dotProduct(a - b, a - b) <= reach * reach


def target_at(canvas: Canvas, at: QPointF) -> tuple[str, str]:
    """("handle", name), ("anchor", "0 left"), ("datum", "0"), ("placement", id), ("keep-out", "0"),
    of the selected keep-out ("corner", "0") and ("side", "0"), ("meeting", "0"); ("line", "0"); ("ruler",
    "plumb" or "level"); or ("wall", "")."""
    session, view = canvas.session, canvas.view
    document = session.document
    if ruler := ruler_at(at):
        return "ruler", ruler
    chosen = line_at(document, view, at)
    if chosen is not None and session.selection == f"line:{chosen}":
        return "line", str(chosen)
    frame = frame_shown(session)
    if frame is not None:
        # Within a small frame the handles leave room to take hold of the whole.
        within = page_contains(frame, *view.to_wall(at))
        reach = min(REACH, INNER_REACH * min(frame.width, frame.height) * view.scale) if within else REACH
        for name, point in handle_points(view, frame).items():
            if close(at, point, reach):
                return "handle", name
    kind, _, number = session.selection.partition(":")
    if kind == "keepout":
        keep_out = document.wall.keep_outs[int(number)]
        for kind, points in (
            ("corner", corner_points(view, keep_out)),
            ("side", side_points(view, keep_out)),
        ):
            for place, point in enumerate(points):
                if close(at, point, REACH if kind == "corner" else 0.7 * REACH):
                    return kind, str(place)
    lines = handover_lines(session) if len(document.hangings) > 1 else {}
    for number, x in lines.items():
        if close(at, grip(view, document, x)):
            return "meeting", str(number)
    for number, hanging in enumerate(document.hangings):
        for side in ("left", "right"):
            anchor = getattr(hanging, side)
            if close(at, view.to_screen(anchor.x, anchor.y), 12):
                return "anchor", f"{number} {side}"
        if close(at, view.to_screen(*hanging.datum), 11):
            return "datum", str(number)
    x, y = view.to_wall(at)
    pages = pages_at(document, x, y, INK_REACH / view.scale)
    if pages:
        # What is selected is taken hold of before what lies over it.
        return "placement", next((p for p in pages if p in session.placement_ids), pages[0])
    line = line_at(document, view, at)
    if line is not None:
        return "line", str(line)
    for number in reversed(range(len(document.wall.keep_outs))):
        outline = QPolygonF([QPointF(*p) for p in document.wall.keep_outs[number].outline])
        if outline.containsPoint(QPointF(x, y), Qt.FillRule.OddEvenFill):
            return "keep-out", str(number)
    for number, line in lines.items():
        if abs(x - line) * view.scale <= 0.5 * REACH and document.wall.top <= y <= document.wall.floor:
            return "meeting", str(number)
    return "wall", ""


def pages_at(document: Document, x: float, y: float, room: float) -> list[str]:
    """Artworks whose page a point of the wall lies on, or no further than room, mm, from, where ink at its edge reaches.

    The smallest first, so that a frame leaves free what it goes around; those beside the point last.
    """
    pages = [p for p in reversed(document.placements) if p.visible and page_contains(p, x, y, room)]
    return [p.id for p in sorted(pages, key=lambda p: (not page_contains(p, x, y), p.width * p.height))]


def artwork_at(canvas: Canvas, at: QPointF) -> tuple[str, InkHit | None]:
    """What a click means among artworks that lie over each other: the one whose ink is there, else the smallest page;
    and its ink there. "": there is no artwork."""
    point, reach = canvas.view.to_wall(at), INK_REACH / canvas.view.scale
    pages = pages_at(canvas.session.document, *point, reach)
    hit = ink_at(canvas.session, point, reach, pages)
    if hit is None and len(pages) > 1:
        hit = ink_at(canvas.session, point, reach, pages[:1])
    return (hit.placement, hit) if hit is not None else (pages[0] if pages else "", None)


def words_at(canvas: Canvas, at: QPointF) -> str:
    """The words made in the program that are under the pointer; "": there are none."""
    document = canvas.session.document
    name = artwork_at(canvas, at)[0] if target_at(canvas, at)[0] == "placement" else ""
    is_words = (
        name
        and document.artwork(document.placement(name).artwork).media
        == generated_artwork.MEDIA[generated_artwork.TextArtwork]
    )
    return name if is_words else ""


def select_at(canvas: Canvas, at: QPointF) -> None:
    """Selects what a menu at the pointer speaks of; what is selected there already stays."""
    session = canvas.session
    kind, name = target_at(canvas, at)
    if kind == "placement":
        name, hit = artwork_at(canvas, at)
        part = PartSelection.of(session.selection)
        of_part = part is not None and part.placement == name and hit is not None and hit.part is not None
        if name not in session.placement_ids and not (of_part and part.holds(hit.part)):
            session.select(f"placement:{name}")
    elif kind in ("anchor", "datum"):
        session.select(f"hanging:{name.split()[0]}")
    elif kind == "keep-out":
        session.select(f"keepout:{name}")
    elif kind == "line":
        session.select(f"line:{name}")
    elif kind == "wall":
        session.select(WALL)


def cursor_at(canvas: Canvas, at: QPointF) -> Qt.CursorShape:
    """The cursor that says what a press would take hold of."""
    kind, name = target_at(canvas, at)
    if kind == "line":
        name = "plumb" if canvas.session.document.guide_lines[int(name)].plumb else "level"
    return CURSORS.get(name if kind in ("ruler", "line") else kind, Qt.CursorShape.ArrowCursor)
