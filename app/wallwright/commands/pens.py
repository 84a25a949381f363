"""wallwright pens: shows and changes a project's pens, their measured values and order, and saved pens."""

from __future__ import annotations

import argparse
import re
import sys
from pathlib import Path
from typing import Any

from wallwright.commands.command_parser import Parser, Subparsers, epilog, usage
from wallwright.commands.friction_photos import add_photo_options, print_photos, with_photos_read
from wallwright.commands.options import check_needs, counting, print_json
from wallwright.commands.saving import check_hanging, check_project_path, load_project, save_changed, save_new
from wallwright.document import edits, edits_pens
from wallwright.document.document import Document, Pen
from wallwright.document.errors import BadValue
from wallwright.document.language import tr
from wallwright.document.project import SUFFIX
from wallwright.document.saved_presets import read_presets, write_presets
from wallwright.motion.refills import with_ink_of
from wallwright.planning.friction_figure import friction_figure, read_friction
from wallwright.planning.offset_figure import OffsetReading, offset_figure, read_offset
from wallwright.planning.pen_order import light_to_dark
from wallwright.planning.plan import Goal, Request
from wallwright.planning.runner import Runner
from wallwright.planning.sample_strip import sample_strip
from wallwright.planning.strip_readings import WHITE_EVERYWHERE, LineSeen, StripReading, with_strip_read

EXAMPLES = """  wallwright pens wall.wallwright --offset-figure offsets.wallwright
  wallwright pens wall.wallwright --offset "Red=12@10,8.5@17.5" --write
  wallwright pens wall.wallwright --sample-strip strip.wallwright
  wallwright pens wall.wallwright --seen "Red=20:2.1,40:2.0,80:1.8gaps,stripes:45,closed:90" --write
  wallwright pens wall.wallwright --friction-figure friction.wallwright
  wallwright pens wall.wallwright --friction "Red=11.2,8.9,11.1,9.0/9.3,10.8,9.1,10.9" --write
  wallwright pens wall.wallwright --friction-photo photo.jpg --write
  wallwright pens wall.wallwright --save-pen Red"""
NEEDS = {
    "--photo-corners": ("--friction-photo",),
    "--replace": ("--offset-figure", "--sample-strip", "--friction-figure"),
}
_N = r"(\d+\.?\d*|\.\d+)"
_SEEN = re.compile(rf"{_N}:{_N}(gaps)?(bleeds)?")
_NUMBER = re.compile(rf"(?:(stripes|closed|hides|late|tail):{_N}|closed:(none))")
_READING = re.compile(rf"{_N}?(?:@{_N})?")


def add_parser(subparsers: Subparsers, summary: str) -> Parser:
    parser = subparsers.add_parser(
        "pens",
        usage=usage("pens PROJECT"),
        help=summary,
        description=tr("Without options, lists the pens with their order from light to dark."),
        epilog=epilog(EXAMPLES, tr("Before a project is changed, a dated copy of it is saved beside it.")),
    )
    parser.add_argument("project", metavar="PROJECT", type=Path, help=tr("project file ({0})", SUFFIX))
    parser.add_argument(
        "--hanging", type=counting(), default=1, metavar="N", help=tr("which hanging (2 is the second)")
    )
    parser.add_argument(
        "--offset-figure",
        type=Path,
        metavar="FILE",
        help=tr("write a project with crosses and scales of all pens, to measure how far their tips are off"),
    )
    parser.add_argument(
        "--offset",
        action="append",
        default=[],
        metavar="PEN=RIGHT,DOWN",
        help=tr(
            "what is read to the right and down: mm from the first pen's cross to this pen's; after @ the number of the "
            "line that continues one of the first pen's scale"
        ),
    )
    parser.add_argument(
        "--sample-strip",
        type=Path,
        metavar="FILE",
        help=tr("write a project with lines at three speeds, coverages and dashes of each pen"),
    )
    parser.add_argument(
        "--seen",
        action="append",
        default=[],
        metavar="PEN=SPEED:WIDTH,...",
        help=tr(
            "what a pen's part of the strip looks like: speed and width of lines, followed by gaps or bleeds where seen; "
            "stripes:N, in per cent, of the patch as dark as the stripes; closed:N of the first one without white "
            "(none: none is); hides:N, in per cent, of the dark bar; late:mm and tail:mm of the dashes; "
            "dots where they begin with a dot"
        ),
    )
    parser.add_argument(
        "--friction-figure",
        type=Path,
        metavar="FILE",
        help=tr("write a project with two combs of lines of each pen, to measure how hard it rubs on the wall"),
    )
    parser.add_argument(
        "--friction",
        action="append",
        default=[],
        metavar="PEN=MM,.../MM,...",
        help=tr("distances between neighbouring lines of a pen's first comb and, after /, of its second one, in order"),
    )
    add_photo_options(parser)
    parser.add_argument("--light-to-dark", action="store_true", help=tr("put the pens in order from light to dark"))
    parser.add_argument(
        "--save-pen", action="append", default=[], metavar="PEN", help=tr("save a pen for other projects")
    )
    parser.add_argument(
        "--add-saved-pen", action="append", default=[], metavar="NAME", help=tr("add a saved pen to the project")
    )
    parser.add_argument(
        "--drawn",
        action="store_true",
        help=tr("the job of this hanging is drawn: count its ink as used"),
    )
    parser.add_argument("--write", action="store_true", help=tr("save the changes in the project"))
    parser.add_argument("--replace", action="store_true", help=tr("replace a project file that exists"))
    parser.add_argument("--json", action="store_true", help=tr("print JSON"))
    return parser


