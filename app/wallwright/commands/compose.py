"""wallwright compose: puts wall, anchors, machine, artwork and pens into a project file."""

from __future__ import annotations

import argparse
import math
import re
import sys

from wallwright.artwork.artwork_reader import read_artwork
from wallwright.artwork.media import media_of
from wallwright.commands.artwork_files import read_artwork_file
from wallwright.commands.assignments import assigned, picture_setting, setting
from wallwright.commands.check import reading_printer
from wallwright.commands.command_parser import Parser, Subparsers, epilog, usage
from wallwright.commands.compose_options import add_compose_options
from wallwright.commands.machine_options import requested_machine, save_requested_machine
from wallwright.commands.options import (
    check_needs,
    number,
    pair,
    reading_files,
    values_of_each,
)
from wallwright.commands.read import describe_finding
from wallwright.commands.saving import artworks, check_project_path, load_project, save_changed, save_new
from wallwright.document import edits, edits_hangings
from wallwright.document.consistency import validate
from wallwright.document.document import Document, Fill, Ink, Pen
from wallwright.document.edits_keep_outs import is_simple, usual_kind
from wallwright.document.errors import BadValue
from wallwright.document.generated_artwork import MEDIA, TYPES, TextArtwork, encode, generated_name
from wallwright.document.language import plural, tr
from wallwright.document.new_wall import new_document
from wallwright.document.origin import left_anchor, wall_corner
from wallwright.document.picture import STYLES
from wallwright.document.wall import KeepOut
from wallwright.planning.hanging_proposal import completing, propose_beside, propose_covering
from wallwright.planning.plan import Goal, Request
from wallwright.planning.runner import Runner

SETTINGS = ("wall", "machine", "settings")
ANGLED = ("quickest", "hatch", "cross-hatch", "zigzag", "spiral")
"""Fills that have a direction."""
OF_EACH = ("--width", "--height", "--at", "--turn")
"""Options that apply to one artwork."""
NEEDS = {
    **dict.fromkeys(OF_EACH, ("--artwork", "--text")),
    "--text-set": ("--text",),
    "--read-anyway": ("--artwork", "--from"),
    "--fonts": ("--artwork",),
    "--cover-anew": ("--cover",),
}
"""By option: the options of which it needs at least one."""
TEXT_NAMES = {"letters": "lettering", "style": "face", "font": "family"}
"""Names in the window and in --text-set, mapped to fields of the project."""
EXAMPLES = """\
  wallwright compose job.wallwright --wall 3000x2500 --wall-corner -500,-300 --right-anchor 2000,0
      --artwork flower.svg --width 800 --at 1000,900 --pen '#202020,2,Black marker'
  wallwright compose job.wallwright --from job.wallwright --fill cross-hatch --set machine.body.mass=0.9
  wallwright compose job.wallwright --artwork a.svg --artwork b.svg --width a.svg=800"""


def add_parser(subparsers: Subparsers, summary: str) -> Parser:
    parser = subparsers.add_parser(
        "compose",
        usage=usage("compose PROJECT"),
        help=summary,
        description=tr(
            "Makes a project file, or changes one with --from. Positions are from the first hanging's left anchor: "
            "x right, y DOWN. With several artworks, --width, --height, --at and --turn take NAME=VALUE."
        ),
        epilog=epilog(EXAMPLES, tr("Before a project is changed, a dated copy of it is saved beside it.")),
    )
    add_compose_options(parser)
    return parser


def run(args: argparse.Namespace) -> int:
    check_needs(args, NEEDS)
    check_project_path(args.project)
    source = load_project(args.source) if args.source else None
    document = source or new_document()
    document = _wall(document, args)
    document = _pens(document, args)
    document = requested_machine(document, args)
    for assignment in args.set:
        document = setting(document, assignment, SETTINGS)
    document = _fill(document, args)
    document = _artwork(document, args)
    document = _inks(document, args.ink)
    document = _pictures(document, args)
    document = validate(document)  # before anything is computed from an invalid number
    proposed = validate(_hangings(document, args))
    if source is not None and args.project.exists() and args.project.samefile(args.source):
        save_changed(args.project, source, proposed, args.replace)
    else:
        save_new(args.project, proposed, args.replace)
    if args.cover or args.add_hanging:
        _print_hangings(document, proposed, _is_anew(args))
    save_requested_machine(proposed.machine, args)
    pens = plural("{0} pen", "{0} pens", len(proposed.pens))
    print(
        tr(
            "{0}: {1}, {2}. Next: {3}",
            args.project,
            artworks(len(proposed.placements)),
            pens,
            f"wallwright check {args.project}",
        )
    )
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
                tr(
                    "--keep-out {0}: give at least three corners X,Y, in order around it, not all in one line",
                    name,
                )
            )
        wall = edits.replace(wall, keep_outs=(*wall.keep_outs, KeepOut(name, outline, usual_kind(name))))
    if args.right_anchor:
        x, y = args.right_anchor
        right = edits.replace(hanging.right, x=x, y=y)
        # A default starting point stays in the middle, well below the anchors.
        middle = (right.x / 2, right.y / 2 + 0.4 * right.x)
        hanging = edits.replace(hanging, right=right, start_point=hanging.start_point if args.start else middle)
    if args.start:
        hanging = edits.replace(hanging, start_point=args.start)
    return edits.replace(document, wall=wall, hangings=(hanging, *document.hangings[1:]))


