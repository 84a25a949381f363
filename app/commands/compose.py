"""wallwright compose: wall, anchors, machine, artwork and pens into a project file."""

from __future__ import annotations

import argparse
import math
import sys
from pathlib import Path

from app.commands.check import reading_printer
from app.commands.options import assigned, pair, picture_setting, read_artwork_file, setting
from app.document import edits, edits_hangings, made
from app.document.consistency import validate
from app.document.document import Document, Fill, FillKind, Ink, Pen
from app.document.errors import BadValue
from app.document.picture import STYLES
from app.document.project import SUFFIX, read_project, write_project
from app.document.wall import Anchor, KeepOut

SETTINGS = ("wall", "machine", "settings")


def add_parser(subparsers) -> argparse.ArgumentParser:
    parser = subparsers.add_parser(
        "compose",
        help="put wall, machine and artwork together into a project file",
        description="Makes a project file, or changes one with --from. Wall coordinates are in mm: x to the right and "
        "y DOWN from the left anchor.",
        epilog="Example: wallwright compose job.wallwright --wall 3000x2500 --wall-corner -500,-300 --right-anchor "
        "2000,0 --art flower.svg --width 800 --at 1000,900 --pen '#202020,2,Black marker'. "
        "--set changes any number of machine, wall or settings, for example --set machine.body.mass=0.9.",
    )
    parser.add_argument("project", type=Path, help=f"project file to write ({SUFFIX})")
    parser.add_argument("--from", dest="source", type=Path, help="project file to start from")
    wall = parser.add_argument_group("wall and anchors")
    wall.add_argument("--wall", type=pair("x"), metavar="WxH", help="size of the wall")
    wall.add_argument("--wall-corner", type=pair(","), metavar="X,Y", help="top left corner of the wall")
    wall.add_argument(
        "--right-anchor", type=pair(","), metavar="X,Y", help="right anchor; the left one is 0,0"
    )
    wall.add_argument("--datum", type=pair(","), metavar="X,Y", help="pen position at which the job starts")
    wall.add_argument(
        "--hang-beside", action="append", default=[], choices=("left", "right"),
        help="one more hanging on that side of the others, where both zones meet over the artwork's height",
    )  # fmt: skip
    wall.add_argument(
        "--hang-as-often", action="store_true",
        help="as many hangings as it takes to cover the artwork, with anchors as far apart as the first ones",
    )  # fmt: skip
    wall.add_argument(
        "--keep-out", action="append", nargs="+", default=[], metavar=("NAME", "X,Y"),
        help="a part of the wall to stay off: its name, then its corners",
    )  # fmt: skip
    art = parser.add_argument_group("artwork")
    art.add_argument(
        "--artwork",
        "--art",
        dest="art",
        type=Path,
        action="append",
        default=[],
        metavar="FILE",
        help="SVG or picture; may be given several times",
    )
    art.add_argument(
        "--words", action="append", default=[], metavar="TEXT",
        help="words in single-line lettering; --width, --at and the like count them after the files",
    )  # fmt: skip
    art.add_argument("--words-set", action="append", default=[], metavar="NAME=VALUE", help="how words are lettered, for "
                     "example size=120, radius=900, lettering=outline, family=Serif, face=script")  # fmt: skip
    art.add_argument(
        "--fonts", type=Path, action="append", default=[], metavar="DIR",
        help="folder of font files; those that the artwork names are kept in the project",
    )  # fmt: skip
    art.add_argument(
        "--width",
        "--across",
        type=float,
        action="append",
        default=[],
        help="width on the wall of each artwork",
    )
    art.add_argument(
        "--height", type=float, action="append", default=[], help="height on the wall of each artwork"
    )
    art.add_argument(
        "--at", type=pair(","), action="append", default=[], metavar="X,Y", help="its centre on the wall"
    )
    art.add_argument("--turn", type=float, action="append", default=[], help="its turn, degrees clockwise")
    pens = parser.add_argument_group("pens and fill")
    pens.add_argument(
        "--pen", action="append", default=[], metavar="COLOUR,WIDTH[,NAME]",
        help="a pen, for example '#c02020,2,Red marker'; the pens given replace those of the project",
    )  # fmt: skip
    pens.add_argument("--ink", action="append", default=[], metavar="COLOUR=PEN", help="draw a colour of the artwork "
                      "with the pen of that name or number (1 is the first); 'none' leaves it out")  # fmt: skip
    pens.add_argument("--fill", choices=FillKind.__args__, help="how regions are filled")
    pens.add_argument("--spacing", type=float, help="distance between fill lines")
    pens.add_argument("--angle", type=float, help="angle of fill lines, degrees clockwise from level")
    pens.add_argument(
        "--outside", choices=("refuse", "clip", "override"), help="strokes outside the draw zone"
    )
    picture = parser.add_argument_group("pictures", "Line styles and numbers of all pictures in the project.")
    picture.add_argument("--style", choices=tuple(STYLES), help="how pictures become lines")
    picture.add_argument(
        "--picture-pens", metavar="PEN[,PEN...]",
        help="names or numbers of the pens that draw them, each a layer; without it the darkest pen alone",
    )  # fmt: skip
    picture.add_argument(
        "--picture-set", action="append", default=[], metavar="NAME=VALUE",
        help="a number of the pictures or of their style, for example lightness=0.2 or spacing=8; angles in degrees",
    )  # fmt: skip
    parser.add_argument(
        "--set", action="append", default=[], metavar="NAME=VALUE", help="any other number or choice"
    )
    return parser