def run(args: argparse.Namespace) -> int:
    check_needs(args, NEEDS)
    document = load_project(args.project)
    check_hanging(document, args.hanging)
    figures = (
        (args.offset_figure, offset_figure),
        (args.sample_strip, sample_strip),
        (args.friction_figure, friction_figure),
    )
    for path, figure in figures:
        if path is not None:
            check_project_path(path)
            save_new(path, figure(document, args.hanging - 1), args.replace)
            print(tr("{0}: export it and draw it with the machine.", path))
    changed, photos = with_photos_read(_changed(document, args), args)
    for name in args.save_pen:
        write_presets(read_presets().with_pen(changed.pens[_index(changed, name, "--save-pen")]))
        print(tr("Pen saved: {0}", name))
    if changed is not document and args.write:
        save_changed(args.project, document, changed, True, sys.stderr)
    _print(changed, args, photos)
    if changed is not document and not args.write:
        print(tr("Nothing was written; add --write to save the result."), file=sys.stderr)
    return 0


def _changed(document: Document, args: argparse.Namespace) -> Document:
    for text in args.offset:
        pen, values = _named(document, text, "--offset")
        document = read_offset(document, args.hanging - 1, pen, *_readings(text, values))
    readings = {}
    for text in args.seen:
        pen, values = _named(document, text, "--seen")
        readings[document.pens[pen].id] = _strip_reading(text, values)
    if readings:
        document = with_strip_read(document, readings)
    for text in args.friction:
        pen, values = _named(document, text, "--friction")
        document = read_friction(document, args.hanging - 1, pen, _comb_distances(text, values))
    for name in args.add_saved_pen:
        saved = next((p for p in read_presets().pens if p.name == name), None)
        if saved is None:
            raise BadValue(tr("--add-saved-pen {0}: no pen of this name is saved", name))
        document = edits_pens.add_saved_pen(document, saved)
    if args.drawn:
        document = _with_drawn_ink(document, args.hanging - 1)
    if args.light_to_dark:
        document = edits_pens.in_order(document, light_to_dark(document))
    return document


def _comb_distances(text: str, values: str) -> tuple[list[float], list[float]]:
    """Returns the readings of both combs. Raises BadValue."""
    combs = values.split("/")
    try:
        found = [[float(part) for part in comb.split(",") if part.strip()] for comb in combs]
    except ValueError as error:
        message = tr("--friction {0}: write PEN=, the distances in mm with commas, and / between combs", text)
        raise BadValue(message) from error
    if len(found) > 2:
        raise BadValue(tr("--friction {0}: each pen has two combs", text))
    return found[0], found[1] if len(found) > 1 else []


