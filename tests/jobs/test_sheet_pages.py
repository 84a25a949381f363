"""The pages of the hanging sheet as whoever has them read aloud meets them: pypdf reads the text."""

import io
import itertools
import re
from dataclasses import replace

import numpy as np
import pytest
from PIL import Image
from pypdf import PdfReader
from PySide6.QtCore import QPointF, QRectF
from PySide6.QtGui import QImage, QPainter

from tests.support.experienced import ExperiencedRunner
from tests.support.jobs import SQUARE, document_of, planned_job
from wallwright.document.calibration import reading_titles
from wallwright.document.edits import set_field
from wallwright.document.edits_keep_outs import add_keep_out, rectangle
from wallwright.document.language import Language, set_language, tr
from wallwright.document.wall import Wall
from wallwright.jobs.ignored_limits import IgnoredLimits
from wallwright.jobs.sheet.numbers_section import _tilt, numbers_section
from wallwright.jobs.sheet.pdf import PICTURE_DPI, hanging_sheet, sheet_pictures
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
from wallwright.jobs.sheet.wall_labels import OF_INK, WallLabels
from wallwright.planning.calibration_figure import figure_document, proposal_for
from wallwright.planning.demo import demo_document
from wallwright.planning.examples import frieze
from wallwright.planning.plan import Goal, Request
from wallwright.statics.calibration.figure_proposal import FIGURES
from wallwright.statics.limits import Limit


@pytest.fixture(scope="module")
def sheet():
    document = add_keep_out(document_of(SQUARE), "Socket", rectangle((-480.0, 1800.0), (-400.0, 1880.0)))
    document = add_keep_out(document, "Shelf", rectangle((-100.0, 1700.0), (700.0, 2150.0)))
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


def labels_of_wall() -> tuple[QImage, QPainter, WallLabels]:
    """Labels on an empty picture at 1 : 5."""
    image = QImage(800, 400, QImage.Format.Format_RGB32)
    painter = QPainter(image)
    painter.scale(0.2, 0.2)
    return image, painter, WallLabels(painter, 0.2)


def test_labels_on_the_wall_cover_neither_each_other_nor_marks(qapp):
    """Names of hangings, marks and dimensions that belong to nearly the same place."""
    _, painter, labels = labels_of_wall()
    for text in ("Hanging 1", "Hanging 2", "2600 mm", "900 mm down"):
        labels.add(text, 1000, 500)
    labels.add_mark("2A", 1000, 500, 10)
    placed = labels.placed()
    labels.paint()
    painter.end()
    name, box, leader = placed[0]
    assert name == "2A" and leader is None, "a mark's own label stays nearest"
    assert abs(box.center().x() - 1000) < 100 and abs(box.center().y() - 500) < 100
    boxes = [QRectF(990, 490, 20, 20), *(box for _, box, _ in placed)]
    assert not [1 for one, other in itertools.combinations(boxes, 2) if one.intersects(other)]
    grown = [box.adjusted(-2.0, -2.0, 2.0, 2.0) for box in boxes[1:]]
    assert not [1 for one, other in itertools.combinations(grown, 2) if one.intersects(other)], "nor do they touch"
    assert all(abs(box.center().x() - 1000) < 1500 and abs(box.center().y() - 500) < 400 for box in boxes)