def run(args: argparse.Namespace) -> int:
    document = read_project(args.source) if args.source else Document()
    document = _wall(document, args)
    document = _pens(document, args)
    for assignment in args.set:
        document = setting(document, assignment, SETTINGS)
    document = _fill(document, args)
    document = _artwork(document, args)
    document = _inks(document, args.ink)
    document = _pictures(document, args)
    document = _hangings(document, args)
    write_project(args.project, validate(document))
    print(f"{args.project}: {len(document.placements)} artwork, {len(document.pens)} pen{'s' * (len(document.pens) != 1)}. "
          f"Next: wallwright check {args.project}")  # fmt: skip
    return 0


def _wall(document: Document, args: argparse.Namespace) -> Document:
    wall, hanging = document.wall, document.hangings[0]
    if args.wall:
        wall = edits.replace(wall, width=args.wall[0], height=args.wall[1])
    if args.wall_corner:
        wall = edits.replace(wall, left=args.wall_corner[0], top=args.wall_corner[1])
    for name, *corners in args.keep_out:
        outline = tuple(pair(",")(corner) for corner in corners)
        wall = edits.replace(wall, keep_outs=(*wall.keep_outs, KeepOut(name, outline)))
    if args.right_anchor:
        right = Anchor(*args.right_anchor, stand_off=hanging.right.stand_off, holds=hanging.right.holds)
        # A datum that nobody chose stays in the middle, well below the anchors.
        middle = (right.x / 2, right.y / 2 + 0.4 * right.x)
        hanging = edits.replace(hanging, right=right, datum=hanging.datum if args.datum else middle)
    if args.datum:
        hanging = edits.replace(hanging, datum=args.datum)
    return edits.replace(document, wall=wall, hangings=(hanging, *document.hangings[1:]))


def _hangings(document: Document, args: argparse.Namespace) -> Document:
    if not (args.hang_as_often or args.hang_beside):
        return document
    from app.planning.hanging_places import beside, covering  # heavy

    if args.hang_as_often:
        found = covering(document)
        if found.warning:
            print(found.warning, file=sys.stderr)
        if found.places:
            document = edits_hangings.replace_hangings(document, found.places)
    for side in args.hang_beside:
        found = beside(document, side == "right")
        if found.warning:
            print(found.warning, file=sys.stderr)
        document = edits_hangings.add_hanging(document, *found.places[0])
    return document


def _pens(document: Document, args: argparse.Namespace) -> Document:
    if not args.pen:
        return document
    pens = []
    for number, text in enumerate(args.pen, start=1):
        colour, _, rest = text.partition(",")
        width, _, name = rest.partition(",")
        try:
            pens.append(Pen(f"pen-{number}", name or f"Pen {number}", colour.lower(), float(width or 2)))
        except ValueError as error:
            raise BadValue(f"--pen {text}: the line width '{width}' is not a number of mm") from error
    placements = tuple(edits.without_pens(p) for p in document.placements)
    return edits.replace(document, pens=tuple(pens), placements=placements)


def _fill(document: Document, args: argparse.Namespace) -> Document:
    fill: Fill = document.settings.fill
    if args.fill:
        fill = edits.replace(fill, kind=args.fill)
    if args.spacing is not None:
        fill = edits.replace(fill, spacing=args.spacing)
    if args.angle is not None:
        fill = edits.replace(fill, angle=math.radians(args.angle))
    settings = edits.replace(document.settings, fill=fill)
    if args.outside:
        settings = edits.replace(settings, outside=args.outside)
    return edits.replace(document, settings=settings)


def _artwork(document: Document, args: argparse.Namespace) -> Document:
    from app.artwork.media import media_of
    from app.artwork.read import read_artwork

    def nth(values: list, index: int):
        return values[index] if index < len(values) else None

    files = [
        (path.name, data := read_artwork_file(path, args.fonts), media_of(data, path.name))
        for path in args.art
    ]
    words = [made.Words(text.replace("\\n", "\n")) for text in args.words]
    for assignment in args.words_set:
        words = [assigned(w, assignment, "--words-set") for w in words]
    files += [(made.name_of(w), made.encode(w), made.MEDIA[made.Words]) for w in words]
    for index, (name, data, media) in enumerate(files):
        drawing = read_artwork(data, media, name, 1.0, reading_printer(False))
        width, height = nth(args.width, index), nth(args.height, index)
        if media in made.TYPES and width is None and height is None:
            width = drawing.width
        document, placed = edits.add_artwork(
            document, name, media, data, (drawing.width, drawing.height), nth(args.at, index), width, height
        )
        for finding in drawing.findings:
            print(f"{name}: {finding.severity.value}: {finding.element}: {finding.text}", file=sys.stderr)
        if (turn := nth(args.turn, index)) is not None:
            turn = math.remainder(math.radians(turn), math.tau)
            document = edits.set_placement(document, placed.id, turn=turn)
    return document


def _inks(document: Document, assignments: list[str]) -> Document:
    for text in assignments:
        colour, _, wanted = text.partition("=")
        pen = _pen_called(document, wanted, f"--ink {text}")
        for placement in document.placements:
            document = edits.set_ink(document, placement.id, Ink(colour.lower(), pen))
    return document


def _pictures(document: Document, args: argparse.Namespace) -> Document:
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
