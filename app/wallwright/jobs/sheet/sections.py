"""The words and tables of the hanging sheet, as rich text for the page setter."""

from __future__ import annotations

from collections.abc import Sequence
from html import escape

from wallwright.document.language import N_, duration, format_number, plural, tr, unbroken_units
from wallwright.document.origin import height_text, left_anchor
from wallwright.document.pen import needs_change
from wallwright.document.register import RegisterMark
from wallwright.jobs.checks import Verdict
from wallwright.jobs.file_formats import files_for_others
from wallwright.jobs.file_names import REGISTER, VISIT
from wallwright.jobs.hanging_position import anchor_positions, folder_of
from wallwright.jobs.how_to_run import how_to_run
from wallwright.jobs.job import Job
from wallwright.jobs.sheet.cautions import Occasion
from wallwright.jobs.sheet.drawing_section import drawing_steps
from wallwright.jobs.sheet.timetable_section import CHECK_PEN, HANG_IT, rest_steps, wind_in_step
from wallwright.jobs.what_to_type import what_to_type
from wallwright.motion.estimate import refills_of

STYLE = """
body { font-family: 'DejaVu Sans', sans-serif; font-size: 9pt; color: #111111; }
h1 { font-size: 16pt; margin-bottom: 0; }
h2 { font-size: 11pt; margin-top: 12px; margin-bottom: 3px; }
td, th { padding: 2px 8px 2px 0; vertical-align: top; }
th { text-align: left; color: #444444; font-weight: normal; }
td.n { text-align: right; }
p.loud { font-size: 12pt; font-weight: bold; color: #a00000; }
"""
MARKS = {
    Verdict.OK: N_("OK"),
    Verdict.NOTE: N_("note"),
    Verdict.WARNING: N_("WARNING"),
    Verdict.ERROR: N_("ERROR"),
}
TAKE_CARE_FIRST = N_("Read “Take care” before you drill, climb or switch anything on.")


def headline(job: Job) -> str:
    """Top of the first page."""
    loud = ""
    if job.ignored:
        stay = tr("The machine may lose steps or fall there. Stay beside it, ready to stop it.")
        loud = f'<p class="loud">{escape(job.ignored.text)} {stay}</p>'
    loud += f"<p><b>{escape(tr(TAKE_CARE_FIRST))}</b></p>"
    size = ", ".join(
        (
            plural("{0} stroke", "{0} strokes", len(job.strokes)),
            plural("{0} pen", "{0} pens", len({block.pen for block in job.motion.blocks})),
            tr("about {0} of drawing", duration(job.estimate.total_s)),
        )
    )
    facts = [tr("Hanging sheet"), escape(job.project), escape(job.document.machine.name), size]
    if job.before is not None:
        part = tr("Continuing a job from stroke {0} of {1}", job.first + 1, job.of)
        loud += f"<p><b>{part}</b></p>"
    return f"<h1>{escape(job.hanging.name)}</h1><p>{' &nbsp;·&nbsp; '.join(fact for fact in facts if fact)}</p>{loud}"


def places(job: Job) -> str:
    """Where the hanging is on a wall that several draw, measured from those that hung before; else nothing."""
    document, index = job.document, job.hanging_index
    if len(document.hangings) == 1:
        return ""
    rows = "".join(
        f"<tr><th>{escape(p.words)}</th><td><b>{p.distance_text}</b></td><td>{tr('measured: ________ {0}', 'mm')}</td></tr>"
        for p in anchor_positions(document, index)
    )
    items = []
    for number, hanging in enumerate(document.hangings):
        name = f"{escape(hanging.name)} ({folder_of(number)})"
        items.append(f"<li>{tr('{0}: this sheet', name) if number == index else name}</li>")
    text = tr(
        "Hanging {0} of {1}. Draw them in this order. The files of each are in its folder:",
        index + 1,
        len(document.hangings),
    )
    return f"<h2>{tr('Where to hang it')}</h2><p>{text}</p><ol>{''.join(items)}</ol><p></p><table>{rows}</table>"


