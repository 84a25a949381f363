"""Where the keys are is seen in light and dark (WCAG 2.2, 2.4.7 and 2.4.13)."""

import pytest
from PySide6.QtGui import QColor, QPalette
from PySide6.QtWidgets import QApplication

from tests.support.widgets import contrast, dark_palette, luminance, unmarked


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
    window.session.plan_now()
    qtbot.waitUntil(lambda: not window.session.plan_is_stale, timeout=60_000)
    qtbot.waitActive(window)
    assert unmarked(window) == []


def test_the_ring_is_seen_on_every_ground(scheme):
    """Its two colours contrast by 3 : 1 at least, so that one of them stands out anywhere (technique C40)."""
    palette, active = QApplication.palette(), QPalette.ColorGroup.Active
    pair = [palette.color(active, role) for role in (QPalette.ColorRole.Highlight, QPalette.ColorRole.Base)]
    assert contrast(*pair) >= 3
    assert luminance(QColor("#ffffff")) == pytest.approx(1) and luminance(QColor("#000000")) == 0