def _with_drawn_ink(document: Document, hanging: int) -> Document:
    """Plans a hanging's job and adds its ink to what the pens have drawn. Raises UserError."""
    plan = Runner().run(Request(1, document, Goal.PLAN, hanging)).require_plan()
    return edits.replace(document, pens=with_ink_of(document.pens, plan.strokes))


def _readings(text: str, values: str) -> tuple[Any, Any]:
    found = [_READING.fullmatch(part.strip()) for part in values.split(",")]
    if len(found) != 2 or not all(match and match[0] for match in found):
        raise BadValue(tr("--offset {0}: write PEN=RIGHT,DOWN in mm, or with @ the lines of the scales", text))
    right, down = (
        OffsetReading(*(None if part is None else float(part) for part in match.groups())) for match in found if match
    )
    return right, down


def _strip_reading(text: str, values: str) -> Any:
    lines, numbers, dots = [], {}, False
    for part in (part.strip() for part in values.split(",")):
        line, number = _SEEN.fullmatch(part), _NUMBER.fullmatch(part)
        if line is not None:
            lines.append(LineSeen(float(line[1]), float(line[2]), bool(line[3]), bool(line[4])))
        elif number is not None:
            numbers[number[1] or "closed"] = WHITE_EVERYWHERE if number[3] else float(number[2])
        elif part == "dots":
            dots = True
        else:
            raise BadValue(
                tr(
                    "--seen {0}: “{1}” cannot be read. Write for example PEN=40:2.0,80:1.8gaps,stripes:45,closed:90",
                    text,
                    part,
                )
            )
    return StripReading(
        tuple(lines),
        numbers.get("stripes"),
        numbers.get("closed"),
        numbers.get("hides"),
        numbers.get("late"),
        numbers.get("tail"),
        dots,
    )


def _named(document: Document, text: str, option: str) -> tuple[int, str]:
    name, equals, values = text.partition("=")
    if not equals:
        raise BadValue(tr("{0} {1}: write the pen's name, =, and the numbers", option, text))
    return _index(document, name, option), values


def _index(document: Document, name: str, option: str) -> int:
    """Returns the index of a pen from its name or its number in the list, from 1."""
    found = [k for k, pen in enumerate(document.pens) if pen.name == name or str(k + 1) == name]
    if not found:
        raise BadValue(tr("{0} {1}: there is no such pen; there is {2}", option, name, ", ".join(_names(document))))
    return found[0]


def _names(document: Document) -> list[str]:
    return [pen.name for pen in document.pens]


def _print(document: Document, args: argparse.Namespace, photos: list[dict[str, Any]]) -> None:
    order = light_to_dark(document)
    if args.json:
        names = [document.pens[k].name for k in order]
        found = {"pens": [_record(pen) for pen in document.pens], "light_to_dark": names}
        print_json(found | ({"friction_photos": photos} if photos else {}))
        return
    print_photos(photos)
    for number, pen in enumerate(document.pens, start=1):
        left = tr("{0:.1f} m of ink left", pen.ink - pen.used) if pen.ink else tr("ink not known")
        print(
            tr(
                "{0}. {1} {2}: {3:g} mm wide, tip {4:+.1f} mm right and {5:+.1f} mm down, {6}",
                number,
                pen.name,
                pen.colour,
                pen.width,
                pen.tip_right,
                pen.tip_down,
                left,
            )
        )
    print(
        tr(
            "From light to dark, so that no light tip takes up dark ink: {0}",
            ", ".join(document.pens[k].name for k in order),
        )
    )


def _record(pen: Pen) -> dict[str, Any]:
    return {
        "name": pen.name,
        "colour": pen.colour,
        "width_mm": pen.width,
        "speed_mm_s": pen.speed,
        "opacity": pen.opacity,
        "gain": pen.gain,
        "tip_mm": [round(pen.tip_right, 3), round(pen.tip_down, 3)],
        "ink_m": pen.ink,
        "used_m": pen.used,
        "drag_n": pen.drag,
        "drag_uncertainty_n": pen.drag_uncertainty,
    }
