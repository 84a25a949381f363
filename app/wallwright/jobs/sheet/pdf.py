"""Setting the hanging sheet as PDF with QtGui, on a screen or without one."""

from __future__ import annotations

import hashlib
import itertools
import re
import sys
from collections.abc import Sequence
from uuid import UUID
from xml.sax.saxutils import escape

from PySide6.QtCore import QBuffer, QByteArray, QCoreApplication, QIODevice, QMarginsF, QRectF, Qt, QUuid
from PySide6.QtGui import (
    QAbstractTextDocumentLayout,
    QFont,
    QGuiApplication,
    QPageLayout,
    QPageSize,
    QPainter,
    QPdfWriter,
    QTextDocument,
)

from wallwright.document.language import tr
from wallwright.jobs.job import Job
from wallwright.jobs.sheet import sections
from wallwright.jobs.sheet.drawing_section import typing_section
from wallwright.jobs.sheet.pen_figure_section import pen_figure_section
from wallwright.jobs.sheet.timetable_section import timetable
from wallwright.jobs.sheet.wall_drawing import paint_wall

DPI = 300
MARGIN_MM = 14.0
PICTURE_SHARE = 0.40
"""Of the first page's height, for the picture of the wall."""
FIXED_DATE = b"(D:20000101000000Z)"
"""Of every sheet (ISO 32000-1, 7.9.4)."""
DATE = re.compile(rb"(?<=Date )\(D:\d{14}(?:Z|[+-]\d\d'\d\d')\)")
TABLE_ENTRY = re.compile(rb"(\d{10})( \d{5} n)")
NO_ID = str(UUID(int=0)).encode().hex().encode()
"""The id that the writer is given, as it writes it."""
METADATA = """<?xpacket begin="\ufeff" id="W5M0MpCehiHzreSzNTczkc9d"?>
<x:xmpmeta xmlns:x="adobe:ns:meta/"><rdf:RDF xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#">
<rdf:Description rdf:about="" xmlns:dc="http://purl.org/dc/elements/1.1/" xmlns:xmp="http://ns.adobe.com/xap/1.0/"
 xmp:CreatorTool="Wallwright" xmp:CreateDate="2000-01-01T00:00:00Z" xmp:ModifyDate="2000-01-01T00:00:00Z">
<dc:title><rdf:Alt><rdf:li xml:lang="x-default">{}</rdf:li></rdf:Alt></dc:title>
</rdf:Description></rdf:RDF></x:xmpmeta>
<?xpacket end="r"?>"""
"""Title and dates as XMP (ISO 16684-1), which ISO 32000-1, 14.3.2 wants beside the document's information."""


def hanging_sheet(job: Job, files: Sequence[str] = (), page: str = "A4") -> bytes:
    """The PDF's bytes; the same job gives the same bytes. page: "A4" or "Letter"."""
    application = _application()
    buffer = QBuffer()
    buffer.open(QIODevice.OpenModeFlag.WriteOnly)
    writer = QPdfWriter(buffer)
    writer.setPageSize(QPageSize(QPageSize.PageSizeId.Letter if page == "Letter" else QPageSize.PageSizeId.A4))
    writer.setPageMargins(QMarginsF(*[MARGIN_MM] * 4), QPageLayout.Unit.Millimeter)
    writer.setResolution(DPI)
    title = tr("Hanging sheet: {0}", job.hanging.name)
    writer.setTitle(title)
    writer.setDocumentXmpMetadata(QByteArray(METADATA.format(escape(title)).encode()))
    writer.setCreator("Wallwright")
    writer.setDocumentId(QUuid())
    painter = QPainter(writer)
    frame = QRectF(0, 0, writer.width(), writer.height() - _points(14))
    top = _paint(painter, sections.headline(job), frame)
    picture = QRectF(0, top + _points(6), frame.width(), frame.height() * PICTURE_SHARE)
    scale = paint_wall(painter, job, picture)
    height = job.document.wall.height * scale
    one_to = DPI / 25.4 / scale
    rest = frame.adjusted(0, picture.top() - frame.top() + height + _points(4), 0, 0)
    caption = tr("Scale 1 : {0:.0f}. The blue body shows where the job starts.", one_to)
    if job.drawing is not None:
        caption += " " + tr("The dotted frame is where the machine's page shows the drawing.")
    if job.before is not None:
        caption += " " + tr("Pale: already drawn. Red ring: where drawing continues.")
    _paint(painter, f"<p>{caption}</p>" + sections.numbers(job), rest)
    pages = [
        typing_section(job)
        + sections.cautions()
        + sections.places(job)
        + sections.steps(job, files)
        + pen_figure_section(job)
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
    return _reproducible(bytes(buffer.data().data()))


def _application() -> QCoreApplication:
    """The application there is, else one that asks for no screen: paper needs none. Whatever platform the environment
    names, for one that cannot be reached would end the process."""
    running = QGuiApplication.instance()
    if running is not None:
        return running
    screenless = [] if sys.platform.startswith(("win", "darwin")) else ["-platform", "offscreen"]
    return QGuiApplication(["wallwright", *screenless])


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
    if job.ignored:
        font.setBold(True)
        painter.setFont(font)
        painter.drawText(box, Qt.AlignmentFlag.AlignHCenter, tr("LIMITS IGNORED"))
    painter.restore()


def _reproducible(data: bytes) -> bytes:
    """The file with fixed dates in place of the writer's clock and zone, and an id that follows from what is in it.

    How long a date is depends on the zone: the file's table of places (ISO 32000-1, 7.5.4) is written again.
    """
    dates = [found.span() for found in DATE.finditer(data)]

    def moved(place: int) -> int:
        return place + sum(len(FIXED_DATE) - (end - begin) for begin, end in dates if begin < place)

    def entry(found: re.Match[bytes]) -> bytes:
        return b"%010d" % moved(int(found[1])) + found[2]

    table = data.rindex(b"xref\n", 0, data.rindex(b"startxref"))
    end = TABLE_ENTRY.sub(entry, data[table:])
    end = re.sub(rb"(?<=startxref\n)\d+", lambda found: b"%d" % moved(int(found[0])), end)
    data = DATE.sub(FIXED_DATE, data[:table]) + end
    digest = hashlib.sha256(data).hexdigest().encode()
    return data.replace(NO_ID, (digest * 2)[: len(NO_ID)])
