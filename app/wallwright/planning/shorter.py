"""Changes of a document that shorten its job, with approximate times.

Each change is planned like the job itself, with two simplifications: strokes are ordered by the nearest next one without a
search, and of a large drawing only parts are timed. The present document is timed in the same way, so that both errors
nearly cancel in the ratio of the times. Line styles of pictures take too long to try at full size: their times come from
the ink that the pens should lay (strokes/pictures/style_times.py).
"""

from __future__ import annotations

from collections.abc import Callable, Iterator

import msgspec
import numpy as np

from wallwright.document.document import Document, Fill, Placement
from wallwright.document.edits import replace, set_field, set_placement
from wallwright.document.edits_arrangement import carry_placements, set_placements
from wallwright.document.errors import BadValue
from wallwright.document.language import format_number, tr
from wallwright.document.ordering import Effort, Ordering
from wallwright.document.picture import STYLES, PictureSettings, Regions
from wallwright.document.placing import bounding_box
from wallwright.document.style_titles import STYLE_TITLES
from wallwright.planning.clock import StageProgress
from wallwright.planning.plan import ShorterOption, StrokePreview
from wallwright.planning.plan_stage import PlanStage
from wallwright.planning.rough_time import RoughTime
from wallwright.strokes.fills.quickest import DrawingPace
from wallwright.strokes.pictures.style_times import LayerInk, seconds_of_styles

WIDER = 1.5
"""Factor on the distance between fill lines: still a tone, and a third less line."""
PALER = 0.7
"""Factor on the darkest tone of a picture."""
FASTER = 1.5
"""Factor on the speed: what most markers tolerate on a smooth wall. Own choice; the sample strip shows it."""
SMALLER = 0.8
"""Factor on the size."""
LARGEST_SHARE = 0.98
"""Ratio of the times above which a change is not worth offering."""
NEXT_EFFORT: dict[Effort, Effort] = {"quick": "balanced", "balanced": "best"}
"""The next longer search for the order after each."""


def find_shorter(
    document: Document,
    hanging: int,
    preview_of: Callable[[Document], StrokePreview],
    plans: PlanStage,
    progress: StageProgress,
) -> Iterator[ShorterOption]:
    """Yields changes of a document that may shorten one hanging's job: all of them at once, those to be tried as pending;
    then the result of each of these. preview_of: makes the strokes of a document."""
    preview = preview_of(document)
    now = plans.rough_time(document, hanging, preview, progress)
    if now.total <= 0:
        return
    yield from _styles(document, preview)
    changes = tuple(_changes(document))
    for option in changes:
        yield _answer(replace(option, is_pending=True))
    yield from _longer_search(document, now)
    for option in changes:
        try:
            changed = plans.rough_time(option.document, hanging, preview_of(option.document), progress)
            share = changed.total / now.total
        except BadValue:  # a change that this artwork does not allow, such as a style with too much ink
            share = 1.0
        yield _answer(replace(option, share=share if 0 < share <= LARGEST_SHARE else 1.0))


def _answer(option: ShorterOption) -> ShorterOption:
    return replace(option, document=replace(option.document, artworks=()))


def _changes(document: Document) -> Iterator[ShorterOption]:
    """Yields all changes that may shorten the job, before it is known whether they do."""
    yield from _fewer_lines(document)
    yield from _pictures(document)
    yield from _speeds(document)
    rules = document.settings.order
    free = Ordering(effort=rules.effort, tries=rules.tries)
    if free != rules:
        text = tr("Strokes are drawn in whatever order is quickest, without your rules for it.")
        yield ShorterOption(tr("Order without rules"), text, None, set_field(document, "settings.order", free))
    shown = [p for p in document.placements if p.visible]
    if shown and not any(p.locked for p in shown):
        left, top, right, bottom = bounding_box(shown)
        middle = (left + right) / 2, (top + bottom) / 2
        smaller = carry_placements(document, [p.id for p in shown], middle, share=SMALLER)
        text = tr(
            "All shown artwork at {0:.0f} % of its size: {1:.0f} × {2:.0f} mm together.",
            100 * SMALLER,
            SMALLER * (right - left),
            SMALLER * (bottom - top),
        )
        yield ShorterOption(tr("Smaller"), text, None, smaller)


