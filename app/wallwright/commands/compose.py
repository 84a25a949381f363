"""wallwright compose: wall, anchors, machine, artwork and pens into a project file."""

from __future__ import annotations

import argparse
import math
import re
import sys
from pathlib import Path
from typing import get_args

from wallwright.commands.check import reading_printer
from wallwright.commands.machine_options import add_machine_options, machine_asked
from wallwright.commands.options import (
    Parser,
    Subparsers,
    add_read_anyway,
    assigned,
    check_needs,
    named,
    number,
    numbers,
    one_of,
    pair,
    picture_setting,
    read_artwork_file,
    reading_files,
    setting,
    size,
    values_of_each,
)
from wallwright.commands.saving import check_project_path, counted, load_project, save_changed, save_new
from wallwright.document import edits, edits_hangings
from wallwright.document.consistency import validate
from wallwright.document.document import Document, Fill, FillKind, Ink, Pen
from wallwright.document.edits_keep_outs import is_simple, usual_kind
from wallwright.document.errors import BadValue
from wallwright.document.generated_artwork import MEDIA, TYPES, TextArtwork, encode, generated_name
from wallwright.document.picture import STYLES
from wallwright.document.project import SUFFIX
from wallwright.document.wall import KeepOut
from wallwright.planning.plan import Goal, Request

SETTINGS = ("wall", "machine", "settings")
FILLS: tuple[str, ...] = get_args(FillKind)
ANGLED = ("hatch", "cross-hatch", "zigzag", "spiral")
"""Fills that have a direction."""
OF_EACH = ("--width", "--height", "--at", "--turn")
"""Options that belong to one artwork."""
NEEDS = {
    **dict.fromkeys(OF_EACH, ("--artwork", "--words")),
    "--words-set": ("--words",),
    "--read-anyway": ("--artwork", "--from"),
    "--fonts": ("--artwork",),
    "--hang-anew": ("--hang-as-often",),
}
"""Option to the options of which it needs one."""
EXAMPLES = """\
examples:
  wallwright compose job.wallwright --wall 3000x2500 --wall-corner -500,-300 --right-anchor 2000,0
      --artwork flower.svg --width 800 --at 1000,900 --pen '#202020,2,Black marker'
  wallwright compose job.wallwright --from job.wallwright --fill cross-hatch --set machine.body.mass=0.9
  wallwright compose job.wallwright --artwork a.svg --artwork b.svg --width a.svg=800 --width b.svg=0.5m

A project file that is replaced or changed is kept beside it as a dated copy."""


