"""The options of compose, by topic."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import get_args

from wallwright.commands.machine_options import add_machine_options
from wallwright.commands.options import (
    OUTSIDE,
    add_read_anyway,
    named,
    number,
    numbers,
    one_of,
    outside_choice,
    size,
)
from wallwright.document.document import FillKind
from wallwright.document.language import tr
from wallwright.document.picture import STYLES
from wallwright.document.project import SUFFIX

FILLS: tuple[str, ...] = get_args(FillKind)
POINT = numbers(2, "X,Y")
LENGTH = named(number("mm", 0.1, 100_000))


def add_compose_options(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("project", metavar="PROJECT", type=Path, help=tr("project file to write ({0})", SUFFIX))
    parser.add_argument(
        "--from", dest="source", type=Path, metavar="FILE", help=tr("project to start from; may be the same")
    )
    parser.add_argument("--replace", action="store_true", help=tr("replace a project file that exists"))
    _add_wall_options(parser)
    add_machine_options(parser)
    _add_artwork_options(parser)
    _add_pen_options(parser)
    picture = parser.add_argument_group(tr("pictures (all of the project)"))
    picture.add_argument("--style", type=one_of(tuple(STYLES)), metavar="STYLE", help=", ".join(STYLES))
    picture.add_argument(
        "--picture-pens",
        metavar="PEN[,PEN...]",
        help=tr("names or numbers of the pens that draw them; without it the darkest pen"),
    )
    picture.add_argument(
        "--picture-set",
        action="append",
        default=[],
        metavar="NAME=VALUE",
        help=tr("a number of the pictures or of their style: lightness=0.2, spacing=8"),
    )
    parser.add_argument(
        "--set",
        action="append",
        default=[],
        metavar="NAME=VALUE",
        help=tr("any number or choice of machine, wall or settings"),
    )


def _add_wall_options(parser: argparse.ArgumentParser) -> None:
    wall = parser.add_argument_group(tr("wall and anchors"))
    wall.add_argument("--wall", type=size, metavar="WxH", help=tr("size of the wall"))
    wall.add_argument(
        "--wall-corner", type=POINT, metavar="X,Y", help=tr("its top left corner, from the first hanging's left anchor")
    )
    wall.add_argument("--right-anchor", type=POINT, metavar="X,Y", help=tr("right anchor; the left one is 0,0"))
    wall.add_argument("--start", type=POINT, metavar="X,Y", help=tr("starting point of the pen"))
    wall.add_argument(
        "--keep-out",
        action="append",
        nargs="+",
        default=[],
        metavar=("NAME", "X,Y"),
        help=tr("part of the wall to avoid: a name, then at least three corners"),
    )
    wall.add_argument(
        "--cover", action="store_true", help=tr("add hangings until they cover the artwork; existing ones stay")
    )
    wall.add_argument(
        "--cover-anew", action="store_true", help=tr("with --cover: place all hangings anew, as few as possible")
    )
    wall.add_argument(
        "--add-hanging",
        action="append",
        default=[],
        type=one_of(("left", "right")),
        metavar="SIDE",
        help=tr("add one hanging on the left or right of the others"),
    )


def _add_artwork_options(parser: argparse.ArgumentParser) -> None:
    art = parser.add_argument_group(tr("artwork"))
    art.add_argument(
        "--artwork",
        type=Path,
        action="append",
        default=[],
        metavar="FILE",
        help=tr("SVG or picture; may be given several times"),
    )
    art.add_argument(
        "--text", action="append", default=[], metavar="TEXT", help=tr("text to draw; may be given several times")
    )
    art.add_argument(
        "--text-set",
        action="append",
        default=[],
        metavar="NAME=VALUE",
        help=tr("how texts look: size=120, radius=900, letters=outline, style=script"),
    )
    art.add_argument(
        "--fonts",
        type=Path,
        action="append",
        default=[],
        metavar="DIR",
        help=tr("folder of font files; those that an SVG names are stored in the project"),
    )
    add_read_anyway(art)
    for option, metavar, kind, text in (
        ("--width", "W", LENGTH, tr("width on the wall")),
        ("--height", "H", LENGTH, tr("height on the wall")),
        ("--at", "X,Y", named(POINT), tr("centre on the wall, from the first hanging's left anchor")),
        ("--turn", "DEG", named(number("°")), tr("rotation, clockwise")),
    ):
        art.add_argument(option, type=kind, action="append", default=[], metavar=metavar, help=text)


def _add_pen_options(parser: argparse.ArgumentParser) -> None:
    pens = parser.add_argument_group(tr("pens and fill"))
    pens.add_argument(
        "--pen",
        action="append",
        default=[],
        metavar="COLOUR,WIDTH[,NAME]",
        help=tr("a pen, such as “#c02020,2,Red marker”; replaces the project's pens"),
    )
    pens.add_argument(
        "--ink",
        action="append",
        default=[],
        metavar="COLOUR=PEN",
        help=tr("draw a colour with this pen (name, or number from 1); none: not at all"),
    )
    pens.add_argument("--fill", type=one_of(FILLS), metavar="KIND", help=", ".join(FILLS))
    pens.add_argument("--spacing", type=number("mm"), metavar="MM", help=tr("distance between fill lines"))
    pens.add_argument("--angle", type=number("°"), metavar="DEG", help=tr("angle of fill lines, clockwise from level"))
    pens.add_argument(
        "--outside",
        type=outside_choice,
        metavar="CHOICE",
        help=tr("strokes outside the draw zone: {0}", ", ".join(OUTSIDE)),
    )
