"""The part of the hanging sheet for a machine that takes drawings: what to type on its page, and which file when."""

from __future__ import annotations

from html import escape

from wallwright.document.language import N_, tr
from wallwright.jobs.job import Job
from wallwright.jobs.what_to_type import (
    WhatToType,
    file_lines,
    remarks,
    start_sentence,
    typed_lines,
    what_to_type,
)

STEPS = (
    N_("Set both anchors. Measure from anchor to anchor and check the level. Enter both under “How to hang it”."),
    N_("If a measurement differs from this sheet by more than 2 mm, enter it in the project and export again."),
)
DRAW = (
    N_(
        "Insert the pen, pen up. On the machine's page choose <b>{0}</b>, type the numbers under 'What to type', and draw."
    ),
    N_("For the next file change the pen and let the machine go to its start again. Check the pen's place again."),
)
MOVED = N_(
    "Measure from anchor to anchor and check the level again. If a measurement differs from this sheet by more "
    "than 2 mm, an anchor has moved: enter it in the project and export again."
)


def drawing_steps(job: Job, what: WhatToType) -> list[str]:
    """What to do at the wall, for a whole job or for the rest of one."""
    begin = [tr(step) for step in STEPS] if job.before is None else [tr(MOVED)]
    draw = [tr(DRAW[0], what.files[0].file)] if what.files else []
    return [*begin, start_sentence(what.start), *draw, *([tr(DRAW[1])] if len(what.files) > 1 else [])]


def typing_html(what: WhatToType) -> str:
    """Numbers, files and remarks, for the sheet and for the window."""
    typed = "".join(
        f"<tr><th>{number}.</th><th>{escape(name)}</th><td><b>{value}</b></td></tr>"
        for number, (name, value) in enumerate(typed_lines(what), start=1)
    )
    heads = "".join(f"<th>{h}</th>" for h in ("", "", tr("file"), tr("pen"), tr("speed to set"), tr("time")))
    files = "".join(
        f'<tr><td>{number}.</td><td bgcolor="{file.colour}">&nbsp;&nbsp;&nbsp;&nbsp;</td>'
        f"<td>&nbsp;<b>{escape(name)}</b></td>"
        f"<td>{escape(pen)}</td><td>{speed}</td><td>{time}</td></tr>"
        for number, (file, (name, pen, speed, time)) in enumerate(
            zip(what.files, file_lines(what), strict=True), start=1
        )
    )
    notes = "".join(f"<li>{escape(remark)}</li>" for remark in remarks(what))
    return (
        f"<h2>{tr('What to type')}</h2><table>{typed}</table><h2>{tr('Files in order')}</h2>"
        f"<table><tr>{heads}</tr>{files}</table><ul>{notes}</ul>"
    )


def typing_section(job: Job) -> str:
    """The section of a job's sheet; "" for machines of other kinds."""
    what = what_to_type(job)
    return "" if what is None else typing_html(what)
