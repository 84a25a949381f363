"""What is read of a drawing about pens, with room to write it down at the wall."""

from __future__ import annotations

from html import escape

from wallwright.document.language import format_number, tr
from wallwright.jobs.job import Job

BLANK = "______"


def pen_figure_section(job: Job) -> str:
    """Of a job that draws an offset figure or a sample strip; "" of any other."""
    if job.document.purpose == "pen-offsets":
        return _offsets(job)
    if job.document.purpose == "pen-friction":
        return _friction(job)
    return _strip(job) if job.document.purpose == "sample-strip" else ""


def _offsets(job: Job) -> str:
    first, *others = job.document.pens
    heads = (tr("pen"), tr("line, to the right"), tr("line, below"), tr("ruler, right, mm"), tr("ruler, below, mm"))
    rows: list[tuple[str, ...]] = [(escape(pen.name), BLANK, BLANK, BLANK, BLANK) for pen in others]
    todo = (
        tr(
            "Each pen continues lines of {0} with its own, which have numbers. On both of its scales, find the line that "
            "continues one of {0} exactly, and write down its number. Between two lines that fit equally "
            "well, write the half.",
            first.name,
        ),
        tr(
            "If a cross is clearly off, also measure with a ruler from the lines of {0}'s cross to those of the other one. "
            "Half a millimetre is enough.",
            first.name,
        ),
    )
    return _section(heads, rows, todo)


def _friction(job: Job) -> str:
    heads = (tr("pen"), tr("distances, first comb, mm"), tr("distances, second comb, mm"))
    blanks = " ".join([BLANK] * 6)
    pens = [pen for pen in job.document.pens if not pen.same_as]
    rows: list[tuple[str, ...]] = [(escape(pen.name), blanks, blanks) for pen in pens]
    todo = (
        tr(
            "Each pen has two combs of seven lines in a row that begins with its number. Measure the distances between "
            "neighbouring lines in the middle of their lengths. Measure from the middle of one line to that of the next, "
            "and write them down in order. Half a millimetre is enough."
        ),
        tr(
            "Or take a sharp photo of the figure from in front, in even light, so near that it fills the picture. "
            "Wallwright reads the distances from it."
        ),
        tr("Friction makes wide and narrow distances alternate. The more they differ, the harder the pen rubs."),
    )
    return _section(heads, rows, todo)


def _strip(job: Job) -> str:
    pens = job.document.pens
    rows: list[tuple[str, ...]] = []
    for pen in pens:
        if not pen.same_as:
            # Three lines; the pen over dark ink, where there is one, is the fourth.
            tried = [pen, *(other for other in pens if other.same_as == pen.id)]
            widths = [f"{format_number(one.speed)}:&nbsp;{BLANK}" for one in tried[:3]]
            rows.append((escape(pen.name), *widths, BLANK, BLANK, BLANK if len(tried) > 3 else "", BLANK, BLANK))
    heads = (
        tr("pen"),
        tr("line 1"),
        tr("line 2"),
        tr("line 3"),
        tr("like stripes, %"),
        tr("no white, %"),
        tr("hides, %"),
        tr("late, mm"),
        tr("tail, mm"),
    )
    todo = (
        tr(
            "Lines 1 to 3, from the top, after their speeds in mm/s: measure how many mm wide each one is. Note where it "
            "has gaps or bleeds."
        ),
        tr(
            "Like stripes: step back and half close your eyes until the stripes under the first row of patches run "
            "together. Which patch is as dark? Between two patches, write the number between."
        ),
        tr("No white: the first patch, in the order of the numbers, in which no white is left between the lines."),
        tr("Hides: how much of the dark bar disappears under the pen's ink. 0 %: nothing, 100 %: all."),
        tr(
            "Dashes: how much is missing where each one begins (late), and how far it runs into the gap (tail). Note it if "
            "dashes begin with a dot."
        ),
        tr("Wipe the tips that have drawn over dark ink on paper before you use them again."),
    )
    return _section(heads, rows, todo)


def _section(heads: tuple[str, ...], rows: list[tuple[str, ...]], todo: tuple[str, ...]) -> str:
    items = "".join(f"<li>{escape(item)}</li>" for item in todo)
    head = "".join(f"<th>{escape(title)}</th>" for title in heads)
    body = "".join("<tr>" + "".join(f"<td>{cell}</td>" for cell in row) + "</tr>" for row in rows)
    note = tr("Then enter it in Wallwright under “Pens › Measure pens”.")
    return f"<h2>{tr('What to read')}</h2><ul>{items}</ul><table><tr>{head}</tr>{body}</table><p>{note}</p>"
