"""Composes the strokes of an artwork on the wall: what is visible, with which pen, edge and fill."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace

import numpy as np
import shapely

from wallwright.artwork.colour import WHITE, nearest
from wallwright.artwork.drawing import Drawing, Finding
from wallwright.artwork.inks.recipes import Recipe, Tint, recipes_of
from wallwright.artwork.raster.pen_layers import turns_of
from wallwright.artwork.tiles import untiled
from wallwright.document import edits
from wallwright.document.arrays import Floats, Integers
from wallwright.document.document import ColourGap, ColourRule, Fill, Ink, Pen, Settings
from wallwright.strokes.amount import fill_length, refuse_too_much
from wallwright.strokes.choke import FlatArea, KnownGaps, choked, gap_between
from wallwright.strokes.composition_cache import CompositionCache
from wallwright.strokes.fills.quickest import USUAL_PACE, DrawingPace
from wallwright.strokes.fills.spacing import coverage_of
from wallwright.strokes.lost_details import lost_details
from wallwright.strokes.mixed_tone import GridTone
from wallwright.strokes.stroke_generation import StrokeStyle, generate_strokes
from wallwright.strokes.strokes import Strokes
from wallwright.strokes.tidy import tidy_parts
from wallwright.strokes.visibility import VisibleShape, is_soft, visible_shapes, with_slices_merged

WIDE = 1.5
"""Width, in pen widths, above which a line is drawn as a region; thinner ones are drawn once, which is closer to their
width than two lines a pen width apart."""
MOST_TINTS = 3
"""Largest number of pens that overprint each other in an area."""
BETWEEN_TINTS, A_TURN = math.radians(60), math.radians(30)
"""Angle between the hatches of overprinting pens, and between those of colours that look alike on the wall. The squares
of one pen's cross-hatch never coincide with another's."""
SLICE = 8.0
"""Thickness, in pen widths, below which translucent things are drawn together with those they touch."""
EDGED = 2 / 3
"""Coverage from which an area gets an outline; in a paler one it would stand out."""


@dataclass(frozen=True)
class ColourUse:
    """How much of one colour is visible, and what draws it."""

    colour: str
    pen: int
    """Index into the pens, -1: not drawn."""
    chosen: bool
    area: float
    """Area on the wall, mm²."""
    length: float
    """Length of lines on the wall, mm."""
    tints: tuple[Tint, ...] = field(default=(), kw_only=True)
    """Tints that its areas are mixed from if nobody chose otherwise."""


@dataclass(frozen=True)
class ColourGroup(ColourUse):
    """One colour within one group."""

    group: tuple[str, ...]
    """Names of the groups around it, outermost first."""


@dataclass(frozen=True)
class ComposedStrokes:
    strokes: Strokes
    uses: tuple[ColourUse, ...]
    parts: tuple[ColourGroup, ...]
    part_of_source: Integers
    """(m,) int32: index into parts of each shape of the drawing, -1: not visible."""
    findings: tuple[Finding, ...] = ()


def pen_of(colour: str, inks: Sequence[Ink], pens: Sequence[Pen]) -> tuple[int, Ink, bool]:
    """Returns the pen index (-1: not drawn), how the colour is drawn, and whether a person chose that; inks: of one group.

    Without a choice, white paint is not drawn; any other colour goes to the pen that looks nearest (CIEDE2000).
    """
    for ink in inks:
        if ink.colour == colour:
            index = next((i for i, p in enumerate(pens) if p.id == ink.pen), -1)
            return index, ink, True
    if colour == WHITE:
        return -1, Ink(colour), False
    return nearest(colour, [p.colour for p in pens]), Ink(colour), False


def drawn_by(colour: str, inks: Sequence[Ink], pens: Sequence[Pen], recipe: Recipe | None) -> ColourChoice:
    """Returns how a colour is drawn: by a person's choice, else by its recipe; None: with the nearest pen."""
    pen, ink, is_chosen = pen_of(colour, inks, pens)
    if is_chosen or recipe is None:
        return ColourChoice(pen, ink, is_chosen, (), 0)
    return ColourChoice(recipe.line_pen, ink, False, recipe.tints, recipe.turns)


@dataclass(frozen=True)
class ColourChoice:
    """What draws a colour."""

    pen: int
    """Index into the pens: for its lines, and for its areas if it has no tints; -1: not drawn."""
    ink: Ink
    is_chosen: bool
    """True: chosen by a person."""
    tints: tuple[Tint, ...]
    turns: int
    """Steps by which its hatch is rotated."""

    def area_styles(self, pens: Sequence[Pen], settings: Settings) -> list[StrokeStyle]:
        """Returns how its areas are drawn, one style per pen."""
        if self.pen < 0:
            return []
        if self.tints:
            return tint_styles(self.tints, self.turns, pens, settings.fill)
        own = StrokeStyle(self.pen, pens[self.pen].width, self.ink.outline, self.ink.fill or settings.fill)
        numbers = {pen.id: number for number, pen in enumerate(pens)}
        return [own] + [
            StrokeStyle(numbers[o.pen], pens[numbers[o.pen]].width, False, o.fill, True)
            for o in self.ink.overlays[: MOST_TINTS - 1]
            if o.pen in numbers
        ]