def _fewer_lines(document: Document) -> Iterator[ShorterOption]:
    """Yields changes to areas with less line in them."""
    shapes = [p for p in document.placements if p.visible and not document.artwork(p.artwork).is_picture]
    if not shapes:
        return
    fill = document.settings.fill
    mixed = [p.id for p in shapes if p.colours == "mixed"]
    if mixed and fill.kind != "none":
        alone = set_placements(document, mixed, colours="solid")
        text = tr("Each colour with the one pen nearest to it, filled with {0}. Shades look less true.", _lines(fill))
        yield ShorterOption(tr("One pen for each colour"), text, None, alone)
    wider = _with_fills(document, lambda one: one if one.kind == "none" else _wider(one))
    if wider != document and (len(mixed) < len(shapes) or any(p.inks for p in shapes)):
        text = tr("Fills with {0} instead of {1}: paler areas.", _lines(wider.settings.fill), _lines(fill))
        yield ShorterOption(tr("Wider line spacing"), text, None, wider)
    quick = _with_fills(document, lambda one: one if one.kind == "none" else replace(one, kind="quickest"))
    if quick != document:
        text = tr("Every area with the kind of fill that takes the least time there, as dense as now.")
        yield ShorterOption(tr("Quickest kind of fill"), text, None, quick)
    bare = _with_fills(document, lambda one: replace(one, kind="none"))
    if bare != document:
        text = tr("No area is filled; edges and lines stay.")
        yield ShorterOption(tr("Outlines only"), text, None, bare)


def _wider(fill: Fill) -> Fill:
    if fill.coverage > 0:
        return replace(fill, coverage=fill.coverage / WIDER)
    return replace(fill, spacing=WIDER * fill.spacing, cross_spacing=WIDER * fill.cross_spacing)


def _lines(fill: Fill) -> str:
    """Returns the density of a fill in words."""
    if fill.coverage > 0:
        return tr("{0:.0f} % ink", fill.coverage)
    return tr("lines {0} mm apart", format_number(fill.spacing))


def _with_fills(document: Document, change: Callable[[Fill], Fill]) -> Document:
    """Returns the document with each fill changed: that of the job and those of colours."""

    def changed(placement: Placement) -> Placement:
        inks = tuple(
            replace(
                ink,
                fill=ink.fill and change(ink.fill),
                overlays=tuple(replace(over, fill=change(over.fill)) for over in ink.overlays),
            )
            for ink in placement.inks
        )
        return replace(placement, inks=inks)

    document = set_field(document, "settings.fill", change(document.settings.fill))
    return replace(document, placements=tuple(map(changed, document.placements)))


def _pictures(document: Document) -> Iterator[ShorterOption]:
    """Yields changes to pictures with less ink, or from fewer pens."""
    pictures = [p for p in document.placements if p.visible and document.artwork(p.artwork).is_picture]
    paler = fewer = document
    for placement in pictures:
        picture = placement.picture or PictureSettings()
        if isinstance(picture.style, Regions):
            continue
        less = max(PALER * picture.darkest, 0.1)
        paler = set_placement(paler, placement.id, picture=replace(picture, darkest=less))
        if len(picture.pens) > 1:
            fewer = set_placement(fewer, placement.id, picture=replace(picture, pens=()))
    if paler != document:
        text = tr("The darkest tone of pictures is drawn with {0:.0f} % of its ink, the others likewise.", 100 * PALER)
        yield ShorterOption(tr("Paler picture"), text, None, paler)
    if fewer != document:
        text = tr("Pictures are drawn with the darkest pen alone, without colours.")
        yield ShorterOption(tr("Picture in one pen"), text, None, fewer)


