"""What the Add menu makes on the wall: words and figures that help."""

from __future__ import annotations

import math

from wallwright.document import edits, generated_artwork
from wallwright.document.document import Placement
from wallwright.document.errors import UserError
from wallwright.document.language import tr
from wallwright.document.placing import bounding_box
from wallwright.window.model.items import PlacementItem
from wallwright.window.model.models import Models
from wallwright.window.panels.properties import PropertiesPanel

MARGIN = 30.0
"""mm between artwork and the frame put around it."""


class GeneratedArtworkFeature:
    """Adds text and helper figures."""

    def __init__(self, models: Models, properties: PropertiesPanel) -> None:
        """properties: where text is typed."""
        self.models, self._properties = models, properties

    def words(self) -> None:
        """Adds placeholder text in a line below the existing artwork, or beside it where the draw zone ends."""
        words = generated_artwork.TextArtwork(tr("Text"), size=_rounded(self._distance() / 24))
        shown = [p for p in self.models.project.document.placements if p.visible]
        centre = None
        if shown:
            left, _, right, bottom = bounding_box(shown, self.models.planning.drawn_parts())
            centre = ((left + right) / 2, bottom + 1.2 * words.size)
        if self._add(words, centre):
            self._properties.edit_words()

    def figure(self, kind: generated_artwork.FigureKind) -> None:
        """A figure; a frame goes around the selected artwork."""
        side = _rounded(0.4 * self._distance())
        centre = None
        if kind == "frame":
            placement = self._selected()
            width, height = side, _rounded(0.7 * side)
            if placement is not None:
                c, s = abs(math.cos(placement.turn)), abs(math.sin(placement.turn))
                width = placement.width * c + placement.height * s + 2 * MARGIN
                height = placement.width * s + placement.height * c + 2 * MARGIN
                centre = (placement.x, placement.y)
            figure = generated_artwork.HelperFigure(kind, width=width, height=height)
        elif kind == "ruler":
            figure = generated_artwork.HelperFigure(kind, width=side, height=40.0, pitch=10.0)
        else:
            figure = generated_artwork.HelperFigure(kind, width=side, height=side, pitch=min(100.0, side / 4))
        self._add(figure, centre, is_placed=kind == "frame" and centre is not None)

    def chart(self) -> None:
        self._add(generated_artwork.chart_of(self.models.project.document))

    def _add(
        self,
        thing: generated_artwork.GeneratedArtwork,
        centre: tuple[float, float] | None = None,
        is_placed: bool = False,
    ) -> bool:
        """Adds artwork. centre: wanted middle, mm; unless is_placed, the nearest free room is used."""
        from wallwright.artwork.artwork_reader import read_artwork
        from wallwright.planning.proposed_places import centre_with_room

        media, data, name = (
            generated_artwork.MEDIA[type(thing)],
            generated_artwork.encode(thing),
            generated_artwork.generated_name(thing),
        )
        document = self.models.project.document
        try:
            drawing = read_artwork(data, media, name, document.settings.flatness)
            if not is_placed:
                size, parts = (drawing.width, drawing.height), self.models.planning.drawn_parts()
                centre = centre_with_room(document, size, parts, centre) or centre
            document, placed = edits.add_artwork(
                document, name, media, data, (drawing.width, drawing.height), centre, drawing.width
            )
        except UserError as trouble:
            self.models.messages.say(str(trouble))
            return False
        if not self.models.project.edit(tr("Place {0}", name), document):
            return False
        self.models.selection.select(PlacementItem(placed.id))
        return True

    def _selected(self) -> Placement | None:
        name = self.models.selection.placement_id
        return self.models.project.document.placement(name) if name else None

    def _distance(self) -> float:
        hanging = self.models.project.document.hangings[0]
        return math.dist((hanging.left.x, hanging.left.y), (hanging.right.x, hanging.right.y))


def _rounded(value: float) -> float:
    """A length a person would choose: one or two figures."""
    step = 10.0 ** math.floor(math.log10(value)) / 2
    return max(round(value / step) * step, step)
