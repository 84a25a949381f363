"""wallwright pens --friction-photo: reads the friction figure from photos."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import Any

import numpy as np

from wallwright.document.arrays import Points
from wallwright.document.document import Document
from wallwright.document.errors import BadValue
from wallwright.document.language import format_number, tr
from wallwright.planning.comb_search import proposed_corners
from wallwright.planning.friction_figure import figure_combs
from wallwright.planning.friction_photo import FrictionPhotoReading, photo_pixels, read_photo, with_friction_read


def add_photo_options(parser: argparse.ArgumentParser) -> None:
    """Adds the options of with_photos_read."""
    parser.add_argument(
        "--friction-photo",
        action="append",
        default=[],
        metavar="[PEN=]FILE",
        help=tr("photo of the friction figure, of all pens or of one, from which the distances are read"),
    )
    parser.add_argument(
        "--photo-corners",
        metavar="X,Y,...",
        help=tr(
            "where the figure's corners are in the photo, when they are not found: 8 numbers, in pixels from the top left, "
            "clockwise from the corner at the top left"
        ),
    )


def with_photos_read(document: Document, args: argparse.Namespace) -> tuple[Document, list[dict[str, Any]]]:
    """Returns the document with the friction measured in photos, and the readings of each comb. Raises UserError."""
    records: list[dict[str, Any]] = []
    if args.photo_corners is not None and len(args.friction_photo) > 1:
        raise BadValue(tr("--photo-corners belongs to one photo; read several photos one after the other"))
    for text in args.friction_photo:
        names = [pen.name for pen in document.pens]
        name, equals, file = text.partition("=")
        pens = [names.index(name)] if equals and name in names else []
        reading = _read(document, args, Path(file if pens else text), pens)
        document = with_friction_read(document, args.hanging - 1, reading)
        records += [_record(names[comb.comb.pen], comb.comb.number, comb) for comb in reading.combs]
    return document, records


def print_photos(records: list[dict[str, Any]]) -> None:
    """Prints the distances of each comb with their uncertainty."""
    for record in records:
        print(
            tr(
                "{0}, comb {1}: {2} mm, ± {3:.2f} mm",
                record["pen"],
                record["comb"],
                "; ".join(format_number(value, ".2f") for value in record["distances_mm"]),
                record["uncertainty_mm"],
            )
        )


def _record(pen: str, number: int, comb: Any) -> dict[str, Any]:
    return {
        "pen": pen,
        "comb": number + 1,
        "distances_mm": [round(value, 3) for value in comb.distances],
        "uncertainty_mm": round(comb.uncertainty, 3),
    }


def _read(document: Document, args: argparse.Namespace, path: Path, pens: list[int]) -> FrictionPhotoReading:
    combs = [comb for comb in figure_combs(document, args.hanging - 1) if not pens or comb.pen in pens]
    if not combs:
        raise BadValue(tr("The figure has no combs for this pen"))
    pixels = photo_pixels(path)
    corners = _corners(args.photo_corners) if args.photo_corners else proposed_corners(pixels, combs)
    if corners is None:
        raise BadValue(
            tr(
                "The figure was not found in {0}. Give its corners with --photo-corners, or drag them in the window "
                "(“Pens › Measure pens”)",
                path.name,
            )
        )
    try:
        return read_photo(pixels, document, combs, corners)
    except BadValue as error:
        raise BadValue(f"{path.name}: {error}") from error


def _corners(text: str) -> Points:
    """Returns (4, 2) corners, pixels."""
    try:
        values = np.array([float(part) for part in text.split(",")])
    except ValueError as error:
        raise BadValue(tr("--photo-corners {0}: write 8 numbers with commas between them", text)) from error
    if len(values) != 8 or not np.isfinite(values).all():
        raise BadValue(tr("--photo-corners {0}: write 8 numbers with commas between them", text))
    return values.reshape(4, 2)