def add_parser(subparsers: Subparsers) -> Parser:
    parser = subparsers.add_parser(
        "compose",
        usage="wallwright compose PROJECT [options]",
        help="put wall, machine and artwork together into a project file",
        description="Makes a project file, or changes one with --from. Positions are measured from the left anchor: x to "
        "the right, y DOWN. --width, --height, --at and --turn take NAME=VALUE where there are several artworks.",
        epilog=EXAMPLES,
    )
    parser.add_argument("project", metavar="PROJECT", type=Path, help=f"project file to write ({SUFFIX})")
    parser.add_argument(
        "--from", dest="source", type=Path, metavar="FILE", help="project to start from; may be the same"
    )
    parser.add_argument("--replace", action="store_true", help="replace a project file that is there already")
    wall = parser.add_argument_group("wall and anchors")
    point = numbers(2, "X,Y")
    wall.add_argument("--wall", type=size, metavar="WxH", help="size of the wall")
    wall.add_argument("--wall-corner", type=point, metavar="X,Y", help="its top left corner")
    wall.add_argument("--right-anchor", type=point, metavar="X,Y", help="right anchor; the left one is 0,0")
    wall.add_argument("--datum", type=point, metavar="X,Y", help="starting point of the pen")
    wall.add_argument("--keep-out", action="append", nargs="+", default=[], metavar=("NAME", "X,Y"),
                      help="part of the wall to stay off: a name, then at least three corners")  # fmt: skip
    wall.add_argument("--hang-as-often", action="store_true",
                      help="add hangings until they cover the artwork; hangings that exist stay where they are")  # fmt: skip
    wall.add_argument("--hang-anew", action="store_true",
                      help="with --hang-as-often: place all hangings anew, in as small a number as possible")  # fmt: skip
    wall.add_argument("--hang-beside", action="append", default=[], type=one_of(("left", "right")), metavar="SIDE",
                      help="add one hanging on the left or right of the others")  # fmt: skip
    add_machine_options(parser)
    art = parser.add_argument_group("artwork")
    art.add_argument("--artwork", "--art", type=Path, action="append", default=[], metavar="FILE",
                     help="SVG or picture; may be given several times")  # fmt: skip
    art.add_argument(
        "--words", action="append", default=[], metavar="TEXT", help="text; may be given several times"
    )
    art.add_argument("--words-set", action="append", default=[], metavar="NAME=VALUE",
                     help="how texts look: size=120, radius=900, lettering=outline, family=Serif, face=script")  # fmt: skip
    art.add_argument("--fonts", type=Path, action="append", default=[], metavar="DIR",
                     help="folder of font files; those that an SVG names are kept in the project")  # fmt: skip
    add_read_anyway(art)
    length = named(number("mm", 0.1, 100_000))
    art.add_argument(
        "--width", "--across", type=length, action="append", default=[], metavar="W", help="width on the wall"
    )
    art.add_argument(
        "--height", type=length, action="append", default=[], metavar="H", help="height on the wall"
    )
    art.add_argument(
        "--at", type=named(point), action="append", default=[], metavar="X,Y", help="centre on the wall"
    )
    art.add_argument(
        "--turn", type=named(number("°")), action="append", default=[], metavar="DEG", help="clockwise"
    )
    pens = parser.add_argument_group("pens and fill")
    pens.add_argument("--pen", action="append", default=[], metavar="COLOUR,WIDTH[,NAME]",
                      help="a pen, for example '#c02020,2,Red marker'; replaces the pens of the project")  # fmt: skip
    pens.add_argument("--ink", action="append", default=[], metavar="COLOUR=PEN",
                      help="draw a colour with the pen of that name or number, from 1; none: not at all")  # fmt: skip
    pens.add_argument("--fill", type=one_of(FILLS), metavar="KIND", help=", ".join(FILLS))
    pens.add_argument("--spacing", type=number("mm"), metavar="MM", help="distance between fill lines")
    pens.add_argument("--angle", type=number("°"), metavar="DEG", help="of fill lines, clockwise from level")
    pens.add_argument("--outside", type=one_of(("refuse", "clip", "override")), metavar="CHOICE",
                      help="strokes outside the draw zone: refuse, clip, or override to draw them anyway")  # fmt: skip
    picture = parser.add_argument_group("pictures (all of the project)")
    picture.add_argument("--style", type=one_of(tuple(STYLES)), metavar="STYLE", help=", ".join(STYLES))
    picture.add_argument("--picture-pens", metavar="PEN[,PEN...]",
                         help="names or numbers of the pens that draw them; without it the darkest pen")  # fmt: skip
    picture.add_argument("--picture-set", action="append", default=[], metavar="NAME=VALUE",
                         help="a number of the pictures or of their style: lightness=0.2, spacing=8")  # fmt: skip
    parser.add_argument("--set", action="append", default=[], metavar="NAME=VALUE",
                        help="any number or choice of machine, wall or settings")  # fmt: skip
    return parser


def run(args: argparse.Namespace) -> int:
    check_needs(args, NEEDS)
    check_project_path(args.project)
    source = load_project(args.source) if args.source else None
    document = source or Document()
    document = _wall(document, args)
    document = _pens(document, args)
    document = machine_asked(document, args)
    for assignment in args.set:
        document = setting(document, assignment, SETTINGS)
    document = _fill(document, args)
    document = _artwork(document, args)
    document = _inks(document, args.ink)
    document = _pictures(document, args)
    document = validate(document)  # before anything is computed with a number that does not fit
    proposed = validate(_hangings(document, args))
    if source is not None and args.project.exists() and args.project.samefile(args.source):
        save_changed(args.project, source, proposed, args.replace)
    else:
        save_new(args.project, proposed, args.replace)
    if args.hang_as_often or args.hang_beside:
        _print_hangings(document, proposed, _is_anew(args))
    print(f"{args.project}: {counted(len(proposed.placements), 'artwork')}, {counted(len(proposed.pens), 'pen')}. "
          f"Next: wallwright check {args.project}")  # fmt: skip
    return 0


