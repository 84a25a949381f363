"""Setting the hanging sheet as PDF with QtGui, on a screen or without one."""

from __future__ import annotations

import itertools
import re

from PySide6.QtCore import QBuffer, QIODevice, QMarginsF, QRectF, Qt
from PySide6.QtGui import (
    QAbstractTextDocumentLayout,
    QFont,
    QGuiApplication,
    QPageLayout,
    QPageSize,
    QPainter,
    QPdfWriter,
    QTextDocument,
)  # fmt: skip

from wallwright.artwork.glyphs.fonts import screenless_application
from wallwright.document.language import tr
from wallwright.jobs.job import Job
from wallwright.jobs.sheet import sections
from wallwright.jobs.sheet.timetable_section import timetable
from wallwright.jobs.sheet.wall_drawing import paint_wall

DPI = 300
MARGIN_MM = 14.0
PICTURE_SHARE = 0.40
"""Of the first page's height, for the picture of the wall."""
FIXED_DATE = b"(D:20000101000000Z)"


def hanging_sheet(job: Job, page: str = "A4") -> bytes:
    """The PDF's bytes; the same job gives the same bytes. page: "A4" or "Letter"."""
    application = _application()
    buffer = QBuffer()
    buffer.open(QIODevice.OpenModeFlag.WriteOnly)
    writer = QPdfWriter(buffer)
    writer.setPageSize(
        QPageSize(QPageSize.PageSizeId.Letter if page == "Letter" else QPageSize.PageSizeId.A4)
    )
    writer.setPageMargins(QMarginsF(*[MARGIN_MM] * 4), QPageLayout.Unit.Millimeter)
    writer.setResolution(DPI)
    writer.setTitle(tr("Hanging sheet: {0}", job.hanging.name))
    writer.setCreator("Wallwright")
    painter = QPainter(writer)
    frame = QRectF(0, 0, writer.width(), writer.height() - _points(14))
    top = _paint(painter, sections.headline(job), frame)
    picture = QRectF(0, top + _points(6), frame.width(), frame.height() * PICTURE_SHARE)
    scale = paint_wall(painter, job, picture)
    height = job.document.wall.height * scale
    one_to = DPI / 25.4 / scale
    rest = frame.adjusted(0, picture.top() - frame.top() + height + _points(4), 0, 0)
    caption = tr("Picture at 1 : {0:.0f}. The blue body hangs where the job starts.", one_to)
    if job.before is not None:
        caption += " " + tr("What is drawn already is pale; the red ring is where it goes on.")
    _paint(painter, f"<p>{caption}</p>" + sections.numbers(job), rest)
    pages = [
        sections.cautions()
        + sections.places(job)
        + sections.steps(job)
        + sections.passes(job)
        + sections.checks(job)
        + timetable(job)
    ]
    number = 1
    _foot(painter, writer, job, number)
    for content in pages:
        document = _document(content, frame.width())
        pieces = _pieces(document, frame.height())
        for start, end in itertools.pairwise([*pieces, pieces[-1] + frame.height()]):
            writer.newPage()
            number += 1
            painter.save()
            painter.translate(0, -start)
            _draw(painter, document, QRectF(0, start, frame.width(), end - start))
            painter.restore()
            _foot(painter, writer, job, number)
    painter.end()
    del application
    return _undated(bytes(buffer.data().data()))


def _application() -> QGuiApplication:
    if isinstance(running := QGuiApplication.instance(), QGuiApplication):
        return running
    return screenless_application()


def _points(points: float) -> float:
    return points * DPI / 72


def _document(html: str, width: float) -> QTextDocument:
    document = QTextDocument()
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
    is whole on a page of its own only."""
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


def _foot(painter: QPainter, writer: QPdfWriter, job: Job, number: int) -> None:
    font = QFont("DejaVu Sans", 8)
    painter.save()
    painter.setFont(font)
    box = QRectF(0, writer.height() - _points(10), writer.width(), _points(10))
    named = " · ".join(name for name in (job.hanging.name, job.project) if name)
    painter.drawText(box, Qt.AlignmentFlag.AlignLeft, named)
    painter.drawText(box, Qt.AlignmentFlag.AlignRight, tr("page {0}", number))
    painter.restore()


def _undated(data: bytes) -> bytes:
    """The writer stamps date and random ids; both are replaced by fixed ones. Dates of some time zones are longer, so that
    what stands behind them moves: the table of places is written again (ISO 32000-1, 7.5.4 and 7.9.4)."""
    pieces, moved, place = [], [], 0
    for found in re.finditer(rb"\(D:\d{14}[-+Z0-9']*\)", data):
        pieces += [data[place : found.start()], FIXED_DATE]
        moved.append((found.end(), len(FIXED_DATE) - len(found[0])))
        place = found.end()
    data = _moved(data, b"".join([*pieces, data[place:]]), moved)
    data = re.sub(
        rb"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d[-+:0-9Z.]*",
        lambda m: b"2000-01-01T00:00:00Z".ljust(len(m[0]))[: len(m[0])],
        data,
    )
    data = re.sub(rb"<[0-9a-f]{64,}>", lambda m: b"<" + b"0" * (len(m[0]) - 2) + b">", data)
    return re.sub(rb"[0-9a-f]{8}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{12}",
                  b"00000000-0000-4000-8000-000000000000", data)  # fmt: skip


def _moved(old: bytes, new: bytes, moved: list[tuple[int, int]]) -> bytes:
    """New bytes with the table of places of the old ones brought up to date. moved: (place in old, bytes by which what
    stands there or later moves)."""

    def at(place: int) -> int:
        return place + sum(by for start, by in moved if start <= place)

    end = re.search(rb"startxref\s+(\d+)\s+%%EOF\s*$", old)
    assert end is not None, "a PDF ends with the place of its table"
    table = int(end[1])
    head, tail = new[: at(table)], new[at(table) :]
    tail = re.sub(rb"(\d{10})( \d{5} n)", lambda m: b"%010d%s" % (at(int(m[1])), m[2]), tail)
    return head + re.sub(rb"(startxref\s+)\d+", lambda m: m[1] + b"%d" % at(table), tail)