def marks(job: Job) -> str:
    """The register marks that it looks for, with room for what was seen, and those that it leaves. After the steps, which
    say when."""
    parts = []
    found = job.hanging.register
    if job.seeks and found.sightings:
        text = tr(
            "Already lined up: parts meet to within about {0:.1f} mm; {1:.1f} mm of the readings remain unexplained.",
            2 * found.expected,
            found.left_over,
        )
        parts.append(f"<h2>{tr(LINE_UP)}</h2><p>{text}</p>")
    elif job.seeks:
        rows = "".join(
            f"<tr><td><b>{escape(m.name)}</b></td><td>{_from_anchor(job, m)}</td>"
            f"<td>{tr('right ________ mm, below ________ mm')}</td></tr>"
            for m in job.seeks
        )
        text = tr(
            "With the belts at their starting lengths, run {0}. The machine stops at each "
            "mark with the pen up. Write down how far the pen is right of and below the mark (left and above: "
            "with a minus). Enter the readings in the project (“Job › Line up by marks”) and export this hanging "
            "again. Run the new file from where the machine hangs; leave the belts as they are.",
            job.file(VISIT),
        )
        if job.drawing is not None:
            text = tr(
                "Before it draws: draw {0}. It draws a small diagonal cross beside each upright one; write down how far the "
                "diagonal one is right of and below it (left and above with a minus). Enter that in the project (“Job › "
                "Line up by marks”) and export this hanging again.",
                job.file(REGISTER),
            )
        parts.append(f"<h2>{tr(LINE_UP)}</h2><p>{text}</p><table>{rows}</table>")
    if job.leaves:
        names = ", ".join(escape(m.name) for m in job.leaves)
        text = tr(
            "This hanging draws the marks {0} for later hangings. Do not wipe them off before those are drawn. If a label "
            "beside a cross cannot be read, write it there by hand.",
            names,
        )
        rows = "".join(f"<tr><td><b>{escape(m.name)}</b></td><td>{_from_anchor(job, m)}</td></tr>" for m in job.leaves)
        parts.append(f"<h2>{tr('Register marks')}</h2><p>{text}</p><table>{rows}</table>")
    return "".join(parts)


def _from_anchor(job: Job, mark: RegisterMark) -> str:
    left = job.hanging.left
    place = tr(
        "{0:.0f} mm right of and {1:.0f} mm below this hanging's left anchor",
        mark.x - left.x,
        mark.y - left.y,
    )
    return f"{place}, {height_text(job.document, mark.y)}"


def passes(job: Job) -> str:
    """Pens in order."""
    rows = []
    for number, part in enumerate(job.estimate.per_pen, start=1):
        pen = job.document.pens[part.pen]
        seconds = part.drawing_s + part.travel_s + part.lifting_s
        drying = job.estimate.drying_s[number - 1] if job.estimate.drying_s else 0.0
        goes_on = number > 1 and not needs_change(job.document.pens, job.estimate.per_pen[number - 2].pen, part.pen)
        same = "; " + tr("the same pen, without a pause") if goes_on and not drying and job.drawing is None else ""
        wait = "; " + tr("first wait {0} for the ink below to dry", duration(drying)) if drying else ""
        rows.append(
            f'<tr><td>{number}</td><td bgcolor="{pen.colour}">&nbsp;&nbsp;&nbsp;&nbsp;&nbsp;</td>'
            f"<td>{escape(pen.name)} ({pen.colour}), {format_number(pen.width)} mm{wait}{same}</td>"
            f"<td class='n'>{part.strokes}</td>"
            f"<td class='n'>{format_number(part.ink_m, '.1f')} m</td>"
            f"<td class='n'>{format_number(part.travel_m, '.1f')} m</td>"
            f"<td class='n'>{duration(seconds)}</td></tr>"
        )
    heads = ("", "", tr("pen"), tr("strokes"), tr("ink"), tr("pen up"), tr("time"))
    total = tr("About {0} in total", duration(job.estimate.total_s))
    if job.estimate.changing_s:
        total = tr(
            "About {0} in total, plus {1} for pen changes",
            duration(job.estimate.total_s),
            duration(job.estimate.changing_s),
        )
    total += ". " + tr("The left belt runs {0:.0f} m, the right one {1:.0f} m.", *job.estimate.belt_run_m)
    if job.estimate.ink_price:
        total += " " + tr("The ink costs about {0}.", format_number(job.estimate.ink_price, ".2f"))
    return (
        f"<h2>{_pens_title(job)}</h2><table><tr>"
        + "".join(f"<th>{head}</th>" for head in heads)
        + "</tr>"
        + "".join(rows)
        + f"</table><p>{total}</p>"
    )