def _wall(document: Document, args: argparse.Namespace) -> Document:
    wall, hanging = document.wall, document.hangings[0]
    if args.wall:
        wall = edits.replace(wall, width=args.wall[0], height=args.wall[1])
    if args.wall_corner:
        wall = edits.replace(wall, left=args.wall_corner[0], top=args.wall_corner[1])
    for name, *corners in args.keep_out:
        try:
            outline = tuple(pair("X,Y")(corner) for corner in corners)
        except argparse.ArgumentTypeError as error:
            raise BadValue(f"--keep-out {name}: {error}") from error
        if not is_simple(outline):
            raise BadValue(
                f"--keep-out {name}: give at least three corners X,Y, in order around it, not all in one line"
            )
        wall = edits.replace(wall, keep_outs=(*wall.keep_outs, KeepOut(name, outline, usual_kind(name))))
    if args.right_anchor:
        x, y = args.right_anchor
        right = edits.replace(hanging.right, x=x, y=y)
        # A datum that nobody chose stays in the middle, well below the anchors.
        middle = (right.x / 2, right.y / 2 + 0.4 * right.x)
        hanging = edits.replace(hanging, right=right, datum=hanging.datum if args.datum else middle)
    if args.datum:
        hanging = edits.replace(hanging, datum=args.datum)
    return edits.replace(document, wall=wall, hangings=(hanging, *document.hangings[1:]))


def _hangings(document: Document, args: argparse.Namespace) -> Document:
    if not (args.hang_as_often or args.hang_beside):
        return document
    from wallwright.planning.hanging_proposal import completing, propose_beside, propose_covering  # heavy

    if args.hang_as_often:
        is_anew = _is_anew(args)
        found = propose_covering(document) if is_anew else completing(document)
        if found.warning and not found.places and not found.is_covered:
            raise BadValue(f"--hang-as-often: {found.warning}")
        if found.warning:
            print(found.warning, file=sys.stderr)
        if is_anew:
            document = edits_hangings.replace_hangings(document, found.places)
        else:
            for place in found.places:
                document = edits_hangings.add_hanging(document, *place)
    for side in args.hang_beside:
        found = propose_beside(document, side == "right")
        if found.warning:
            print(found.warning, file=sys.stderr)
        document = edits_hangings.add_hanging(document, *found.places[0])
    return document


def _is_anew(args: argparse.Namespace) -> bool:
    """Whether hangings need not stay where they are. Anchors exist when a project has them or when they were given; those of
    an empty project only say how far apart."""
    return args.hang_anew or (args.hang_as_often and not (args.source or args.right_anchor))


def _print_hangings(before: Document, after: Document, is_anew: bool) -> None:
    """Where the machine hangs, and whether the origin of all positions has moved."""
    kept = set() if is_anew else {h.name for h in before.hangings}
    for hanging in after.hangings:
        left, right = hanging.left, hanging.right
        state = "as it was" if hanging.name in kept else "proposed"
        print(f"{hanging.name} ({state}): anchors at {left.x:.0f}, {left.y:.0f} and {right.x:.0f}, {right.y:.0f} mm, "
              f"starting point {hanging.datum[0]:.0f}, {hanging.datum[1]:.0f} mm")  # fmt: skip
    x, y = after.wall.left - before.wall.left, after.wall.top - before.wall.top
    if (x, y) != (0, 0):
        print(
            f"All positions are measured from the left anchor of {after.hangings[0].name}, which was placed "
            f"{0 - x:.0f} mm right of and {0 - y:.0f} mm below the old one: positions changed by {x:.0f}, {y:.0f} mm, "
            "but nothing else moved on the wall."
        )


def _pens(document: Document, args: argparse.Namespace) -> Document:
    if not args.pen:
        return document
    pens = []
    for index, text in enumerate(args.pen, start=1):
        colour, _, rest = text.partition(",")
        if not re.fullmatch(r"#[0-9a-fA-F]{6}", colour):
            raise BadValue(f"--pen {text}: begin with a colour such as #c02020")
        width, _, name = rest.partition(",")
        try:
            line = number("mm")(width) if width else 2.0
        except argparse.ArgumentTypeError as error:
            raise BadValue(f"--pen {text}: the line width: {error}") from error
        pens.append(Pen(f"pen-{index}", name or f"Pen {index}", colour.lower(), line))
    placements = tuple(edits.without_pens(p) for p in document.placements)
    return edits.replace(document, pens=tuple(pens), placements=placements)


def _fill(document: Document, args: argparse.Namespace) -> Document:
    fill: Fill = document.settings.fill
    if args.fill:
        fill = edits.replace(fill, kind=args.fill)
    if args.spacing is not None:
        if fill.kind == "none":
            raise BadValue("--spacing belongs to a fill, and the fill is 'none'; add --fill")
        fill = edits.replace(fill, spacing=args.spacing, coverage=0.0)  # coverage would decide instead
    if args.angle is not None:
        if fill.kind not in ANGLED:
            raise BadValue(
                f"--angle belongs to the fills {', '.join(ANGLED)}, and the fill is '{fill.kind}'; add --fill"
            )
        fill = edits.replace(fill, angle=_turn(args.angle))
    settings = edits.replace(document.settings, fill=fill)
    if args.outside:
        settings = edits.replace(settings, outside=args.outside)
    return edits.replace(document, settings=settings)


