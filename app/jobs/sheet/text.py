"""The words and tables of the hanging sheet, as rich text for the page setter."""

from __future__ import annotations

from html import escape

import numpy as np

from app.jobs.checks import Verdict
from app.jobs.job import Job
from app.jobs.sheet.cautions import CAUTIONS

STYLE = """
body { font-family: 'DejaVu Sans', sans-serif; font-size: 9pt; color: #111111; }
h1 { font-size: 16pt; margin-bottom: 0; }
h2 { font-size: 11pt; margin-top: 12px; margin-bottom: 3px; }
td, th { padding: 2px 8px 2px 0; vertical-align: top; }
th { text-align: left; color: #444444; font-weight: normal; }
td.n { text-align: right; }
p.loud { font-size: 12pt; font-weight: bold; color: #a00000; }
"""
MARKS = {Verdict.GOOD: "good", Verdict.NOTE: "note", Verdict.WARNING: "WARNING", Verdict.BAD: "BAD"}


def duration(seconds: float) -> str:
    """ "1 h 05 min", "12 min", "40 s"."""
    seconds = round(seconds)
    if seconds < 90:
        return f"{seconds} s"
    minutes = round(seconds / 60)
    return f"{minutes // 60} h {minutes % 60:02d} min" if minutes >= 60 else f"{minutes} min"


def headline(job: Job) -> str:
    """Top of the first page."""
    loud = ""
    if job.outside:
        loud = (
            f'<p class="loud">OVERRIDDEN: {job.outside} strokes leave the draw zone. The machine may lose steps '
            "or fall there; stay beside it and be ready to stop it.</p>"
        )
    return (
        f"<h1>{escape(job.hanging.name)}</h1><p>Hanging sheet &nbsp;·&nbsp; {escape(job.document.machine.name)} "
        f"&nbsp;·&nbsp; {len(job.strokes)} strokes, {len(job.motion.blocks)} passes, about "
        f"{duration(job.estimate.total_s)} of drawing</p>{loud}"
    )


def numbers(job: Job) -> str:
    """What has to be measured on the wall, with room for what was measured."""
    hanging, pose = job.hanging, job.datum
    left, right = hanging.left, hanging.right
    dx, dy = right.x - left.x, right.y - left.y
    chord = np.hypot(*(pose.exits[0] - np.array(job.rig.anchors)).T)
    pull = _largest_pull(job)
    rows = [
        ("Anchors, nail to nail", f"<b>{np.hypot(dx, dy):.0f} mm</b>", "mm"),
        ("Right anchor against the left one, with a level", f"<b>{_level(dy)}</b>", "mm"),
        ("Left anchor below the ceiling", f"{-job.document.wall.top:.0f} mm", "mm"),
        ("Left anchor from the wall's left edge", f"{-job.document.wall.left:.0f} mm", "mm"),
        ("Pen at the start: right of the left anchor", f"<b>{hanging.datum[0]:.0f} mm</b>", "mm"),
        ("Pen at the start: below the left anchor", f"<b>{hanging.datum[1]:.0f} mm</b>", "mm"),
        ("Left belt at the start, anchor to exit", f"<b>{chord[0]:.1f} mm</b> straight by tape", "mm"),
        ("Right belt at the start, anchor to exit", f"<b>{chord[1]:.1f} mm</b> straight by tape", "mm"),
        ("The same as the controller counts it", "{:.2f} and {:.2f} mm".format(*job.counted(pose.belts)[0]), ""),
        ("Tilt of the body at the start", f"{np.degrees(pose.tilt[0]):+.1f}° (+ is clockwise)", "°"),
        ("Largest pull on the left anchor", f"{pull[0]:.1f} N; its fixing holds {left.holds:.0f} N", ""),
        ("Largest pull on the right anchor", f"{pull[1]:.1f} N; its fixing holds {right.holds:.0f} N", ""),
        ("Belt needed, left and right", f"{job.estimate.longest_belt_mm[0]:.0f} and "
         f"{job.estimate.longest_belt_mm[1]:.0f} mm", ""),
    ]  # fmt: skip
    body = "".join(
        f"<tr><th>{name}</th><td>{value}</td><td>{'measured: ________ ' + unit if unit else ''}</td></tr>"
        for name, value, unit in rows
    )
    return f"<h2>Hang it so</h2><table>{body}</table>"


def _level(dy: float) -> str:
    if abs(dy) < 0.5:
        return "level"
    return f"{abs(dy):.0f} mm {'lower' if dy > 0 else 'higher'}"


def _largest_pull(job: Job) -> np.ndarray:
    """(2,) N at the anchors: belt weight adds to the pull at the exits."""
    if not len(job.motion.tension):
        return job.datum.anchor_tension[0]
    hanging_belt = job.rig.belt_weight * job.motion.belts.max(axis=0)
    return job.motion.tension.max(axis=0) + hanging_belt


def passes(job: Job) -> str:
    """Pens in order."""
    rows = []
    for number, part in enumerate(job.estimate.per_pen, start=1):
        pen = job.document.pens[part.pen]
        seconds = part.drawing_s + part.travel_s + part.lifting_s
        rows.append(
            f'<tr><td>{number}</td><td bgcolor="{pen.colour}">&nbsp;&nbsp;&nbsp;&nbsp;&nbsp;</td>'
            f"<td>{escape(pen.name)} ({pen.colour}), {pen.width:g} mm</td><td class='n'>{part.strokes}</td>"
            f"<td class='n'>{part.ink_m:.1f} m</td><td class='n'>{part.travel_m:.1f} m</td>"
            f"<td class='n'>{duration(seconds)}</td></tr>"
        )
    return (
        "<h2>Pens in order; change them at the starting place</h2><table><tr><th></th><th></th><th>pen</th>"
        "<th>strokes</th><th>ink</th><th>pen up</th><th>time</th></tr>" + "".join(rows) + "</table>"
        f"<p>In all about {duration(job.estimate.total_s)} without pen changes. Belts run "
        f"{job.estimate.belt_run_m[0]:.0f} m and {job.estimate.belt_run_m[1]:.0f} m.</p>"
    )


def checks(job: Job) -> str:
    """The checks with their verdicts."""
    rows = "".join(
        f"<tr><td><b>{MARKS[c.verdict]}</b></td><td>{escape(c.title)}</td><td>{escape(c.text)}</td></tr>"
        for c in job.checks
    )
    return f"<h2>Looked at before hanging</h2><table>{rows}</table>"


def steps() -> str:
    """What to do at the wall."""
    items = (
        "Set both anchors. Measure nail to nail, and the level, and write both down above.",
        "If a measure differs from this sheet by more than 2 mm, enter it in the project and export again.",
        "Hang the body. Bring both belts to the starting lengths: tape from the nail to where the belt leaves the body.",
        "Check the pen's place: measure right and down from the left anchor.",
        "Insert the first pen, pen up. Run the file; it stops for each pen.",
        "After a slip or a stop: bring the machine back to the starting place before going on.",
    )
    return "<h2>At the wall</h2><ol>" + "".join(f"<li>{item}</li>" for item in items) + "</ol>"


def cautions() -> str:
    return "<h2>Take care</h2><ul>" + "".join(f"<li>{escape(c)}</li>" for c in CAUTIONS) + "</ul>"
