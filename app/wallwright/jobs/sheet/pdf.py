"""The hanging sheet as PDF, and its pages as pictures, with QtGui, on a screen or without one."""

from __future__ import annotations

import contextlib
import io
from collections.abc import Iterator, Sequence
from xml.sax.saxutils import escape

import pikepdf
from PySide6.QtCore import QBuffer, QByteArray, QHashSeed, QIODevice, QMarginsF
from PySide6.QtGui import QColor, QImage, QPageLayout, QPainter, QPdfWriter

from wallwright.artwork.rendering import png_of
from wallwright.document.language import tr
from wallwright.jobs.job import Job
from wallwright.jobs.sheet.pages import DPI, MARGIN_MM, application_for_painting, paint_pages, size_of_page

FIXED_DATE = "D:20000101000000Z"
"""Of every sheet (ISO 32000-1, 7.9.4)."""
METADATA = """<?xpacket begin="\ufeff" id="W5M0MpCehiHzreSzNTczkc9d"?>
<x:xmpmeta xmlns:x="adobe:ns:meta/"><rdf:RDF xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#">
<rdf:Description rdf:about="" xmlns:dc="http://purl.org/dc/elements/1.1/" xmlns:xmp="http://ns.adobe.com/xap/1.0/"
 xmp:CreatorTool="Wallwright" xmp:CreateDate="2000-01-01T00:00:00Z" xmp:ModifyDate="2000-01-01T00:00:00Z">
<dc:title><rdf:Alt><rdf:li xml:lang="x-default">{}</rdf:li></rdf:Alt></dc:title>
</rdf:Description></rdf:RDF></x:xmpmeta>
<?xpacket end="r"?>"""
"""Title and dates as XMP (ISO 16684-1), which ISO 32000-1, 14.3.2 wants beside the document's information."""


PICTURE_DPI = 110
"""Of pages as pictures: read on a screen without effort, and painted at once."""


class _PdfPaper:
    """Pages of a PDF."""

    def __init__(self, writer: QPdfWriter) -> None:
        self._writer, self.painter = writer, QPainter(writer)
        self.width, self.height = float(writer.width()), float(writer.height())

    def begin_page(self) -> None:
        self._writer.newPage()


class _PicturePaper:
    """Pages as pictures of the whole paper."""

    def __init__(self, page: str) -> None:
        margins = QMarginsF(*[MARGIN_MM] * 4)
        layout = QPageLayout(size_of_page(page), QPageLayout.Orientation.Portrait, margins, QPageLayout.Unit.Millimeter)
        self._whole, self._inner = layout.fullRectPixels(DPI), layout.paintRectPixels(DPI)
        self.width, self.height = float(self._inner.width()), float(self._inner.height())
        self.images: list[QImage] = []
        self.painter = QPainter()
        self.begin_page()

    def begin_page(self) -> None:
        self.end()
        scale = PICTURE_DPI / DPI
        image = QImage(self._whole.size() * scale, QImage.Format.Format_RGB32)
        image.fill(QColor("#ffffff"))
        # Sizes of type and lines are asked of the device: dots of DPI, which the painter shrinks.
        image.setDotsPerMeterX(round(DPI / 0.0254))
        image.setDotsPerMeterY(round(DPI / 0.0254))
        self.images.append(image)
        self.painter = QPainter(image)
        self.painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        self.painter.scale(scale, scale)
        self.painter.translate(self._inner.topLeft())

    def end(self) -> None:
        """Ends the present page."""
        if self.painter.isActive():
            self.painter.end()


def hanging_sheet(job: Job, files: Sequence[str] = (), page: str = "A4") -> bytes:
    """The PDF's bytes; the same job gives the same bytes. files: names of the files that the controller runs, in order.
    page: "A4" or "Letter"."""
    with _fixed_order():
        return _reproducible(_written(job, files, page))


def _written(job: Job, files: Sequence[str], page: str) -> bytes:
    """The PDF as Qt writes it."""
    application = application_for_painting()
    buffer = QBuffer()
    buffer.open(QIODevice.OpenModeFlag.WriteOnly)
    writer = QPdfWriter(buffer)
    writer.setPageSize(size_of_page(page))
    writer.setPageMargins(QMarginsF(*[MARGIN_MM] * 4), QPageLayout.Unit.Millimeter)
    writer.setResolution(DPI)
    title = tr("Hanging sheet: {0}", job.hanging.name)
    writer.setTitle(title)
    writer.setDocumentXmpMetadata(QByteArray(METADATA.format(escape(title)).encode()))
    writer.setCreator("Wallwright")
    paper = _PdfPaper(writer)
    paint_pages(paper, job, files)
    paper.painter.end()
    del application
    return bytes(buffer.data().data())


def sheet_pictures(job: Job, files: Sequence[str] = (), page: str = "A4") -> tuple[bytes, ...]:
    """The pages of the same sheet as PNG files of PICTURE_DPI."""
    application = application_for_painting()
    paper = _PicturePaper(page)
    paint_pages(paper, job, files)
    paper.end()
    pictures = tuple(png_of(image) for image in paper.images)
    del application
    return pictures


@contextlib.contextmanager
def _fixed_order() -> Iterator[None]:
    """Has Qt write fonts in the same order every time: it keeps them in a hash, whose order differs between processes."""
    QHashSeed.setDeterministicGlobalSeed()
    try:
        yield
    finally:
        QHashSeed.resetRandomGlobalSeed()


def _reproducible(data: bytes) -> bytes:
    """The file with fixed dates in place of the writer's clock, and an id that follows from what is in it.

    By pikepdf: it starts in half the time of pypdf, which stays the tests' independent reader.
    """
    with pikepdf.open(io.BytesIO(data)) as pdf:
        for key in ("/CreationDate", "/ModDate"):
            pdf.docinfo[key] = pikepdf.String(FIXED_DATE)
        if "/ID" in pdf.trailer:
            del pdf.trailer["/ID"]  # random, and its first half would be kept
        written = io.BytesIO()
        pdf.save(
            written,
            deterministic_id=True,
            fix_metadata_version=False,
            compress_streams=False,
            object_stream_mode=pikepdf.ObjectStreamMode.disable,
        )
    return written.getvalue()