def tint_styles(tints: Sequence[Tint], turns: int, pens: Sequence[Pen], fill: Fill) -> list[StrokeStyle]:
    """Returns a fill style for each tint, each at its own angle. fill: of the job, which gives kind and angle."""
    if fill.kind == "none":
        return [StrokeStyle(tints[0].pen, pens[tints[0].pen].width, True, fill)]
    styles = []
    for number, tint in enumerate(tints):
        kind = "hatch" if number and fill.kind in ("contour", "spiral") else fill.kind  # rings would coincide
        angle = (fill.angle + number * BETWEEN_TINTS + turns * A_TURN + math.pi / 2) % math.pi - math.pi / 2
        own = edits.replace(fill, kind=kind, coverage=100 * tint.coverage, angle=angle)
        styles.append(
            StrokeStyle(tint.pen, pens[tint.pen].width, not number and tint.coverage >= EDGED, own, number > 0)
        )
    return styles


def tone_styles(tones: Sequence[tuple[int, GridTone]], pens: tuple[Pen, ...], fill: Fill) -> list[StrokeStyle]:
    """Returns a fill style for each pen of a thing with varying tone, each at its own angle. fill: of the job."""
    turns = turns_of(pens)
    kind = "none" if fill.kind == "none" else "stipple" if fill.kind == "stipple" else "hatch"
    styles = []
    for number, (pen, _) in enumerate(tones):
        angle = (fill.angle + turns[pen] + math.pi / 2) % math.pi - math.pi / 2
        own = edits.replace(fill, kind=kind, coverage=100.0, angle=angle)
        styles.append(StrokeStyle(pen, pens[pen].width, False, own, number > 0, pens))
    return styles


