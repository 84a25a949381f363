"""The options that say what a machine takes, and what its page does with a drawing."""

from __future__ import annotations

import argparse

from wallwright.commands.assignments import assigned
from wallwright.commands.options import one_of
from wallwright.document import edits
from wallwright.document.document import Document
from wallwright.document.errors import BadValue
from wallwright.document.language import tr


def add_machine_options(parser: argparse.ArgumentParser) -> None:
    """The first question about a machine: what does it take?"""
    machine = parser.add_argument_group(tr("machine"))
    machine.add_argument(
        "--takes",
        type=one_of(("belts", "plane", "drawing")),
        metavar="KIND",
        help=tr(
            "belts: RS-274 in belt lengths; plane: RS-274 in x and y; drawing: an SVG file, placed on the "
            "machine's page "
            "and drawn at one speed"
        ),
    )
    machine.add_argument(
        "--page",
        action="append",
        default=[],
        metavar="NAME=VALUE",
        help=tr(
            "how the page of a machine that takes drawings works: asks=distance,left,top,width; placing=typed, centred, "
            "anchors, wall or area; box=page or ink; unit=mm, px or user; is_known=no before the first trial"
        ),
    )


def requested_machine(document: Document, args: argparse.Namespace) -> Document:
    """What the machine takes, and what its page does."""
    controller = document.machine.controller
    if args.takes:
        controller = controller.taking(args.takes)
    if args.page and controller.takes != "drawing":
        raise BadValue(tr("--page belongs to a machine that takes drawings; add --takes drawing"))
    page = controller.page
    for assignment in args.page:
        page = assigned(page, assignment, "--page")
    machine = edits.replace(document.machine, controller=edits.replace(controller, page=page))
    return edits.replace(document, machine=machine)