def _hangings(document: Document, args: argparse.Namespace) -> Document:
    if not (args.cover or args.add_hanging):
        return document

    if args.cover:
        is_anew = _is_anew(args)
        found = propose_covering(document) if is_anew else completing(document)
        if found.warning and not found.places and not found.is_covered:
            raise BadValue(f"--cover: {found.warning}")
        if found.warning:
            print(found.warning, file=sys.stderr)
        if is_anew:
            document = edits_hangings.replace_hangings(document, found.places)
        else:
            for place in found.places:
                document = edits_hangings.add_hanging(document, *place)
    for side in args.add_hanging:
        found = propose_beside(document, side == "right")
        if found.warning:
            print(found.warning, file=sys.stderr)
        document = edits_hangings.add_hanging(document, *found.places[0])
    return document


def _is_anew(args: argparse.Namespace) -> bool:
    """Whether hangings may be moved. Anchors from an existing project or an option are fixed; those of an empty project only
    define the distance."""
    return args.cover_anew or (args.cover and not (args.source or args.right_anchor))


def _print_hangings(before: Document, after: Document, is_anew: bool) -> None:
    """Prints the positions of the hangings, and whether the origin has moved."""
    wall = wall_corner(after)
    kept = set() if is_anew else {h.name for h in before.hangings}
    for hanging in after.hangings:
        left, right = hanging.left, hanging.right
        state = tr("unchanged") if hanging.name in kept else tr("proposed")
        print(
            tr(
                "{0} ({1}): anchors {2:.0f} mm apart; the left one {3}, the right one {4}; starting point {5}.",
                hanging.name,
                state,
                hanging.distance,
                wall.text(left.x, left.y),
                wall.text(right.x, right.y),
                left_anchor(after, hanging).text(*hanging.start_point),
            )
        )
    x, y = after.wall.left - before.wall.left, after.wall.top - before.wall.top
    if (x, y) != (0, 0):
        print(
            tr(
                "All positions are measured from the left anchor of {0}. It is now {1:.0f} mm right of and {2:.0f} mm "
                "below the old "
                "one: positions changed by {3:.0f}, {4:.0f} mm. Nothing else moved on the wall.",
                after.hangings[0].name,
                0 - x,
                0 - y,
                x,
                y,
            )
        )


def _pens(document: Document, args: argparse.Namespace) -> Document:
    if not args.pen:
        return document
    pens = []
    for index, text in enumerate(args.pen, start=1):
        colour, _, rest = text.partition(",")
        if not re.fullmatch(r"#[0-9a-fA-F]{6}", colour):
            raise BadValue(tr("--pen {0}: begin with a colour such as #c02020", text))
        width, _, name = rest.partition(",")
        try:
            line = number("mm")(width) if width else 2.0
        except argparse.ArgumentTypeError as error:
            raise BadValue(tr("--pen {0}: the line width: {1}", text, error)) from error
        pens.append(Pen(f"pen-{index}", name or tr("Pen {0}", index), colour.lower(), line))
    placements = tuple(edits.without_pens(p) for p in document.placements)
    return edits.replace(document, pens=tuple(pens), placements=placements)


def _fill(document: Document, args: argparse.Namespace) -> Document:
    fill: Fill = document.settings.fill
    if args.fill:
        fill = edits.replace(fill, kind=args.fill)
    if args.spacing is not None:
        if fill.kind == "none":
            raise BadValue(tr("--spacing belongs to a fill, and the fill is “none”; add --fill"))
        fill = edits.replace(fill, spacing=args.spacing, coverage=0.0)  # a coverage would take precedence
    if args.angle is not None:
        if fill.kind not in ANGLED:
            raise BadValue(
                tr(
                    "--angle belongs to the fills {0}, and the fill is “{1}”; add --fill",
                    ", ".join(ANGLED),
                    fill.kind,
                )
            )
        fill = edits.replace(fill, angle=_turn(args.angle))
    settings = edits.replace(document.settings, fill=fill)
    if args.outside:
        settings = edits.replace(settings, outside=args.outside)
    return edits.replace(document, settings=settings)


def _turn(degrees: float) -> float:
    """Converts degrees to radians between -π and π."""
    return math.remainder(math.radians(degrees), math.tau)


def _artwork(document: Document, args: argparse.Namespace) -> Document:
    with reading_files(args):
        files = [
            (path.name, str(path), data := read_artwork_file(path, args.fonts), media_of(data, path.name))
            for path in args.artwork
        ]
    words = [TextArtwork(text.replace("\\n", "\n")) for text in args.text]
    for assignment in args.text_set:
        words = [assigned(w, assignment, "--text-set", TEXT_NAMES) for w in words]
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
            print(f"{name}: {describe_finding(finding, name)}", file=sys.stderr)
        if (turn := turns.get(index)) is not None:
            document = edits.set_placement(document, placed.id, turn=_turn(turn))
    for artwork in document.artworks if args.read_anyway else ():
        document = edits.agree_to_read(document, artwork.id)
    return document


def _inks(document: Document, assignments: list[str]) -> Document:
    if not assignments:
        return document

    if not document.placements:
        raise BadValue(tr("--ink belongs to artwork, and this project has none; add --artwork"))
    reports = Runner().run(Request(1, validate(document), Goal.PREVIEW)).require_preview().reports
    colours = {report.placement: {use.colour for use in report.colours} for report in reports}
    known = sorted(set().union(*colours.values()))
    for text in assignments:
        colour, _, wanted = text.partition("=")
        pen = _pen_called(document, wanted, f"--ink {text}")
        if colour.lower() not in known:
            raise BadValue(
                tr(
                    "--ink {0}: no artwork has the colour “{1}”; there is {2}",
                    text,
                    colour,
                    ", ".join(known) or tr("none"),
                )
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
                tr(
                    "{0} belongs to pictures, and this project has none; add --artwork with a picture file",
                    option,
                )
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
    names = ", ".join(tr("“{0}”", p.name) for p in document.pens)
    raise BadValue(tr("{0}: there is no pen “{1}”; there are {2}, or “none”", text, wanted, names))
