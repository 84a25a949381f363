"""What is measured of a test drawing, with room to write it down at the wall, and a picture of its crosses."""

from __future__ import annotations

from html import escape

import numpy as np
from PySide6.QtCore import QLineF, QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QFont, QFontMetricsF, QImage, QPainter, QPen

from wallwright.document.calibration import Survey, reading_titles
from wallwright.document.language import format_number, tr
from wallwright.jobs.job import Job
from wallwright.statics.calibration.measurement_model import Readings

PICTURE = "crosses"
"""Name of the picture in the section."""
FINER = 4
"""Dots of the picture for a unit of the layout."""
WIDTH, HEIGHT = 520, 250
"""Of the picture, units of the layout, of which 96 are an inch."""
BORDER = 40.0
"""The same: room for letters and for the way to the anchors."""
ARM = 7.0
"""The same: half a cross."""
BLANK = "__________"


def survey_of(job: Job) -> Survey | None:
    """The test drawing that a job draws; None for any other job."""
    survey = job.hanging.survey
    return survey if job.document.purpose == "test-drawing" and survey.marks else None


def survey_section(job: Job) -> str:
    """Of a job that draws a test drawing; "" of any other."""
    survey = survey_of(job)
    if survey is None:
        return ""
    kinds = {"distance": tr("Tape"), "across": tr("Plumb line"), "down": tr("Spirit level")}
    heads = "".join(
        f"<th>{escape(head)}</th>" for head in (tr("Measure"), tr("with"), tr("expected, mm"), tr("reading, mm"))
    )
    rows = "".join(
        f"<tr><td><b>{escape(title).replace(' ', '&nbsp;')}</b></td><td>{escape(kinds[measure.kind])}</td>"
        f"<td class='n'>{format_number(about, '.0f')}</td><td>{BLANK}</td></tr>"
        for title, measure, about in zip(
            reading_titles(survey.measures), survey.measures, _expected(job, survey), strict=True
        )
    )
    todo = (
        tr("Measure from centre to centre of crosses or anchors. The first readings help most. Take at least three."),
        tr("“Right of”: from a plumb line that hangs from the other point. “Below”: with a spirit level."),
        tr("Read to half a millimetre. Leave the anchors as they are until the result is applied."),
    )
    items = "".join(f"<li>{escape(item)}</li>" for item in todo)
    note = tr("Then enter the readings in Wallwright under “Job › Calibrate”.")
    return (
        f"<h2>{tr('What to measure')}</h2><ul>{items}</ul>"
        f"<p><img src='{PICTURE}' width='{WIDTH}' height='{HEIGHT}'></p>"
        f"<table><tr>{heads}</tr>{rows}</table><p>{note}</p>"
    )


def _expected(job: Job, survey: Survey) -> list[float]:
    """mm, of each reading, should all be as planned."""
    points = [(m.x, m.y) for m in survey.marks]
    points += [(anchor.x, anchor.y) for anchor in (job.hanging.left, job.hanging.right)]
    return [float(value) for value in Readings.of(survey.marks, survey.measures).predicted(np.array(points))]


def survey_picture(job: Job) -> QImage | None:
    """The crosses with their letters, as large as fits, and where the anchors are; None of other jobs."""
    survey = survey_of(job)
    if survey is None:
        return None
    picture = QImage(WIDTH * FINER, HEIGHT * FINER, QImage.Format.Format_RGB32)
    picture.fill(Qt.GlobalColor.white)
    painter = QPainter(picture)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.scale(FINER, FINER)
    font = QFont("DejaVu Sans")
    font.setPixelSize(13)
    painter.setFont(font)
    points = np.array([(m.x, m.y) for m in survey.marks])
    low, high = points.min(axis=0), points.max(axis=0)
    room = np.array([WIDTH, HEIGHT]) - 2 * BORDER
    scale = float((room / np.maximum(high - low, 1.0)).min())
    middle = (low + high) / 2

    def at(x: float, y: float) -> QPointF:
        return QPointF(WIDTH / 2 + (x - middle[0]) * scale, HEIGHT / 2 + (y - middle[1]) * scale)

    painter.setPen(QPen(QColor("#999999"), 0.8))
    painter.drawRect(QRectF(0.5, 0.5, WIDTH - 1, HEIGHT - 1))
    for mark in survey.marks:
        place = at(mark.x, mark.y)
        x, y = place.toTuple()
        painter.setPen(QPen(QColor("#111111"), 1.4))
        painter.drawLine(QLineF(x - ARM, y, x + ARM, y))
        painter.drawLine(QLineF(x, y - ARM, x, y + ARM))
        painter.drawText(place + QPointF(ARM + 1, -ARM / 2), mark.name)
    _paint_anchors(
        painter,
        [
            (tr("left anchor"), at(job.hanging.left.x, job.hanging.left.y)),
            (tr("right anchor"), at(job.hanging.right.x, job.hanging.right.y)),
        ],
    )
    painter.end()
    return picture


def _paint_anchors(painter: QPainter, anchors: list[tuple[str, QPointF]]) -> None:
    """A dot for each anchor in the picture; of another one, an arrow at the edge that points at it. With its name."""
    inside = QRectF(0, 0, WIDTH, HEIGHT).adjusted(12, 12, -12, -12)
    middle, metrics = QPointF(WIDTH / 2, HEIGHT / 2), QFontMetricsF(painter.font())
    for name, place in anchors:
        painter.setPen(QPen(QColor("#1f4e8c"), 1.4))
        painter.setBrush(QColor("#1f4e8c"))
        end = place
        if inside.contains(place):
            painter.drawEllipse(place, 3.5, 3.5)
        else:
            way = place - middle
            share = min(
                (inside.width() / 2 / abs(way.x())) if way.x() else np.inf,
                (inside.height() / 2 / abs(way.y())) if way.y() else np.inf,
            )
            end = middle + way * share
            line = QLineF(end, middle)
            line.setLength(16)
            painter.drawLine(line)
            for turn in (25, -25):
                head = QLineF(line)
                head.setAngle(line.angle() + turn)
                head.setLength(7)
                painter.drawLine(head)
        wide = metrics.horizontalAdvance(name)
        x = end.x() - wide - 8 if end.x() < WIDTH / 2 else end.x() + 8  # away from the crosses
        kept = min(max(x, 6.0), WIDTH - wide - 6)
        y = end.y() + 5 if kept == x else end.y() - 8
        painter.drawText(QPointF(kept, min(max(y, 16.0), HEIGHT - 6.0)), name)
