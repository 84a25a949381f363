"""The pages of the hanging sheet as whoever has them read aloud meets them: pypdf reads the text."""

import io
import itertools
import re

import numpy as np
import pytest
from PIL import Image
from pypdf import PdfReader
from PySide6.QtCore import QRectF
from PySide6.QtGui import QImage, QPainter

from tests.support.jobs import SQUARE, document_of, planned_job
from wallwright.document.edits_keep_outs import add_keep_out, rectangle
from wallwright.jobs.sheet.pdf import PICTURE_DPI, hanging_sheet, sheet_pictures
from wallwright.jobs.sheet.sections import _tilt
from wallwright.jobs.sheet.wall_drawing import WallLabels


@pytest.fixture(scope="module")
def sheet():
    document = add_keep_out(document_of(SQUARE), "Socket", rectangle((-480.0, 1800.0), (-400.0, 1880.0)))
    document = add_keep_out(document, "Shelf", rectangle((-100.0, 1800.0), (700.0, 2100.0)))
    document = add_keep_out(document, "Door", rectangle((1700.0, 300.0), (2400.0, 2100.0)))
    return document, PdfReader(io.BytesIO(hanging_sheet(planned_job(document), ["belts.ngc"])))


def test_each_heading_is_met_once(sheet):
    """A heading that begins a page is not in the page before, not even where it cannot be seen."""
    text = "\n".join(page.extract_text().replace("\t", " ") for page in sheet[1].pages)
    for heading in (
        "How to hang it",
        "Take care",
        "At the wall",
        "At the machine",
        "Checks",
        "If it stops: where to continue",
    ):
        assert len(re.findall(rf"^{heading}$", text, re.MULTILINE)) == 1, heading


def test_a_name_that_does_not_fit_into_its_box_stands_beside_it(sheet):
    """Where pypdf finds the names, in points from the left edge of the page, against where the picture has the wall."""
    found = {}

    def visit(text, matrix, text_matrix, font, size):
        for name in ("Socket", "Door", "Shelf"):
            if text.strip() == name and name not in found:
                found[name] = text_matrix[4] * matrix[0] + matrix[4]

    sheet[1].pages[0].extract_text(visitor_text=visit)
    assert set(found) == {"Socket", "Door", "Shelf"}
    assert found["Socket"] < found["Shelf"] < found["Door"]
    wall = sheet[0].wall
    middle = (300.0 - wall.left) / wall.width, (2050.0 - wall.left) / wall.width
    scale = (found["Door"] - found["Shelf"]) / (middle[1] - middle[0])  # points over the wall's width, about
    socket_right = found["Shelf"] - scale * (middle[0] - (-400.0 - wall.left) / wall.width)
    assert found["Socket"] > socket_right


@pytest.mark.parametrize(
    ("degrees", "text"),
    [(0.0, "upright"), (-0.04, "upright"), (1.25, "1.2° clockwise"), (-0.3, "0.3° anticlockwise")],
)
def test_the_tilt_is_said_in_words(degrees, text):
    assert _tilt(degrees) == text


def test_pictures_of_the_pages_show_what_is_on_each(sheet):
    """As many pages as the PDF has, as large (Pillow measures them), each with ink where the PDF has text and with empty
    margins."""
    document, pdf = sheet
    pictures = [Image.open(io.BytesIO(data)) for data in sheet_pictures(planned_job(document), ["belts.ngc"])]
    assert len(pictures) == len(pdf.pages)
    dark = []
    for picture, page in zip(pictures, pdf.pages, strict=True):
        across, down = (float(side) / 72 * PICTURE_DPI for side in (page.mediabox.width, page.mediabox.height))
        assert picture.size == pytest.approx((across, down), abs=1.5)
        is_ink = np.asarray(picture.convert("L")) < 160
        margin = round(12 / 25.4 * PICTURE_DPI)
        assert not is_ink[:margin].any() and not is_ink[-margin:].any()
        assert not is_ink[:, :margin].any() and not is_ink[:, -margin:].any()
        dark.append((is_ink.sum(), len(page.extract_text())))
    assert all(ink > 2.0 * letters for ink, letters in dark), "letters of 8 points have more dark pixels than that"


def test_labels_on_the_wall_cover_neither_each_other_nor_marks(qapp):
    """Names of hangings, marks and dimensions that belong to nearly the same place."""
    image = QImage(800, 400, QImage.Format.Format_RGB32)
    painter = QPainter(image)
    painter.scale(0.2, 0.2)
    labels = WallLabels(painter, 0.2)
    cross = QRectF(990, 490, 20, 20)
    labels.keep_clear(cross)
    for text in ("Hanging 1", "Hanging 2", "2600 mm", "900 mm down"):
        labels.add(text, 1000, 500)
    labels.add("2A", 1020, 480, is_first=True)
    placed = labels.placed()
    labels.paint()
    painter.end()
    assert placed[0][0] == "2A", "a mark's own label stays nearest"
    boxes = [cross, *(box for _, box in placed)]
    assert not [1 for one, other in itertools.combinations(boxes, 2) if one.intersects(other)]
    assert all(abs(box.center().x() - 1000) < 1500 and abs(box.center().y() - 500) < 400 for box in boxes)
