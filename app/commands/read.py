"""wallwright read: what the program understands of an artwork file."""

from __future__ import annotations

import argparse
from pathlib import Path

from app.commands.check import reading_printer
from app.commands.options import print_json, read_artwork_file

FLATNESS = 0.02
"""How far chords may leave curves, mm: a tenth of the thinnest pen."""
UNSEEN = 0.05
"""Share of a pixel that no picture shows."""
DRAWN = {"note": "approximated", "warning": "in part", "error": "not at all"}


def add_parser(subparsers) -> argparse.ArgumentParser:
    parser = subparsers.add_parser(
        "read",
        help="what the program understands of an artwork file",
        description="Reads an artwork file, lists its shapes and what could not be read, and can paint a picture. "
        "The exit code is 0 when everything in it can be drawn.",
    )
    parser.add_argument("file", type=Path, help="SVG file or picture (PNG, JPEG, WebP)")
    parser.add_argument("--picture", type=Path, help="paint what was understood into this PNG file")
    parser.add_argument("--width", type=int, default=800, help="width of the picture, pixels")
    parser.add_argument(
        "--height", type=int, default=0, help="its height; 0: as the artwork's shape wants it"
    )
    parser.add_argument(
        "--fonts",
        type=Path,
        action="append",
        default=[],
        metavar="DIR",
        help="folder of font files to use first",
    )
    parser.add_argument("--json", action="store_true", help="list as JSON")
    return parser


def flatness_for(data: bytes, pixels: int) -> float:
    """How far chords may leave curves so that a picture of that width does not show it, mm."""
    from app.artwork.svg.numbers import MM_PER_PX
    from app.artwork.svg.parse import root_of
    from app.artwork.svg.viewport import width_of_page

    root = root_of(data)
    width = None if root is None else width_of_page(root)
    return UNSEEN * width * MM_PER_PX / max(pixels, 1) if width else FLATNESS / 5


def run(args: argparse.Namespace) -> int:
    from app.artwork.drawing import Severity
    from app.artwork.media import media_of
    from app.artwork.picture_of import paint_picture
    from app.artwork.read import read_artwork

    if args.fonts:
        from app.artwork.glyphs.fonts import add_fonts

        for folder in args.fonts:
            add_fonts(folder)
    data = read_artwork_file(args.file)
    flatness = flatness_for(data, args.width) if args.picture else FLATNESS
    progress = reading_printer(args.json)
    drawing = read_artwork(data, media_of(data, args.file.name), args.file.name, flatness, progress)
    if args.picture:
        height = args.height or round(args.width * drawing.height / drawing.width)
        paint_picture(drawing, args.width, height, args.picture)
    complete = not any(f.severity is not Severity.NOTE for f in drawing.findings)
    if args.json:
        print_json(
            {
                "width_mm": drawing.width,
                "height_mm": drawing.height,
                "pixels": drawing.raster.size if drawing.raster else None,
                "shapes": [
                    {"element": s.element, "group": s.group, "colour": s.paint.colour, "opacity": s.paint.opacity,
                     "paint": type(s.paint).__name__.lower().replace("paint", "flat"),
                     "kind": "region" if s.is_region else "lines", "paths": len(s.paths),
                     "points": sum(map(len, s.paths)), "width_mm": s.width}
                    for s in drawing.shapes
                ],
                "findings": [
                    {"severity": f.severity.value, "drawn": DRAWN[f.severity.value], "element": f.element,
                     "text": f.text, "place_mm": f.place}
                    for f in drawing.findings
                ],
            }
        )  # fmt: skip
        return 0 if complete else 1
    content = f"{len(drawing.shapes)} shapes"
    if drawing.raster:
        content = "a picture of {} x {} pixels".format(*drawing.raster.size)
    print(f"{args.file.name}: {drawing.width:.1f} x {drawing.height:.1f} mm, {content}")
    for finding in drawing.findings:
        print(f"  {finding.severity.value}: {finding.element}: {finding.text}")
    return 0 if complete else 1
