"""wallwright read: shows how the program reads an artwork file."""

from __future__ import annotations

import argparse
from pathlib import Path

from wallwright.artwork.artwork_reader import read_artwork
from wallwright.artwork.drawing import Finding, Severity
from wallwright.artwork.glyphs.fonts import add_fonts
from wallwright.artwork.media import media_of
from wallwright.artwork.paints import Gradient
from wallwright.artwork.pixel_paint import PixelPaint
from wallwright.artwork.rendering import write_rendering
from wallwright.artwork.svg.numbers import MM_PER_PX
from wallwright.artwork.svg.viewport import width_of_page
from wallwright.artwork.svg.xml_parser import root_of
from wallwright.artwork.tile_paint import TilePaint
from wallwright.commands.artwork_files import read_artwork_file
from wallwright.commands.check import reading_printer
from wallwright.commands.command_parser import Parser, Subparsers, epilog, usage
from wallwright.commands.options import (
    add_read_anyway,
    check_needs,
    number,
    print_json,
    reading_files,
)
from wallwright.commands.saving import PNG, claim_output
from wallwright.document.language import N_, plural, tr

FLATNESS = 0.02
"""Largest deviation of chords from curves, mm: a tenth of the thinnest pen."""
UNSEEN = 0.05
"""Share of a pixel that is invisible in a picture."""
WIDTH = 800
"""Default width of a picture, pixels."""
NEEDS = {"--width": ("--picture",), "--height": ("--picture",)}
"""By option: the options of which it needs at least one."""
DRAWN = {"note": "approximated", "warning": "in part", "error": "not at all"}
"""Values in JSON by severity of a finding; the same in every language."""
SEVERITIES = {"note": N_("note"), "warning": N_("WARNING"), "error": N_("ERROR")}


def add_parser(subparsers: Subparsers, summary: str) -> Parser:
    parser = subparsers.add_parser(
        "read",
        usage=usage("read FILE"),
        help=summary,
        description=tr(
            "Reads an artwork file, lists its shapes and what could not be read, and can paint a picture of it."
        ),
        epilog=epilog(
            "  wallwright read drawing.svg --picture seen.png --width 1200",
            tr("Anything that cannot be drawn as it is in the file counts as an error."),
        ),
    )
    parser.add_argument("file", metavar="FILE", type=Path, help=tr("SVG file or picture (PNG, JPEG, WebP)"))
    parser.add_argument(
        "--picture", type=Path, metavar="PNG", help=tr("paint the artwork as it was read into this PNG file")
    )
    pixels = number("", 1, 20_000, whole=True)
    parser.add_argument("--width", type=pixels, metavar="PX", help=tr("width of that picture, pixels ({0})", WIDTH))
    parser.add_argument(
        "--height",
        type=pixels,
        metavar="PX",
        help=tr("its height, pixels; by default in proportion to the artwork"),
    )
    parser.add_argument(
        "--fonts", type=Path, action="append", default=[], metavar="DIR", help=tr("folder of font files to use first")
    )
    add_read_anyway(parser)
    parser.add_argument("--json", action="store_true", help=tr("print JSON"))
    return parser


def flatness_for(data: bytes, pixels: int) -> float:
    """Returns the largest deviation of chords from curves, mm, that is invisible in a picture `pixels` wide."""
    root = root_of(data)
    width = None if root is None else width_of_page(root)
    return UNSEEN * width * MM_PER_PX / max(pixels, 1) if width else FLATNESS / 5


def describe_finding(finding: Finding, file: str = "") -> str:
    """Returns a text such as "WARNING: path 3: ...", without the element where that is the file, named already."""
    where = "" if finding.element == file else f"{finding.element}: "
    return f"{tr(SEVERITIES[finding.severity.value])}: {where}{finding.text}"


def run(args: argparse.Namespace) -> int:
    check_needs(args, NEEDS)
    width = args.width or WIDTH
    if args.picture is not None:
        claim_output(args.picture, PNG, tr("a PNG picture"), (args.file,))
    if args.fonts:
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
        paints = {Gradient: "gradient", TilePaint: "tiles", PixelPaint: "pixels"}
        print_json(
            {
                "width_mm": drawing.width,
                "height_mm": drawing.height,
                "pixels": drawing.raster.size if drawing.raster else None,
                "shapes": [
                    {
                        "element": s.element,
                        "group": s.group,
                        "colour": s.paint.colour,
                        "opacity": s.paint.opacity,
                        "paint": paints.get(type(s.paint), "flat"),
                        "kind": "region" if s.is_region else "lines",
                        "paths": len(s.paths),
                        "points": sum(map(len, s.paths)),
                        "width_mm": s.width,
                    }
                    for s in drawing.shapes
                ],
                "findings": [
                    {
                        "severity": f.severity.value,
                        "drawn": DRAWN[f.severity.value],
                        "element": f.element,
                        "text": f.text,
                        "place_mm": f.place,
                    }
                    for f in drawing.findings
                ],
            }
        )
        return 0 if complete else 1
    content = plural("{0} shape", "{0} shapes", len(drawing.shapes))
    if drawing.raster:
        content = tr("a picture of {0} x {1} pixels", *drawing.raster.size)
    print(tr("{0}: {1:.1f} x {2:.1f} mm, {3}", args.file.name, drawing.width, drawing.height, content))
    for finding in drawing.findings:
        print(f"  {describe_finding(finding)}")
    return 0 if complete else 1
