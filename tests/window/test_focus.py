"""Where the keys are is seen in light and dark (WCAG 2.2, 2.4.7 and 2.4.13)."""

import pytest
from PySide6.QtGui import QColor, QPalette
from PySide6.QtWidgets import QApplication

from tests.support.widgets import contrast, dark_palette, faint, luminance, unmarked
from wallwright.document import edits
from wallwright.window.model.items import MACHINE, WALL, HangingItem, KeepOutItem, PenItem, PlacementItem
from wallwright.window.widgets.choices import RIM, swatch, swatch_html


@pytest.fixture(params=["light", "dark"])
def scheme(request):
    before = QApplication.palette()
    if request.param == "dark":
        QApplication.setPalette(dark_palette())
    yield request.param
    QApplication.setPalette(before)


@pytest.mark.parametrize("scheme", ["dark"], indirect=True)  # in light: test_accessibility
def test_every_control_shows_in_the_dark_that_it_has_the_keys(qtbot, scheme, window):
    window.activateWindow()
    window.models.planning.plan_now()
    qtbot.waitUntil(lambda: not window.models.planning.plan_is_stale, timeout=60_000)
    qtbot.waitActive(window)
    assert unmarked(window) == []


def test_no_text_is_faint(qtbot, scheme, window):
    """Of every page, with a fresh plan and after an edit."""
    models = window.models
    models.planning.plan_now()
    qtbot.waitUntil(lambda: not models.planning.plan_is_stale, timeout=60_000)
    found = []
    for selection in (
        WALL,
        MACHINE,
        HangingItem(0),
        KeepOutItem(1),
        PenItem("black"),
        PlacementItem("placement-1"),
    ):
        models.selection.select(selection)
        found += faint(window)
    models.project.edit("Move", edits.set_placement(models.project.document, "placement-1", x=1500.0))
    found += faint(window)
    models.cancel()
    window.parts.start.show()
    assert found + faint(window) == []


def test_patches_of_colour_have_a_rim_that_is_seen(scheme):
    """Black on dark and white on light ground are told from the ground by a rim (WCAG 2.2, 1.4.11: 3 : 1)."""
    ground = QApplication.palette().color(QPalette.ColorGroup.Active, QPalette.ColorRole.Window)
    assert contrast(RIM, ground) >= 3
    for colour in ("#202020", "#ffffff"):
        image = swatch(colour).pixmap(16, 16).toImage()
        assert QColor(image.pixel(0, 8)) == RIM
        assert QColor(image.pixel(image.width() // 2, image.height() // 2)) == QColor(colour)
        assert swatch_html(colour).startswith("<img ")


def test_the_ring_is_seen_on_every_ground(scheme):
    """Its two colours contrast by 3 : 1 at least, so that one of them stands out anywhere (technique C40)."""
    palette, active = QApplication.palette(), QPalette.ColorGroup.Active
    pair = [palette.color(active, role) for role in (QPalette.ColorRole.Highlight, QPalette.ColorRole.Base)]
    assert contrast(*pair) >= 3
    assert luminance(QColor("#ffffff")) == pytest.approx(1) and luminance(QColor("#000000")) == 0
