"""Artwork made in the program: text, helper figures and pen charts. Stored as JSON in place of an imported file."""

from __future__ import annotations

import math
from typing import Annotated, Literal

import msgspec

from wallwright.document.document import Artwork, Document, Placement
from wallwright.document.edits import replace
from wallwright.document.errors import BadFile, BadValue
from wallwright.document.language import N_, tr
from wallwright.document.pen import Colour
from wallwright.document.quantity import check_numbers, quantity

LetterStyle = Literal["plain", "bold", "roman", "italic", "script", "ornate", "gothic"]
FigureKind = Literal["frame", "grid", "ruler", "square"]


class TextArtwork(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """Text at natural size on the wall."""

    text: str
    lettering: Literal["single-line", "outline", "middle-line"] = "single-line"
    """single-line: each stroke of a letter is one line; outline: the letters of an installed font, with fill; middle-line:
    these letters drawn along the middle of their stems."""
    face: LetterStyle = "plain"
    """Style of single-line letters."""
    family: str = ""
    """Family of the installed font; "": the system's default."""
    bold: bool = False
    italic: bool = False
    missing: Literal["replace", "leave-out"] = "replace"
    """Letters that the font lacks are drawn in another installed font, or left out."""
    align: Literal["left", "centre", "right"] = "centre"
    colour: Colour = "#202020"
    size: Annotated[
        float,
        quantity("mm", 1, 10_000, "Height of capitals", "On the wall.", "Readable from 20 m away."),
    ] = 80.0
    pitch: Annotated[
        float,
        quantity(
            "",
            0.2,
            10,
            "Line spacing",
            "Baseline to baseline, as a multiple of the height of capitals.",
            "Usual in print.",
        ),
    ] = 1.8
    spacing: Annotated[
        float,
        quantity("mm", -1000, 10_000, "Letter spacing", "Added between letters.", "The font's own spacing."),
    ] = 0.0
    radius: Annotated[
        float,
        quantity(
            "mm",
            -100_000,
            100_000,
            "Arc radius",
            "0: a straight line. Above 0: on top of a circle of that radius. Below 0: along the bottom of one.",
            "Most texts are straight.",
            zero=N_("straight"),
            least=1,
        ),
    ] = 0.0


class HelperFigure(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """A helper figure: a frame, a grid, a ruler with numbers, or a square with diagonals to measure."""

    kind: FigureKind
    colour: Colour = "#202020"
    width: Annotated[
        float,
        quantity("mm", 1, 100_000, "Original width", "Before it is scaled.", "A metre is easy to check."),
    ] = 1000.0
    height: Annotated[
        float, quantity("mm", 1, 100_000, "Original height", "For a ruler: length of its longest marks.")
    ] = 1000.0
    pitch: Annotated[
        float,
        quantity(
            "mm",
            0.5,
            100_000,
            "Spacing",
            "Distance between a grid's lines or a ruler's shortest marks.",
            "About a hand's width.",
        ),
    ] = 100.0


class Swatch(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """A pen at the time the chart was made."""

    name: str
    colour: Colour
    width: Annotated[float, quantity("mm", 0.05, 100, "Line width", "Width of the drawn line on this wall.")]


class PenChart(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """Patches of every pen at increasing hatch spacings, for choosing fills."""

    swatches: tuple[Swatch, ...]
    side: Annotated[
        float, quantity("mm", 5, 1000, "Patch", "Side length of one patch.", "Large enough to judge a tone.")
    ] = 50.0


GeneratedArtwork = TextArtwork | HelperFigure | PenChart
TYPES: dict[str, type[GeneratedArtwork]] = {
    "application/vnd.wallwright.words+json": TextArtwork,
    "application/vnd.wallwright.figure+json": HelperFigure,
    "application/vnd.wallwright.chart+json": PenChart,
}
MEDIA = {type_: media for media, type_ in TYPES.items()}


def encode(content: GeneratedArtwork) -> bytes:
    return msgspec.json.encode(content, order="deterministic")


def decode(data: bytes, media: str, name: str) -> GeneratedArtwork:
    """Raises BadFile."""
    try:
        content = msgspec.json.decode(data, type=TYPES[media])
        check_numbers(content)
        return content
    except (msgspec.DecodeError, UnicodeDecodeError, RecursionError, BadValue) as error:
        raise BadFile(
            tr("{0} in this project cannot be read: {1}. Remove it and add it again.", name, error)
        ) from error


def generated_content(artwork: Artwork) -> GeneratedArtwork | None:
    """Returns the content that an artwork was generated from; None for an imported file."""
    return decode(artwork.data, artwork.media, artwork.name) if artwork.media in TYPES else None


def generated_name(content: GeneratedArtwork) -> str:
    """Returns a short name for the contents list."""
    if isinstance(content, TextArtwork):
        line = " ".join(content.text.split())
        return line if len(line) <= 30 else line[:29] + "…"
    if isinstance(content, PenChart):
        return tr("Colour chart")
    titles = {"frame": tr("Frame"), "grid": tr("Grid"), "ruler": tr("Ruler"), "square": tr("Test square")}
    return titles[content.kind]


def chart_of(document: Document) -> PenChart:
    """Returns the chart of a document's pens."""
    return PenChart(tuple(Swatch(p.name, p.colour, p.width) for p in document.pens))


def with_generated_content(
    document: Document,
    placement_id: str,
    content: GeneratedArtwork,
    natural: tuple[float, float],
    old: tuple[float, float],
) -> Document:
    """Replaces the content of a generated artwork in all its placements.

    natural, old: its size in mm after and before; each placement keeps its scale and centre. Raises BadValue for
    content without a size.
    """
    if min(natural) <= 0 or not all(map(math.isfinite, natural)):
        raise BadValue(tr("There is nothing to draw in it. Give it a size"))
    artwork = document.artwork(document.placement(placement_id).artwork)
    changed = replace(artwork, name=generated_name(content), data=encode(content))

    def resized(placement: Placement) -> Placement:
        if placement.artwork != artwork.id:
            return placement
        scale = (natural[0] / old[0], natural[1] / old[1])
        return replace(placement, width=placement.width * scale[0], height=placement.height * scale[1])

    return replace(
        document,
        artworks=tuple(changed if a.id == artwork.id else a for a in document.artworks),
        placements=tuple(map(resized, document.placements)),
    )
