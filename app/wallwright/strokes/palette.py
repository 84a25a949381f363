"""Colours and pens of one artwork: recipe table, colour differences, and pens worth buying."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING

import numpy as np

from wallwright.artwork.colour import ciede2000, lab_of, lab_of_light, rgb_of
from wallwright.artwork.inks.ink_model import InkModel
from wallwright.artwork.inks.pen_advice import PenAdvice, advise_pens
from wallwright.artwork.inks.recipes import Tint, recipes_of
from wallwright.artwork.raster.tone import srgb
from wallwright.document import edits
from wallwright.document.document import ColourRule, Document, Ink, Overlay, Pen

if TYPE_CHECKING:
    from wallwright.strokes.stroke_composition import ColourUse

ALIKE, DIFFERENT = 5.0, 15.0
"""CIEDE2000 differences below which two colours look alike, and above which they look different; common practice, no
source."""
LINE_AREA = 2.0
"""Area, mm², by which a mm of line is weighted relative to areas."""


def difference(colour: str, pens: Sequence[Pen], tints: Sequence[Tint]) -> float:
    """Returns the CIEDE2000 difference between a colour and the mean colour of tints, whose pens are indices, on a white
    wall."""
    model = InkModel.of_pens([pens[tint.pen] for tint in tints])
    seen = lab_of_light(model.light(np.array([[tint.coverage for tint in tints]])))
    return float(ciede2000(lab_of(np.array([rgb_of(colour)])), seen)[0])


def seen_colours(colours: Sequence[str], pens: Sequence[Pen]) -> dict[str, str]:
    """Returns the mean colour, "#rrggbb", of each colour when it is mixed from some pens on a white wall."""
    found = {}
    for colour, recipe in recipes_of(colours, pens).items():
        light = np.ones(3)
        if recipe.tints:
            model = InkModel.of_pens([pens[tint.pen] for tint in recipe.tints])
            light = model.light(np.array([[tint.coverage for tint in recipe.tints]]))[0]
        found[colour] = "#{:02x}{:02x}{:02x}".format(*np.rint(srgb(light)).clip(0, 255).astype(int).tolist())
    return found


def with_rule(document: Document, placement: str, rule: ColourRule) -> Document:
    """Returns the document with one rule for all colours of a placement; choices for the whole artwork are removed, those
    for groups stay."""
    kept = tuple(ink for ink in document.placement(placement).inks if ink.group)
    return edits.set_placement(document, placement, colours=rule, inks=kept)


def with_recipes_in_table(document: Document, placement: str, uses: Iterable[ColourUse]) -> Document:
    """Returns the document with the recipe of each colour without a choice in the placement's table, ready to edit."""
    from wallwright.strokes.stroke_composition import (
        tint_styles,  # imports shapely, which the first page does not need
    )

    uses = list(uses)
    chosen = {ink.colour for ink in document.placement(placement).inks if not ink.group}
    recipes = recipes_of([use.colour for use in uses], document.pens)
    for use in uses:
        if use.colour in chosen:
            continue
        recipe = recipes[use.colour]
        ink = Ink(use.colour, document.pens[recipe.line_pen].id if recipe.line_pen >= 0 else "")
        if use.area > 0 and recipe.tints:
            styles = tint_styles(recipe.tints, recipe.turns, document.pens, document.settings.fill)
            overlays = tuple(Overlay(document.pens[s.pen].id, s.fill) for s in styles[1:])
            ink = Ink(
                use.colour,
                document.pens[styles[0].pen].id,
                styles[0].outline,
                styles[0].fill,
                overlays=overlays,
            )
        document = edits.set_ink(document, placement, ink)
    return edits.set_placement(document, placement, colours="solid")


def pens_worth_buying(document: Document, uses: Iterable[ColourUse], most: int = 3) -> list[PenAdvice]:
    """Returns further pens for an artwork, best first."""
    sizes: dict[str, float] = {}
    for use in uses:
        sizes[use.colour] = sizes.get(use.colour, 0.0) + use.area + LINE_AREA * use.length
    return advise_pens(sizes, document.pens, most)
