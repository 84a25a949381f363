"""Pens for the colours of artwork: each new pen gets a colour without a pen, and a unique name."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING

from wallwright.artwork.colour import WHITE, difference, name_of, nearest
from wallwright.artwork.inks.markers import MARKERS
from wallwright.document import edits
from wallwright.document.document import Document, Pen
from wallwright.document.language import tr

if TYPE_CHECKING:
    from wallwright.planning.plan import StrokePreview
    from wallwright.strokes.stroke_composition import ColourUse

SAME_COLOUR = 8.0
"""Colour difference (CIEDE2000) below which two markers count as the same."""
USUAL = ("#ce4a47", "#228665", "#7469d0", "#a06c17", "#25838d", "#c54693", "#5f8219", "#2a7ead", "#202020")
"""Colours of new pens when no artwork needs one. Own choice: eight CIELAB hues, 45° apart from 30° on, of lightness 50 and
nine tenths of the chroma available in sRGB, at most 60; neighbours in the list are far apart. Then black."""


def lacking(colours: Iterable[str], pens: Sequence[Pen]) -> list[str]:
    """Returns the colours that are not close to any pen or to an earlier one of them."""
    have, found = [p.colour for p in pens], []
    for colour in colours:
        if colour != WHITE and not any(difference(colour, h) < SAME_COLOUR for h in have):
            have.append(colour)
            found.append(colour)
    return found


def seen_colours(preview: StrokePreview | None) -> list[str]:
    """Returns the colours of all artwork, those with most ink first, assuming 2 mm wide lines."""
    sizes: dict[str, float] = {}
    for report in preview.reports if preview is not None else ():
        for use in report.colours:
            sizes[use.colour] = sizes.get(use.colour, 0.0) + use.area + 2.0 * use.length
    return sorted(sizes, key=lambda colour: -sizes[colour])


def with_pen(document: Document, colour: str) -> tuple[Document, Pen]:
    """Adds a pen of a colour, as wide as the first one and named after the colour."""
    names = {p.name for p in document.pens}
    name, number = name_of(colour), 1
    while name in names:
        number += 1
        name = f"{name_of(colour)} {number}"
    return edits.add_pen(document, name, colour, document.pens[0].width)


def with_colour(document: Document, number: int, colour: str) -> Document:
    """Changes the colour of a pen, and its name if that is the default name of the old colour."""
    pen = document.pens[number]
    stem, _, count = pen.name.rpartition(" ")
    stem = stem if count.isdecimal() else pen.name
    markers = {tr(marker.pen_name): marker.colour for marker in MARKERS if marker.pen_name}
    if stem in markers:
        name = list(markers)[nearest(colour, list(markers.values()))]
    else:
        name = name_of(colour) if stem == name_of(pen.colour) else stem
    taken = {p.name for p in document.pens if p.id != pen.id}
    free = (n for n in (name, *(f"{name} {k}" for k in range(2, len(taken) + 3))) if n not in taken)
    changed = edits.replace(pen, colour=colour, name=pen.name if name == stem else next(free))
    return edits.set_field(document, f"pens.{number}", changed)


def with_one_more(document: Document, preview: StrokePreview | None) -> tuple[Document, Pen]:
    """Adds a pen for the most used colour without one, else of an unused default colour."""
    wanted = lacking((*seen_colours(preview), *USUAL), document.pens)
    return with_pen(document, wanted[0] if wanted else USUAL[0])


def with_pens_for(document: Document, colours: Iterable[str]) -> Document:
    """Adds a pen for each colour that is not close to any pen."""
    for colour in lacking(colours, document.pens):
        document, _ = with_pen(document, colour)
    return document


def with_own_pens(document: Document, placement: str, uses: Iterable[ColourUse]) -> Document:
    """Adds pens for the colours of one artwork, and assigns them even where another pen was chosen."""
    uses = tuple(uses)
    new = lacking((u.colour for u in uses), document.pens)
    document = with_pens_for(document, new)
    pens = {p.colour: p.id for p in document.pens}
    for ink in document.placement(placement).inks:
        if ink.colour in new:
            document = edits.set_ink(document, placement, edits.replace(ink, pen=pens[ink.colour]))
    return document
