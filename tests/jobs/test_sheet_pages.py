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
from wallwright.document.calibration import reading_titles
from wallwright.document.edits import set_field
from wallwright.document.edits_keep_outs import add_keep_out, rectangle
from wallwright.jobs.sheet.pdf import PICTURE_DPI, hanging_sheet, sheet_pictures
from wallwright.jobs.sheet.sections import _tilt
from wallwright.jobs.sheet.survey_section import (
    ARM,
    BORDER,
    FINER,
    HEIGHT,
    WIDTH,
    survey_picture,
    survey_section,
)
from wallwright.jobs.sheet.timetable_section import timetable
from wallwright.jobs.sheet.wall_drawing import WallLabels
from wallwright.planning.calibration_figure import figure_document, proposal_for
from wallwright.planning.demo import demo_document
from wallwright.statics.calibration.figure_proposal import FIGURES


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


@pytest.mark.parametrize(("speed", "unit", "form"), [(40.0, "h:min:s", r"\d+:\d\d:\d\d"), (1.0, "h:min", r"\d+:\d\d")])
def test_times_where_to_continue_have_one_form_which_the_note_names(speed, unit, form):
    document = document_of(SQUARE)
    job = planned_job(set_field(document, "pens.0.speed", speed))
    html = timetable(job)
    times = re.findall(r"<td>(\d+:[\d:]+)</td>", html)
    assert len(times) > 1 and all(re.fullmatch(form, time) for time in times)
    assert f"in {unit} since each pen began" in html


@pytest.mark.parametrize("figure", FIGURES)
def test_the_sheet_of_a_test_drawing_lists_what_to_measure_beside_a_picture_of_the_crosses(figure):
    """Whoever stands on the ladder has nothing but the sheet."""
    document = demo_document()
    proposal = proposal_for(document, 0, figure)
    job = planned_job(figure_document(document, 0, proposal))
    pages = PdfReader(io.BytesIO(hanging_sheet(job, ["belts.ngc"]))).pages
    (page,) = (page for page in pages if "What to measure" in page.extract_text().replace("\t", " "))
    lines = page.extract_text().replace("\t", " ").replace("\xa0", " ")
    for title, measure in zip(reading_titles(proposal.measures), proposal.measures, strict=True):
        about = f"{round(measure.value)}".replace("-", "\N{MINUS SIGN}")
        row = rf"^{re.escape(title)}\s+(Tape|Plumb line|Spirit level)\s+{about}\s+_{{5,}}"
        assert len(re.findall(row, lines, re.MULTILINE)) == 1, title
    assert len(page.images) == 1
    assert survey_section(planned_job(document_of(SQUARE))) == ""


def test_the_picture_of_a_test_drawing_shows_each_cross_where_it_is_among_the_others():
    document = demo_document()
    proposal = proposal_for(document, 0, "grid")
    picture = survey_picture(planned_job(figure_document(document, 0, proposal)))
    points = np.array([(m.x, m.y) for m in proposal.marks])
    scale = (HEIGHT - 2 * BORDER) / np.ptp(points[:, 1])
    places = np.array([WIDTH, HEIGHT]) / 2 + (points - (points.min(axis=0) + points.max(axis=0)) / 2) * scale
    for x, y in places * FINER:
        assert picture.pixelColor(round(x), round(y)).lightness() < 60
        assert picture.pixelColor(round(x - 2 * ARM * FINER), round(y + 2 * ARM * FINER)).lightness() > 240


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