def _speeds(document: Document) -> Iterator[ShorterOption]:
    """Yields higher speeds, as far as the belts allow. A machine that takes drawings sets its own speed."""
    limits = document.machine.limits
    if document.machine.controller.takes == "drawing":
        return
    draw = min(round(FASTER * limits.draw_speed), limits.belt_speed)
    if draw > limits.draw_speed:
        text = tr(
            "{0} mm/s instead of {1} mm/s, where pens have no limit of their own. Markers may leave gaps. First "
            "draw the sample strip, a small test drawing that shows how fast each pen can be: “Pens › Measure pens”.",
            format_number(draw),
            format_number(limits.draw_speed),
        )
        faster = set_field(document, "machine.limits.draw_speed", float(draw))
        yield ShorterOption(tr("Faster pen"), text, None, faster)
    travel = min(round(FASTER * limits.travel_speed), limits.belt_speed)
    if travel > limits.travel_speed:
        text = tr(
            "{0} mm/s instead of {1} mm/s with the pen up. The lines stay the same.",
            format_number(travel),
            format_number(limits.travel_speed),
        )
        faster = set_field(document, "machine.limits.travel_speed", float(travel))
        yield ShorterOption(tr("Faster travel"), text, None, faster)


def _styles(document: Document, preview: StrokePreview) -> Iterator[ShorterOption]:
    """Yields, for each picture, the line style that takes the least time."""
    pace, shares = DrawingPace.of(document), _line_shares(document, preview)
    if len(document.hangings) > 1:
        return  # the share of a picture in one hanging is unknown
    for report in preview.reports:
        placement = document.placement(report.placement)
        picture = placement.picture or PictureSettings()
        if not document.artwork(placement.artwork).is_picture or isinstance(picture.style, Regions):
            continue
        inks = [LayerInk(use.area, document.pens[use.pen].width) for use in report.colours if use.pen >= 0]
        seconds = seconds_of_styles(inks, (placement.width, placement.height), pace)
        own = str(type(picture.style).__struct_config__.tag)
        if not seconds.get(own):
            continue
        from_own = {name: s / seconds[own] for name, s in seconds.items()}
        quickest = min(from_own, key=lambda name: from_own[name])
        share = 1 - shares[report.placement] * (1 - from_own[quickest])
        if share > LARGEST_SHARE:
            continue
        text = tr(
            "{0} instead of {1}. The list “Style” of the picture shows how each one looks.",
            tr(STYLE_TITLES[quickest]),
            tr(STYLE_TITLES[own]),
        )
        kind = STYLES[quickest]
        changed = set_placement(document, placement.id, picture=replace(picture, style=kind()))
        title = tr("Another style for {0}", document.artwork(placement.artwork).name)
        yield _answer(ShorterOption(title, text, share, changed))


def _line_shares(document: Document, preview: StrokePreview) -> dict[str, float]:
    """Returns the share of the total line length of each placement, by its id."""
    strokes = preview.strokes
    of = np.where(strokes.source >= 0, preview.placement_of_source[strokes.source], len(document.placements))
    length = np.bincount(of, strokes.lengths(), minlength=len(document.placements))
    return {p.id: float(length[n] / max(length.sum(), 1e-9)) for n, p in enumerate(document.placements)}


def _longer_search(document: Document, now: RoughTime) -> Iterator[ShorterOption]:
    """Yields a longer search; its saving is known only after running it."""
    order = document.settings.order
    effort = NEXT_EFFORT.get(order.effort, order.effort)
    if (effort == order.effort and not order.tries) or now.travel <= 0:
        return
    text = tr("Moves without drawing become shorter; planning takes longer. The drawing stays the same.")
    changed = set_field(document, "settings.order", msgspec.structs.replace(order, effort=effort, tries=0))
    yield _answer(ShorterOption(tr("Search longer for the order"), text, None, changed))
