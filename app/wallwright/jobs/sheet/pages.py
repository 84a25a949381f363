"""Painting the pages of the hanging sheet, on whatever paper there is."""

from __future__ import annotations

import itertools
import sys
from collections.abc import Sequence
from typing import Protocol

from PySide6.QtCore import QCoreApplication, QRectF, Qt, QUrl
from PySide6.QtGui import (
    QAbstractTextDocumentLayout,
    QFont,
    QGuiApplication,
    QImage,
    QPageSize,
    QPainter,
    QTextDocument,
)

from wallwright.document.language import tr
from wallwright.jobs.job import Job
from wallwright.jobs.sheet import sections
from wallwright.jobs.sheet.drawing_section import typing_section
from wallwright.jobs.sheet.numbers_section import numbers_section
from wallwright.jobs.sheet.pen_figure_section import pen_figure_section
from wallwright.jobs.sheet.survey_section import PICTURE, survey_picture, survey_section
from wallwright.jobs.sheet.timetable_section import timetable
from wallwright.jobs.sheet.wall_drawing import paint_wall

DPI = 300
MARGIN_MM = 14.0
PICTURE_SHARE = 0.40
"""Of the first page's height, for the picture of the wall."""


class Paper(Protocol):
    """Pages one after the other; the first one is there."""

    painter: QPainter
    """Paints the present page within its margins, in dots of DPI."""
    width: float
    """Dots within the margins."""
    height: float

    def begin_page(self) -> None:
        """Goes on with an empty page."""


def size_of_page(page: str) -> QPageSize:
    """page: "A4" or "Letter"."""
    return QPageSize(QPageSize.PageSizeId.Letter if page == "Letter" else QPageSize.PageSizeId.A4)


def paint_pages(paper: Paper, job: Job, files: Sequence[str]) -> None:
    """Paints the whole sheet. files: names of the files that the controller runs, in order."""
    frame = QRectF(0, 0, paper.width, paper.height - _points(14))
    top = _paint(paper.painter, sections.headline(job), frame)
    numbers = numbers_section(job)
    below = _document(_caption(job, 20.0) + numbers, frame.width()).size().height() * _factor()
    room = frame.bottom() - top - below - _points(10)
    picture = QRectF(0, top + _points(6), frame.width(), min(frame.height() * PICTURE_SHARE, room))
    scale = paint_wall(paper.painter, job, picture)
    height = job.document.wall.height * scale
    one_to = DPI / 25.4 / scale
    rest = frame.adjusted(0, picture.top() - frame.top() + height + _points(4), 0, 0)
    _paint(paper.painter, _caption(job, one_to) + numbers, rest)
    content = (
        typing_section(job)
        + sections.cautions()
        + sections.places(job)
        + sections.steps(job, files)
        + sections.marks(job)
        + pen_figure_section(job)
        + survey_section(job)
        + sections.passes(job)
        + sections.checks(job)
        + timetable(job)
    )
    number = 1
    _foot(paper, job, number)
    document = _document(content, frame.width(), survey_picture(job))
    pieces = _pieces(document, frame.height())
    for start, end in itertools.pairwise([*pieces, pieces[-1] + frame.height()]):
        paper.begin_page()
        number += 1
        paper.painter.save()
        paper.painter.translate(0, -start)
        _draw(paper.painter, document, QRectF(0, start, frame.width(), end - start))
        paper.painter.restore()
        _foot(paper, job, number)


def _caption(job: Job, one_to: float) -> str:
    """Returns the caption of the picture of the wall, at a scale of 1 to one_to."""
    caption = tr("Scale 1 : {0:.0f}. The blue body shows where the job starts.", one_to)
    if len(job.strokes):
        caption += " " + tr("The drawing's left and top edges are measured from this hanging's left anchor.")
    if job.document.wall.keep_outs:
        caption += " " + tr(
            "Keep-outs: width × height, and where the upper left corner is from this hanging's left anchor."
        )
    if job.drawing is not None:
        caption += " " + tr("The dotted frame is where the machine's page shows the drawing.")
    if job.neighbours:
        caption += " " + tr("Grey: drawn by other hangings. Dash-dotted: handover lines.")
    if job.seeks or job.leaves:
        caption += " " + tr("Crosses: register marks; red ones are there already.")
    if job.before is not None:
        caption += " " + tr("Pale: already drawn. Red ring: where drawing continues.")
    return f"<p>{caption}</p>"