def test_names_of_crowded_marks_stay_apart_and_lead_to_their_marks(qapp):
    _, painter, labels = labels_of_wall()
    marks = {f"2{chr(65 + i)}": (1000.0 + 12.0 * (i % 4), 500.0 + 12.0 * (i // 4)) for i in range(16)}
    for name, (x, y) in marks.items():
        labels.add_mark(name, x, y, 10.0)
    placed = labels.placed()
    labels.paint()
    painter.end()
    crosses = [QRectF(x - 10, y - 10, 20, 20) for x, y in marks.values()]
    boxes = [box for _, box, _ in placed]
    assert not [1 for one, other in itertools.combinations(boxes, 2) if one.intersects(other)]
    assert not [1 for box in boxes for cross in crosses if box.intersects(cross)]
    far = {name: (leader.x(), leader.y()) for name, _, leader in placed if leader is not None}
    assert far and all(marks[name] == at for name, at in far.items())


def test_no_label_stands_on_a_dimension_line_or_outside_the_wall(qapp):
    _, painter, labels = labels_of_wall()
    wall = QRectF(0, 0, 4000, 2000)
    labels.keep_within(QRectF(-400, 0, 800, 400), wall, 10.0)
    line = QPointF(1000, 40), QPointF(1000, 900)
    labels.keep_line_clear(*line, 10.0)
    labels.add_measure("900 mm down", *line)
    labels.add("Hanging 2", 1010, 200)
    labels.add("2000 mm", 2000, 5)
    placed = labels.placed()
    painter.end()
    boxes = [box for _, box, _ in placed]
    assert not any(box.intersects(QRectF(995, 40, 10, 860)) for box in boxes)
    assert all(wall.contains(box) for box in boxes)
    (down,) = (box for text, box, _ in placed if text == "900 mm down")
    assert 0 < abs(down.center().x() - 1000) < down.width(), "beside its line"


def test_the_length_of_a_dimension_line_stands_where_there_is_room_along_it(qapp):
    _, painter, labels = labels_of_wall()
    line = QPointF(1000, 100), QPointF(1000, 1900)
    labels.keep_line_clear(*line, 10.0)
    labels.keep_clear(QRectF(500, 500, 1000, 1000))
    labels.add_measure("1800 mm down", *line)
    (placed,) = labels.placed()
    painter.end()
    box = placed[1]
    assert not box.intersects(QRectF(500, 500, 1000, 1000)) and 100 < box.center().y() < 1900
    assert abs(box.center().x() - 1000) < box.width(), "still beside its line"


def test_what_a_keep_out_is_called_leads_to_it_where_something_is_in_the_way(qapp):
    _, painter, labels = labels_of_wall()
    socket, wall = QRectF(1000, 1000, 80, 80), Wall(left=0.0, top=0.0, width=4000.0, height=2000.0)
    labels.add_box("Socket", socket, wall)
    labels.keep_clear(QRectF(850, 850, 700, 400))
    (placed,) = labels.placed()
    painter.end()
    _, box, leader = placed
    assert not box.intersects(QRectF(850, 850, 700, 400))
    assert leader is not None and socket.adjusted(-1, -1, 1, 1).contains(leader)


def test_the_sheet_says_where_the_drawing_sits_from_the_left_anchor(sheet):
    """The square is 1000 mm across with its middle 1000 mm right of and 900 mm below the anchor."""
    text = " ".join(sheet[1].pages[0].extract_text().split())
    for words in ("left edge: 500 mm right", "top edge: 400 mm down", "drawing 1000 × 1000 mm"):
        assert words in text, words
    assert "edges are measured from this hanging's left anchor" in text


@pytest.mark.parametrize("floor", [1200.0, 1010.0])
def test_the_size_of_a_drawing_stands_at_its_frame_with_and_without_room_below(qapp, floor):
    _, painter, labels = labels_of_wall()
    frame = QRectF(1000, 400, 1600, 600)
    labels.keep_within(QRectF(-400, 0, 800, 400), QRectF(0, 0, 4000, floor), 10.0)
    labels.keep_outline_clear(frame, 10.0)
    labels.keep_clear(frame, OF_INK)
    labels.add_size("drawing 1600 × 600 mm", frame)
    box = labels.placed()[0][1]
    painter.end()
    near = 2 * box.height()
    assert box.bottom() < floor and frame.adjusted(-near, -near, near, near).intersects(box)
    assert not frame.contains(box) and not box.contains(frame)


def test_a_line_leads_from_a_measure_to_its_line_where_another_label_is_in_the_way(qapp):
    _, painter, labels = labels_of_wall()
    line = QPointF(1000, 500), QPointF(1000, 560)
    labels.keep_line_clear(*line, 10.0)
    labels.keep_clear(QRectF(600, 400, 800, 260))
    labels.add_measure("60 mm down", *line)
    labels.add_anchor("Hanging 1", 1010, 530, 10.0)
    (down, box, leader), (name, other, to_anchor) = labels.placed()
    painter.end()
    assert down == "60 mm down" and leader is not None and leader.x() == 1000 and 500 < leader.y() < 560
    assert name == "Hanging 1" and to_anchor == QPointF(1010, 530)
    apart = box.adjusted(-5, 0, 5, 0)
    assert not apart.intersects(other), "two texts side by side do not read as one"


def test_keep_outs_have_their_size_and_where_they_are_from_the_left_anchor(sheet):
    text = sheet[1].pages[0].extract_text().replace("\t", " ")
    for line in ("700 × 1800 mm", "1700 mm right", "300 mm down", "80 × 80 mm", "480 mm left"):
        assert line in text, line
    assert "where the upper left corner is from this hanging's left anchor" in text.replace("\n", " ")


def test_the_numbers_name_the_body_that_they_were_worked_out_for():
    document = set_field(document_of(SQUARE, width=400.0), "machine.body.mass", 1.1)
    document = set_field(document, "machine.body.left_exit", (-62.5, -4.0))
    job = planned_job(document)
    html = numbers_section(job)
    assert "<th>Left anchor, height</th>" in html and "<th>Right anchor, height</th>" in html
    assert "1.1 kg" in html and "62.5 mm left, 4 mm above and 60 mm right" in html
    (left, _) = re.findall(
        r"([\d.]+) N \([\d.]+ kg\); fixing: 4 times that, <b>(\d+) N</b></td><td>rated for: _+ N", html
    )
    assert float(left[1]) == pytest.approx(4 * float(left[0]), abs=0.8)
    assert "rated for: 90 N" in numbers_section(planned_job(set_field(document, "hangings.0.left.rating", 90.0)))


@pytest.mark.parametrize("language", ["en", "de"])
def test_the_first_page_ends_above_its_foot_whatever_stands_on_it(language):
    """With everything that takes room: limits ignored, the remaining part of a job, keep-outs, a tall wall."""
    document = add_keep_out(document_of(SQUARE), "Door", rectangle((1700.0, 300.0), (2400.0, 2100.0)))
    document = set_field(document, "wall.height", 3800.0)
    job = replace(planned_job(document), ignored=IgnoredLimits(3, int(Limit.TILT)))
    set_language(Language(language))
    try:
        page = PdfReader(io.BytesIO(hanging_sheet(job, ["belts.ngc"]))).pages[0]
        places = {}
        page.extract_text(
            visitor_text=lambda text, matrix, place, font, size: places.setdefault(
                text.strip().replace("\t", " "), place[5] * matrix[3] + matrix[5]
            )
        )
        assert places[tr("page {0}", 1)] + 10 < places[tr("Date")]
    finally:
        set_language(Language())


@pytest.fixture(scope="module")
def frieze_sheet(tmp_path_factory):
    """The wall's picture of the second of four hangings, dots (h, w, 3), and the text of the page."""
    document = set_field(frieze(), "settings.order.tries", 1)
    runner, folder = ExperiencedRunner(), tmp_path_factory.mktemp("frieze")
    (page, *_) = runner.run(Request(1, document, Goal.SHEET, 1)).pages
    files = runner.run(Request(2, document, Goal.EXPORT, 1, folder=str(folder))).files
    (pdf,) = (file for file in files if file.endswith(".pdf"))
    picture = np.asarray(Image.open(io.BytesIO(page)).convert("RGB")).astype(int)
    return picture, PdfReader(pdf).pages[0].extract_text().replace("\t", " ")


def test_a_hanging_is_shown_among_what_the_others_draw(frieze_sheet):
    """Its own ink in blue, that of the others in grey on both sides of it, with their numbers."""
    picture, text = frieze_sheet
    upper = picture[: round(0.40 * len(picture))]
    low, high = upper.min(axis=2), upper.max(axis=2)
    is_grey = (high - low < 6) & (low > 140) & (high < 230)
    is_blue = (upper[..., 2] - upper[..., 0] > 60) & (high < 220)
    grey, blue = np.flatnonzero(is_grey.sum(axis=0) > 1), np.flatnonzero(is_blue.sum(axis=0) > 1)
    assert len(blue) and (grey < blue.min()).sum() > 40 and (grey > blue.max()).sum() > 80
    for name in ("1: Reading room", "Hanging 3", "Hanging 4"):
        assert name in text
    assert "Grey: drawn by other hangings" in text


def test_every_register_mark_has_its_cross_and_its_name(frieze_sheet):
    """Those to look for in red, and those that it leaves for the next."""
    picture, text = frieze_sheet
    for letter in "ABCDEF":
        assert f"2{letter}" in text and f"3{letter}" in text
    is_red = (picture[..., 0] > 120) & (picture[..., 1] < 90) & (picture[..., 2] < 90)
    assert is_red.sum() > 6 * 20, "six crosses of 13 dots across"