def compose_strokes(
    drawing: Drawing,
    matrix: Floats,
    inks: Sequence[Ink],
    pens: Sequence[Pen],
    settings: Settings,
    progress: Callable[[float], None] = lambda done: None,
    kept: CompositionCache | None = None,
    rule: ColourRule = "solid",
    gaps: Sequence[ColourGap] = (),
    pace: DrawingPace = USUAL_PACE,
) -> ComposedStrokes:
    """Returns the strokes of one placement and the colours visible in it. matrix: (2, 3) from the artwork frame to the wall,
    mm. rule: for colours that inks do not name; gaps: between pairs of colours, overriding the job's; pace: of the machine,
    by which the fastest fill is chosen.

    kept: cache from an earlier call with the same drawing and matrix; updated by this one. Raises BadValue if it takes more
    ink than any wall holds.
    """
    kept = kept or CompositionCache()
    scale = float(np.sqrt(abs(np.linalg.det(matrix[:, :2]))))
    original = drawing.shapes
    drawing, source = untiled(drawing)
    whole = [ink for ink in inks if not ink.group]
    colours = sorted({s.paint.colour for s in drawing.shapes})
    recipes = recipes_of(colours, pens) if rule == "mixed" else {}
    of_all = {colour: drawn_by(colour, whole, pens, recipes.get(colour)) for colour in colours}
    names = sorted({(s.group, s.paint.colour) for s in drawing.shapes})
    of_part = {name: _inmost(*name, inks, pens) or of_all[name[1]] for name in names}
    choices = [of_part[s.group, s.paint.colour] for s in drawing.shapes]
    is_line = [
        not s.is_region and s.width * scale <= WIDE * pens[max(choice.pen, 0)].width
        for s, choice in zip(drawing.shapes, choices, strict=True)
    ]
    is_mixed = [
        rule == "mixed" and not choice.is_chosen and is_soft(drawing, s)
        for s, choice in zip(drawing.shapes, choices, strict=True)
    ]
    slices = SLICE * max(pen.width for pen in pens)
    visible = kept.visible(
        (tuple(is_line), tuple(is_mixed), slices),
        lambda: with_slices_merged(
            visible_shapes(drawing, matrix, is_line, lambda done: progress(0.5 * done), is_mixed), slices
        ),
    )
    count, slots = len(visible), max(MOST_TINTS, len(pens))
    things = list(visible) * slots  # each tint of a thing is drawn as a separate thing

    def gap_of(first: str, second: str) -> float:
        return gap_between(first, second, gaps, settings.gap)

    areas: dict[str, list[float]] = {}
    areas_of_parts: dict[tuple[tuple[str, ...], str], list[float]] = {}
    styles: dict[int, StrokeStyle] = {}
    ink_length = 0.0
    sizes = zip(
        shapely.area([i.region for i in visible]).tolist(),
        shapely.length([i.lines for i in visible]).tolist(),
        strict=True,
    )
    for number, (item, (area, length)) in enumerate(zip(visible, sizes, strict=True)):
        name = (drawing.shapes[item.source].group, item.colour)
        choice = choices[item.source]
        for size in (areas.setdefault(item.colour, [0.0, 0.0]), areas_of_parts.setdefault(name, [0.0, 0.0])):
            size[0] += 0.0 if item.region is None else area
            size[1] += 0.0 if item.lines is None else length
        if item.region is None and choice.pen >= 0:
            pen = choice.pen
            styles[number] = StrokeStyle(pen, pens[pen].width, choice.ink.outline, choice.ink.fill or settings.fill)
            ink_length += length
        if item.seen is not None and item.region is not None:
            if number % 16 == 0:
                progress(0.5 + 0.1 * number / count)
            of_pens = kept.tones(number, item.seen, item.region, tuple(pens))
            toned = tone_styles(of_pens, tuple(pens), settings.fill)
            for tint, ((_, tone), style) in enumerate(zip(of_pens, toned, strict=True)):
                things[number + tint * count] = replace(item, tone=tone)
                styles[number + tint * count] = style
                ink_length += area * float(tone.plane.mean()) / style.width
            continue
        edge = None if item.region is None else item.region.length
        for tint, style in enumerate(choice.area_styles(pens, settings) if edge is not None else ()):
            styles[number + tint * count] = style._replace(pace=pace) if style.fill.kind == "quickest" else style
            ink_length += fill_length(area, style.fill, style.width)
            ink_length += edge if style.outline and edge is not None else 0.0
    refuse_too_much(ink_length)
    _apply_gaps(things, styles, count, pens, gap_of, kept.gaps)
    sources = source[np.array([item.source for item in things], dtype=np.int64)]
    tolerance = settings.flatness / 4
    parts = kept.strokes(
        styles,
        lambda new: generate_strokes(things, sources, new, tolerance, lambda done: progress(0.6 + 0.3 * done)),
    )
    progress(0.9)
    strokes = tidy_parts(
        parts,
        kept.laps,
        settings.join_gap,
        tolerance,
        np.array([pen.width for pen in pens]),
        lambda done: progress(0.9 + 0.1 * done),
        np.array([things[number].tone is not None for number in styles], dtype=bool),
    )
    progress(1.0)
    uses = tuple(
        ColourUse(colour, of_all[colour].pen, of_all[colour].is_chosen, area, length, tints=of_all[colour].tints)
        for colour, (area, length) in sorted(areas.items())
    )
    seen_names = [name for name in names if name in areas_of_parts]
    seen_parts = []
    for group, colour in seen_names:
        choice = of_part[group, colour]
        area, length = areas_of_parts[group, colour]
        seen_parts.append(ColourGroup(colour, choice.pen, choice.is_chosen, area, length, group, tints=choice.tints))
    of_name = {name: i for i, name in enumerate(seen_names)}
    return ComposedStrokes(
        strokes,
        uses,
        tuple(seen_parts),
        np.array([of_name.get((s.group, s.paint.colour), -1) for s in original], dtype=np.int32),
        tuple(lost_details(things, styles, parts, count, matrix)),
    )


def _apply_gaps(
    things: list[VisibleShape],
    styles: dict[int, StrokeStyle],
    count: int,
    pens: Sequence[Pen],
    gap_of: Callable[[str, str], float],
    known: KnownGaps,
) -> None:
    """Pull areas back from those of darker pens, all their tints alike. count: number of things before each further
    tint."""
    flat = {}
    for number, style in styles.items():
        thing = things[number]
        if number < count and thing.region is not None and thing.seen is None and thing.tone is None:
            tints = [styles[n] for n in range(number, len(things), count) if n in styles]
            coverage = coverage_of(style.fill, style.width) / 100
            flat[number] = FlatArea(thing.region, thing.colour, tuple(t.pen for t in tints), coverage)
    for number, area in choked(flat, pens, gap_of, known).items():
        for n in range(number, len(things), count):
            if n in styles:
                things[n] = replace(things[n], region=area.region, no_edge=area.no_edge)
                styles[n] = styles[n]._replace(bordered_by=area.bordered_by, gaps=area.gaps)


def _inmost(group: tuple[str, ...], colour: str, inks: Sequence[Ink], pens: Sequence[Pen]) -> ColourChoice | None:
    """Returns the choice for the innermost group around a colour that has one."""
    around = [i for i in inks if i.group and i.colour == colour and group[: len(i.group)] == i.group]
    return drawn_by(colour, [max(around, key=lambda i: len(i.group))], pens, None) if around else None
