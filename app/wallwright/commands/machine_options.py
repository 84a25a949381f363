"""Options for a machine's kind of input, and for how its page takes a drawing."""

from __future__ import annotations

import argparse
from pathlib import Path

from wallwright.commands.assignments import assigned
from wallwright.commands.options import one_of
from wallwright.document import edits
from wallwright.document.document import Document
from wallwright.document.errors import BadValue
from wallwright.document.language import tr
from wallwright.document.machine import Machine
from wallwright.document.machine_file import SUFFIX, read_machine, write_machine


def add_machine_file(parser: argparse._ActionsContainer, help: str) -> None:
    """Adds the option that names a machine file."""
    parser.add_argument("--machine", dest="machine_file", type=Path, metavar="FILE", help=help)


def with_machine_file(document: Document, args: argparse.Namespace) -> Document:
    """Returns the document with the machine file that the options name, if any. Raises BadFile."""
    return document if args.machine_file is None else edits.replace(document, machine=read_machine(args.machine_file))


def add_machine_options(parser: argparse.ArgumentParser) -> None:
    """Adds the options for a machine's kind of input."""
    machine = parser.add_argument_group(tr("machine"))
    add_machine_file(machine, tr("a saved machine (.json) to use; the other options then change it"))
    machine.add_argument(
        "--save-machine", type=Path, metavar="FILE", help=tr("save the project's machine as a file (.json)")
    )
    machine.add_argument(
        "--takes",
        type=one_of(("belts", "plane", "drawing")),
        metavar="KIND",
        help=tr("belts: RS-274 in belt lengths; plane: RS-274 in x and y; drawing: an SVG file"),
    )
    machine.add_argument(
        "--page",
        action="append",
        default=[],
        metavar="NAME=VALUE",
        help=tr(
            "how the page of a machine that takes drawings works: asks=distance,left,top,width; placing=typed, centred, "
            "anchors, wall, area; box=page, ink; unit=mm, px, user; is_known=no"
        ),
    )


def requested_machine(document: Document, args: argparse.Namespace) -> Document:
    """Returns the machine as set by the options. Raises UserError."""
    document = with_machine_file(document, args)
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


def save_requested_machine(machine: Machine, args: argparse.Namespace) -> None:
    """Writes a machine file on request. Raises UserError, also rather than replace a file that is no machine."""
    path: Path | None = args.save_machine
    if path is None:
        return
    if path.suffix.lower() != SUFFIX:
        raise BadValue(tr("--save-machine {0}: the name of a machine file ends with {1}", path, SUFFIX))
    if path.exists():
        read_machine(path)
        if not args.replace:
            raise BadValue(tr("--save-machine {0}: this machine exists already; add --replace to replace it", path))
    write_machine(path, machine)
    print(tr("Machine saved: {0}", path))
