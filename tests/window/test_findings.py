"""What reading found is listed with the artwork, and shows its place on the wall."""

import pytest
from PySide6.QtCore import Qt

from wallwright.artwork.artwork_reader import read_artwork
from wallwright.artwork.drawing import Finding, Severity
from wallwright.document import edits
from wallwright.document.document import Document
from wallwright.window.application.window_assembly import ProjectWindow
from wallwright.window.model.items import PlacementItem
from wallwright.window.model.models import Models
from wallwright.window.panels.findings_list import FindingsList

DOUBTFUL = b"""<svg xmlns="http://www.w3.org/2000/svg" width="200mm" height="100mm" viewBox="0 0 200 100">
<rect id="plain" width="40" height="40"/>
<rect id="blurred" x="120" y="60" width="40" height="20" style="filter:blur(3px)" fill="#c02020"/></svg>"""


def test_a_finding_knows_the_box_of_its_element():
    drawing = read_artwork(DOUBTFUL, "image/svg+xml", "doubtful.svg", 0.1)
    finding = next(f for f in drawing.findings if f.element == "blurred")
    assert finding.severity is Severity.WARNING
    assert finding.place == pytest.approx((120, 60, 160, 80))


def test_choosing_a_finding_frames_its_place(qtbot):
    document, placed = edits.add_artwork(
        Document(), "doubtful.svg", "image/svg+xml", DOUBTFUL, (200, 100), (1000.0, 700.0), 400.0
    )
    window = ProjectWindow(Models.of(document))
    qtbot.addWidget(window, before_close_func=lambda w: setattr(w.models.project, "saved", w.models.project.document))
    window.show()
    qtbot.waitExposed(window)
    window.models.selection.select(PlacementItem(placed.id))
    window.models.planning.plan_now()
    qtbot.waitUntil(lambda: window.findChild(FindingsList) is not None, timeout=60_000)
    listed = window.findChild(FindingsList)
    before = window.canvas.view
    at = listed.visualItemRect(listed.item(0)).center()
    qtbot.mouseClick(listed.viewport(), Qt.MouseButton.LeftButton, pos=at)
    # Twice natural size, its centre at 1000, 700: 120..160 across becomes 1040..1120, 60..80 down 720..760.
    assert window.canvas.pointed.box == pytest.approx((1040, 720, 1120, 760))
    assert window.canvas.view != before


def test_findings_that_say_the_same_are_one_line_which_shows_their_places_in_turn(qtbot):
    found = [Finding(Severity.NOTE, f"path{i}", "its gradient is drawn in steps", (i, 0, i + 1, 1)) for i in range(30)]
    listed = FindingsList([*found, Finding(Severity.ERROR, "text1", "it has no font")])
    qtbot.addWidget(listed)
    assert [listed.item(i).text() for i in range(listed.count())] == [
        "text1: it has no font",
        "path0 and 29 more: its gradient is drawn in steps",
    ]
    asked = []
    listed.asked.connect(asked.append)
    for _ in range(2):
        listed.itemActivated.emit(listed.item(1))
    assert asked == found[:2]