def application_for_painting() -> QCoreApplication:
    """The application there is, else one that asks for no screen: paper needs none. Whatever platform the environment
    names, for one that cannot be reached would end the process."""
    running = QGuiApplication.instance()
    if running is not None:
        return running
    screenless = [] if sys.platform.startswith(("win", "darwin")) else ["-platform", "offscreen"]
    return QGuiApplication(["wallwright", *screenless])


def _points(points: float) -> float:
    return points * DPI / 72


def _document(html: str, width: float, crosses: QImage | None = None) -> QTextDocument:
    """crosses: the picture of a test drawing that the text names."""
    document = QTextDocument()
    if crosses is not None:
        document.addResource(QTextDocument.ResourceType.ImageResource, QUrl(PICTURE), crosses)
    document.setDefaultStyleSheet(sections.STYLE)
    document.setDefaultFont(QFont("DejaVu Sans", 9))
    document.setDocumentMargin(0)
    document.setHtml(f"<body>{html}</body>")
    # Laid out at screen points and painted larger: the layout does not depend on the device.
    document.setTextWidth(width * 72 / DPI * _screen())
    return document


def _screen() -> float:
    """Layout units per point: text documents lay out for a 96 dpi screen here."""
    return 96 / 72


def _factor() -> float:
    return DPI / 72 / _screen()


def _draw(painter: QPainter, document: QTextDocument, clip: QRectF) -> None:
    painter.save()
    painter.scale(_factor(), _factor())
    context = QAbstractTextDocumentLayout.PaintContext()
    context.clip = QRectF(
        clip.x() / _factor(), clip.y() / _factor(), clip.width() / _factor(), clip.height() / _factor()
    )
    painter.setClipRect(context.clip)
    # Not even a heading that is clipped away: whoever searches the page or has it read aloud would meet it twice.
    context.clip.setHeight(context.clip.height() - 1.0)
    document.documentLayout().draw(painter, context)
    painter.restore()


def _paint(painter: QPainter, html: str, frame: QRectF) -> float:
    """Paints text into a frame; returns where it ends."""
    document = _document(html, frame.width())
    height = document.size().height() * _factor()
    painter.save()
    painter.translate(frame.topLeft())
    _draw(painter, document, QRectF(0, 0, frame.width(), height))
    painter.restore()
    return frame.top() + height


def _pieces(document: QTextDocument, height: float) -> list[float]:
    """Where each page of a long text begins: between lines, never through one, and before the heading of a section that
    fits on one page only."""
    layout, factor = document.documentLayout(), _factor()
    total = document.size().height() * factor
    boxes, is_heading = [], []
    block = document.begin()
    while block.isValid():
        boxes.append(layout.blockBoundingRect(block))
        is_heading.append(block.blockFormat().headingLevel() > 0)
        block = block.next()
    starts, start = [0.0], 0.0
    for i, box in enumerate(boxes):
        top, bottom = box.top() * factor, box.bottom() * factor
        if is_heading[i]:
            end = next((k for k in range(i + 1, len(boxes)) if is_heading[k]), len(boxes))
            whole = max(b.bottom() for b in boxes[i:end]) * factor
            bottom = whole if whole - top <= height else bottom
        if bottom > start + height and top > start:
            start = top
            starts.append(start)
    return starts if total > height else [0.0]


def _foot(paper: Paper, job: Job, number: int) -> None:
    font, painter = QFont("DejaVu Sans", 8), paper.painter
    painter.save()
    painter.setFont(font)
    box = QRectF(0, paper.height - _points(10), paper.width, _points(10))
    named = " · ".join(name for name in (job.hanging.name, job.project) if name)
    painter.drawText(box, Qt.AlignmentFlag.AlignLeft, named)
    painter.drawText(box, Qt.AlignmentFlag.AlignRight, tr("page {0}", number))
    if job.ignored:
        font.setBold(True)
        painter.setFont(font)
        painter.drawText(box, Qt.AlignmentFlag.AlignHCenter, tr("LIMITS IGNORED"))
    painter.restore()