def _pens_title(job: Job) -> str:
    """With where they are changed."""
    if job.hanging.pen_change is None or job.drawing is not None:
        return tr("Pens in order; change them at the starting point")
    x, y = job.hanging.pen_change
    return tr("Pens in order; change them {0}", left_anchor(job.document, job.hanging).text(x, y))


def checks(job: Job) -> str:
    """The checks with their verdicts."""
    rows = "".join(
        f"<tr><td><b>{tr(MARKS[c.verdict])}</b></td><td>{escape(c.title)}</td><td>{unbroken_units(escape(c.text))}</td></tr>"
        for c in job.checks
    )
    return f"<h2>{tr('Checks')}</h2><table>{rows}</table>"


RUN = N_("Insert the first pen, pen up. Run <b>{0}</b> (for other controllers: {1}). The machine pauses for each pen.")
RUN_TABLE = N_("Insert the first pen, pen up. Run <b>{0}</b> (for other controllers: {1}).")
END = N_(
    "At the end, leave the power on: only the motors hold the body. See that the pen is up, take it out and cap it. Hold "
    "the body, unhook the belts and put it down where it cannot fall. Only then switch off the power."
)
STEPS = (
    N_("Set both anchors. Measure from anchor to anchor and check the level. Enter both under “How to hang it”."),
    N_("If a measurement differs from this sheet by more than 2 mm, enter it in the project and export again."),
    HANG_IT,
    CHECK_PEN,
    RUN,
    N_(
        "After a stop or a slipped belt: find the stroke under “If it stops” and continue from there. Not "
        "everything has to be drawn again."
    ),
)


LINE_UP = N_("Line it up by the marks on the wall")
LINE_UP_STEP = N_("Before the job itself, line it up by the marks on the wall: see that section below.")
LINED_UP = N_(
    "It is lined up: leave the machine where it hangs and the belts as they are. Only if it was moved since, set both "
    "belts to their starting lengths again."
)


def steps(job: Job, files: Sequence[str]) -> str:
    """What to do at the wall. files: names of those that the machine runs, in order."""
    what = what_to_type(job)
    if what is not None:
        todo = drawing_steps(job, what)
        if job.seeks and not job.hanging.register.sightings and job.before is None:
            todo.insert(3, tr(LINE_UP_STEP))
    elif job.before is not None:
        todo = rest_steps(job)
    else:
        todo = [_step(job, item, files) for item in STEPS]
        if job.seeks and not job.hanging.register.sightings:
            todo.insert(STEPS.index(RUN), tr(LINE_UP_STEP))
    todo.append(tr(END))
    text = f"<h2>{tr('At the wall')}</h2><ol>" + "".join(f"<li>{item}</li>" for item in todo) + "</ol>"
    if files:
        rows = "".join(f"<li>{escape(line)}</li>" for line in _running(job, files))
        text += f"<h2>{tr('At the machine')}</h2><ul>{rows}</ul>"
    return text


def _running(job: Job, files: Sequence[str]) -> tuple[str, ...]:
    """Returns how to run the files and what the pauses are for."""
    return how_to_run(job.document.machine.controller, files, bool(refills_of(job.document, job.motion).runs))


def _step(job: Job, item: str, files: Sequence[str]) -> str:
    """One of STEPS, as it is for this controller."""
    controller = job.document.machine.controller
    is_table = controller.pacing == "timed"
    if item is HANG_IT and controller.code.start == "stop" and not is_table:
        return wind_in_step(job)
    if item is HANG_IT and job.seeks and job.hanging.register.sightings:
        return tr(LINED_UP)
    if item is RUN:
        return tr(RUN_TABLE if is_table else RUN, " + ".join(files), ", ".join(files_for_others(job)))
    return tr(item)


def cautions() -> str:
    return (
        f"<h2>{tr('Take care')}</h2><ul>"
        + "".join(f"<li>{escape(tr(risk.value))}</li>" for risk in Occasion.SHEET.value)
        + "</ul>"
    )
