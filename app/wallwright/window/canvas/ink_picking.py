"""What of the ink is under a point of the wall: whose artwork it is, and which of its parts. No widgets."""

from __future__ import annotations

import math
from collections.abc import Collection
from typing import TYPE_CHECKING

import msgspec
import numpy as np
import numpy.typing as npt
from PySide6.QtCore import QPointF
from PySide6.QtGui import QTransform

from wallwright.document.document import Document, Placement
from wallwright.document.placing import placing_matrix
from wallwright.strokes.nearest import nearest_stroke, strokes_around
from wallwright.window.model.items import PartItem
from wallwright.window.model.models import Models
from wallwright.window.model.planning_client import PlanningClient

if TYPE_CHECKING:
    from wallwright.strokes.stroke_composition import ColourGroup
    from wallwright.strokes.strokes import Strokes

Point = tuple[float, float]


class InkHit(msgspec.Struct, frozen=True):
    """Ink under a point."""

    placement: str
    part: ColourGroup | None
    """None: of a picture in a line style, which has no parts."""


def ink_move(old: Placement, new: Placement) -> QTransform:
    """From where ink of `old` lies on the wall to where `new` has it, mm: ink moves along until it is planned again."""
    a, b = (np.vstack([placing_matrix(p, (1.0, 1.0)), [0, 0, 1]]) for p in (old, new))
    m = (b @ np.linalg.inv(a)).tolist()
    return QTransform(m[0][0], m[1][0], m[0][1], m[1][1], m[0][2], m[1][2])


def ink_at(models: Models, point: Point, reach: float, among: Collection[str]) -> InkHit | None:
    """The ink of some placements, the uppermost first, at a point, mm: a stroke within reach, mm; of
    one placement alone also an area that is drawn around the point."""
    planning, document = models.planning, models.project.document
    preview, shown = planning.preview, planning.preview_document
    if preview is None or shown is None or not len(preview.strokes):
        return None
    strokes = preview.strokes
    owner = preview.placement_of_source[strokes.source]
    old = {p.id: (number, p) for number, p in enumerate(shown.placements)}
    layers = [
        (owner == old[p.id][0], *_where_it_was(point, reach, old[p.id][1], p), p)
        for p in reversed(document.placements)
        if p.id in among and p.id in old and p.visible
    ]
    for own, at, far, placement in layers:
        stroke = nearest_stroke(strokes, at, far, own)
        if stroke is not None:
            return _hit(planning, placement.id, strokes, stroke)
    # A line around other artwork does not mean what is within it: of areas only those of one artwork count.
    for own, at, far, placement in layers if len(layers) == 1 else ():
        around = strokes_around(strokes, at, own & ~strokes.is_fill)
        if len(around):
            return _hit(planning, placement.id, strokes, int(around[-1]))
        stroke = nearest_stroke(strokes, at, max(far, _fill_gap(document, placement)), own & strokes.is_fill)
        if stroke is not None:
            return _hit(planning, placement.id, strokes, stroke)
    return None


def parts_at(planning: PlanningClient, hit: InkHit) -> list[PartItem]:
    """The parts that ink belongs to, from the wide to the narrow: its colour, its groups, its colour in its group."""
    if hit.part is None:
        return []
    report, part = planning.report_of(hit.placement), hit.part
    names = [PartItem(hit.placement, part.colour)]
    names += [PartItem(hit.placement, "", part.group[: n + 1]) for n in range(len(part.group))]
    if part.group:
        names.append(PartItem(hit.placement, part.colour, part.group))
    # Of several that hold the same, the first is enough.
    held: dict[tuple[bool, ...], PartItem] = {}
    for name in names:
        held.setdefault(tuple(name.holds(p) for p in report.parts) if report is not None else (), name)
    return list(held.values())


def narrowed(models: Models, hit: InkHit) -> PartItem | None:
    """What a double click selects: the widest part at first, then the next narrower one, at last the widest again."""
    names, now = parts_at(models.planning, hit), models.selection.item
    if not names:
        return None
    return names[(names.index(now) + 1) % len(names)] if isinstance(now, PartItem) and now in names else names[0]


def alike(hit: InkHit, chosen: PartItem) -> PartItem | None:
    """The part of the kind of a chosen one that ink belongs to: its colour, its group, or its colour in its group."""
    if hit.part is None:
        return None
    if not chosen.group:
        return PartItem(hit.placement, hit.part.colour)
    if chosen.colour:
        return PartItem(hit.placement, hit.part.colour, hit.part.group)
    # Beside a group lies another one as deep, where there is one.
    group = hit.part.group[: len(chosen.group)]
    return PartItem(hit.placement, "", group) if group else PartItem(hit.placement, hit.part.colour)


def part_flags(planning: PlanningClient, part: PartItem, strokes: Strokes) -> npt.NDArray[np.bool_] | None:
    """(n,) which points of the preview's strokes, or of the plan's, belong to a part; None when it is unknown."""
    preview, report, shown = planning.preview, planning.report_of(part.placement), planning.preview_document
    placements = [p.id for p in shown.placements] if shown is not None else []
    if preview is None or report is None or report.part_of_source is None or part.placement not in placements:
        return None
    own = np.flatnonzero(preview.placement_of_source == placements.index(part.placement))
    held = np.array([part.holds(p) for p in report.parts] + [False])  # the last one stands for -1
    sources = np.zeros(len(preview.placement_of_source) + 1, dtype=bool)  # likewise
    sources[own[: len(report.part_of_source)]] = held[report.part_of_source]
    flags: npt.NDArray[np.bool_] = sources[strokes.source][strokes.stroke_of_point]
    return flags


def _where_it_was(point: Point, reach: float, old: Placement, now: Placement) -> tuple[Point, float]:
    """Point and reach among the ink of an older preview."""
    back, _ = ink_move(old, now).inverted()
    at = back.map(QPointF(*point))
    return (at.x(), at.y()), reach * math.sqrt(abs(back.determinant()))


def _hit(planning: PlanningClient, placement: str, strokes: Strokes, stroke: int) -> InkHit:
    preview, report = planning.preview, planning.report_of(placement)
    if preview is None or report is None or report.part_of_source is None or not report.parts:
        return InkHit(placement, None)
    source = int(strokes.source[stroke])
    first = int(np.argmax(preview.placement_of_source == preview.placement_of_source[source]))
    number = int(report.part_of_source[source - first]) if source >= 0 else -1
    return InkHit(placement, report.parts[number] if number >= 0 else None)


def _fill_gap(document: Document, placement: Placement) -> float:
    """mm from any place in a filled area to its nearest fill line, at most."""
    from wallwright.strokes.fills.spacing import second_spacing_of, spacing_of  # brings shapely

    fills = [document.settings.fill, *(ink.fill for ink in placement.inks if ink.fill is not None)]
    width = max(pen.width for pen in document.pens)
    return max(max(spacing_of(f, width), second_spacing_of(f, width)) for f in fills)
