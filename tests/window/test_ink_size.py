"""Of artwork with empty margins the ink's size is shown, and the page beyond it is only hinted at."""

from PySide6.QtWidgets import QLabel

from tests.window.test_zone_remedies import window_on
from wallwright.document import edits
from wallwright.document.document import Document
from wallwright.window.canvas.artwork_layer import ink_part
from wallwright.window.model.items import PlacementItem
from wallwright.window.panels.properties import PropertiesPanel

CORNER = (
    b'<svg xmlns="http://www.w3.org/2000/svg" width="400mm" height="300mm" viewBox="0 0 400 300">'
    b'<rect x="40" y="60" width="200" height="90" fill="none" stroke="#202020"/></svg>'
)
FULL = CORNER.replace(b'x="40" y="60" width="200" height="90"', b'x="1" y="1" width="398" height="298"')


def test_properties_show_how_large_the_ink_is_and_the_frame_is_that_of_the_ink(qtbot, tmp_path):
    document, _ = edits.add_artwork(Document(), "corner.svg", "image/svg+xml", CORNER, (400, 300), (800, 900), 400.0)
    document, _ = edits.add_artwork(document, "full.svg", "image/svg+xml", FULL, (400, 300), (1250, 900), 400.0)
    window = window_on(qtbot, tmp_path, document)
    models = window.models
    models.selection.select(PlacementItem("placement-1"))
    models.planning.plan_now()
    qtbot.waitUntil(lambda: models.planning.fresh_plan is not None)

    def drawn() -> str:
        found = window.findChild(PropertiesPanel).findChildren(QLabel)
        return next(label.text() for label in found if label.accessibleName() == "Drawn size")

    assert drawn() == "200 × 90 mm"
    part = ink_part(models, models.project.document.placements[0])
    assert [round(one, 2) for one in part] == [0.1, 0.2, 0.6, 0.5]
    assert ink_part(models, models.project.document.placements[1]) is None, "the page and its ink are one"
    models.project.edit("Size", edits.set_placement(models.project.document, "placement-1", width=800.0, height=600.0))
    assert drawn() == "400 × 180 mm", "before it is planned again"
    window.canvas.grab()
