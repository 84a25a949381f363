"""wallwright read: what the program understands of an artwork file."""

from __future__ import annotations

import argparse
from pathlib import Path

from wallwright.commands.check import reading_printer
from wallwright.commands.options import (
    Parser,
    Subparsers,
    add_read_anyway,
    check_needs,
    number,
    print_json,
    read_artwork_file,
    reading_files,
)
from wallwright.commands.saving import claim_output

FLATNESS = 0.02
"""How far chords may leave curves, mm: a tenth of the thinnest pen."""
UNSEEN = 0.05
"""Share of a pixel that no picture shows."""
WIDTH = 800
"""Pixels of a picture whose width nobody gave."""
PNG = b"\x89PNG\r\n\x1a\n"
"""How PNG files begin (PNG specification, 5.2)."""
NEEDS = {"--width": ("--picture",), "--height": ("--picture",)}
"""Option to the options of which it needs one."""
DRAWN = {"note": "approximated", "warning": "in part", "error": "not at all"}


def add_parser(subparsers: Subparsers) -> Parser:
    parser = subparsers.add_parser(
        "read",
        usage="wallwright read FILE [options]",
        help="list what is in an artwork file, and what of it cannot be drawn",
        description="Reads an artwork file, lists its shapes and what could not be read, and can paint a picture of it.",
        epilog="example:\n  wallwright read drawing.svg --picture seen.png --width 1200\n\n"
        "Something that cannot be drawn as it is in the file counts as an error.",
    )
    parser.add_argument("file", metavar="FILE", type=Path, help="SVG file or picture (PNG, JPEG, WebP)")
    parser.add_argument(
        "--picture", type=Path, metavar="PNG", help="paint what was understood into this PNG file"
    )
    pixels = number("", 1, 20_000, whole=True)
    parser.add_argument("--width", type=pixels, metavar="PX", help=f"width of that picture, pixels ({WIDTH})")
    parser.add_argument(
        "--height", type=pixels, metavar="PX", help="its height; without it as the artwork's shape asks for"
    )
    parser.add_argument("--fonts", type=Path, action="append", default=[], metavar="DIR",
                        help="folder of font files to use first")  # fmt: skip
    add_read_anyway(parser)
    parser.add_argument("--json", action="store_true", help="print JSON")
    return parser


def flatness_for(data: bytes, pixels: int) -> float:
    """How far chords may leave curves so that a picture of that width does not show it, mm."""
    from wallwright.artwork.svg.numbers import MM_PER_PX
    from wallwright.artwork.svg.viewport import width_of_page
    from wallwright.artwork.svg.xml_parser import root_of

    root = root_of(data)
    width = None if root is None else width_of_page(root)
    return UNSEEN * width * MM_PER_PX / max(pixels, 1) if width else FLATNESS / 5


def run(args: argparse.Namespace) -> int:
    from wallwright.artwork.artwork_reader import read_artwork
    from wallwright.artwork.drawing import Severity
    from wallwright.artwork.media import media_of
    from wallwright.artwork.rendering import write_rendering

    check_needs(args, NEEDS)
    width = args.width or WIDTH
    if args.picture is not None:
        claim_output(args.picture, PNG, "a PNG picture", (args.file,))
    if args.fonts:
        from wallwright.artwork.glyphs.fonts import add_fonts

        for folder in args.fonts:
            add_fonts(folder)
    progress = reading_printer(args.json)
    with reading_files(args):
        data = read_artwork_file(args.file)
        flatness = flatness_for(data, width) if args.picture else FLATNESS
        drawing = read_artwork(data, media_of(data, args.file.name), args.file.name, flatness, progress)
    if args.picture:
        height = args.height or round(width * drawing.height / drawing.width)
        write_rendering(drawing, width, max(height, 1), args.picture)
    complete = not any(f.severity is not Severity.NOTE for f in drawing.findings)
    if args.json:
        from wallwright.artwork.paints import Gradient
        from wallwright.artwork.pixel_paint import PixelPaint
        from wallwright.artwork.tile_paint import TilePaint

        paints = {Gradient: "gradient", TilePaint: "tiles", PixelPaint: "pixels"}
        print_json(
            {
                "width_mm": drawing.width,
                "height_mm": drawing.height,
                "pixels": drawing.raster.size if drawing.raster else None,
                "shapes": [
                    {"element": s.element, "group": s.group, "colour": s.paint.colour, "opacity": s.paint.opacity,
                     "paint": paints.get(type(s.paint), "flat"),
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