def _turn(degrees: float) -> float:
    """Radians, within half a turn either way."""
    return math.remainder(math.radians(degrees), math.tau)


def _artwork(document: Document, args: argparse.Namespace) -> Document:
    from wallwright.artwork.artwork_reader import read_artwork
    from wallwright.artwork.media import media_of

    with reading_files(args):
        files = [
            (path.name, str(path), data := read_artwork_file(path, args.fonts), media_of(data, path.name))
            for path in args.artwork
        ]
    words = [TextArtwork(text.replace("\\n", "\n")) for text in args.words]
    for assignment in args.words_set:
        words = [assigned(w, assignment, "--words-set") for w in words]
    files += [(generated_name(w), w.text, encode(w), MEDIA[TextArtwork]) for w in words]
    names = [(name, path) for name, path, _, _ in files]
    widths, heights, centres, turns = (
        values_of_each(names, getattr(args, option.removeprefix("--")), option) for option in OF_EACH
    )
    for index, (name, _, data, media) in enumerate(files):
        with reading_files(args):
            drawing = read_artwork(data, media, name, 1.0, reading_printer(False))
        width, height = widths.get(index), heights.get(index)
        if media in TYPES and width is None and height is None:
            width = drawing.width
        document, placed = edits.add_artwork(
            document, name, media, data, (drawing.width, drawing.height), centres.get(index), width, height
        )
        for finding in drawing.findings:
            print(f"{name}: {finding.severity.value}: {finding.element}: {finding.text}", file=sys.stderr)
        if (turn := turns.get(index)) is not None:
            document = edits.set_placement(document, placed.id, turn=_turn(turn))
    for artwork in document.artworks if args.read_anyway else ():
        document = edits.agree_to_read(document, artwork.id)
    return document


def _inks(document: Document, assignments: list[str]) -> Document:
    if not assignments:
        return document
    from wallwright.planning.runner import Runner  # heavy

    if not document.placements:
        raise BadValue("--ink belongs to artwork, and this project has none; add --artwork")
    reports = Runner().run(Request(1, validate(document), Goal.PREVIEW)).require_preview().reports
    colours = {report.placement: {use.colour for use in report.colours} for report in reports}
    known = sorted(set().union(*colours.values()))
    for text in assignments:
        colour, _, wanted = text.partition("=")
        pen = _pen_called(document, wanted, f"--ink {text}")
        if colour.lower() not in known:
            raise BadValue(
                f"--ink {text}: no artwork has the colour '{colour}'; there is {', '.join(known) or 'none'}"
            )
        for placement in document.placements:
            if colour.lower() in colours.get(placement.id, ()):
                document = edits.set_ink(document, placement.id, Ink(colour.lower(), pen))
    return document


def _pictures(document: Document, args: argparse.Namespace) -> Document:
    given = {"--style": args.style, "--picture-pens": args.picture_pens, "--picture-set": args.picture_set}
    for option, value in given.items():
        if value and not any(p.picture is not None for p in document.placements):
            raise BadValue(
                f"{option} belongs to pictures, and this project has none; add --artwork with a picture file"
            )
    pens = args.picture_pens.split(",") if args.picture_pens else ()
    chosen = tuple(_pen_called(document, name.strip(), f"--picture-pens {name}") for name in pens)
    for placement in document.placements:
        picture = placement.picture
        if picture is None:
            continue
        if args.style:
            picture = edits.replace(picture, style=STYLES[args.style]())
        if chosen:
            picture = edits.replace(picture, pens=tuple(p for p in chosen if p))
        for assignment in args.picture_set:
            picture = picture_setting(picture, assignment)
        document = edits.set_placement(document, placement.id, picture=picture)
    return document


def _pen_called(document: Document, wanted: str, text: str) -> str:
    if wanted == "none":
        return ""
    if wanted.isdigit() and 1 <= int(wanted) <= len(document.pens):
        return document.pens[int(wanted) - 1].id
    for pen in document.pens:
        if wanted in (pen.id, pen.name):
            return pen.id
    names = ", ".join(f"'{p.name}'" for p in document.pens)
    raise BadValue(f"{text}: there is no pen '{wanted}'; there are {names}, or 'none'")
