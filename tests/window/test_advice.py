"""The dialog for better anchors."""

import dataclasses
import functools

import numpy as np
import pytest
from PySide6.QtCore import QEvent, QPoint, QRect, QRectF, QSize, Qt
from PySide6.QtGui import QHelpEvent
from PySide6.QtWidgets import QApplication, QToolTip

from tests.support.walls import hung_banner
from wallwright.document import edits
from wallwright.document.errors import BadValue
from wallwright.planning.demo import demo_document
from wallwright.window.features.anchor_advice.dialog import AnchorAdviceDialog
from wallwright.window.features.anchor_advice.trade_off_plot import ROWS, STAR, _star_place
from wallwright.window.model.models import Models
from wallwright.window.model.remedies import advice_for, margin_now, with_anchors

searched = functools.cache(advice_for)
"""The search of a document takes seconds, and finds the same each time."""


def percent(share: float) -> str:
    """As a person reads it."""
    return f"{100 * share:.0f}\u00a0%"


@pytest.fixture
def dialog(qtbot, monkeypatch):
    monkeypatch.setattr("wallwright.window.features.anchor_advice.dialog.advice_for", searched)
    models = Models.of(demo_document())
    dialog = AnchorAdviceDialog(models)
    qtbot.addWidget(dialog)
    dialog.show()
    qtbot.waitUntil(dialog.apply.isEnabled, timeout=30_000)
    yield dialog
    models.close()


def test_the_best_pair_is_applied_with_one_click(qtbot, dialog):
    before = dialog._models.project.document
    best = max(dialog._search.advice.evaluated[:, 3])
    assert f"{percent(best)}" in dialog._message.text()
    qtbot.mouseClick(dialog.apply, Qt.MouseButton.LeftButton)
    after = dialog._models.project.document
    wanted = dialog._search.advice.right[0] - dialog._search.advice.left[0]
    assert after.hangings[0].distance == pytest.approx(wanted, abs=1.5)
    dialog._models.project.undo()
    assert dialog._models.project.document == before


def test_what_is_gained_is_reported(dialog):
    """The present pair's margin is that of the search's own measure, taken for the hanging as it is."""
    document, advice = dialog._models.project.document, dialog._search.advice
    now, best = margin_now(document), float(advice.evaluated[:, 3].max())
    assert 0 < now < best
    assert (
        f"reserve {percent(best)}" in dialog._message.text()
        and f"With the present anchors it is {percent(now)}" in dialog._message.text()
    )
    assert margin_now(with_anchors(document, advice.left, advice.right)) == pytest.approx(best, abs=0.01)
    assert margin_now(edits.set_placement(document, "placement-1", x=1500.0)) <= 0


def test_pointing_at_a_cell_tells_its_numbers(qtbot, dialog, monkeypatch):
    received = []
    monkeypatch.setattr(QToolTip, "showText", lambda at, text, widget: received.append(text))
    trade_off = dialog.trade_off
    for row, column in (trade_off._best_cell, (ROWS - 1, 0)):
        at = trade_off._cell_box(trade_off._plot(), row, column).center().toPoint()
        QApplication.sendEvent(trade_off, QHelpEvent(QEvent.Type.ToolTip, at, trade_off.mapToGlobal(at)))
    tried = dialog._search.advice.evaluated
    best = tried[tried[:, 3].argmax()]
    assert received[0].startswith(f"{best[2]:.0f} mm apart, ") and f"reserve {percent(best[3])}" in received[0]
    assert "outside the draw zone" in received[1]


def test_present_and_best_pair_are_marked_on_map_and_wall(qtbot, dialog):
    """Where a mark is, the picture is not the same without it."""
    trade_off, hanging = dialog.trade_off, dialog._models.project.document.hangings[0]
    now = trade_off._place_of(trade_off._plot(), *trade_off._now)
    assert trade_off._now[0] == pytest.approx(hanging.distance)
    with_ring = trade_off.grab().toImage()
    trade_off._now = (0.0, 0.0)
    around = QRect(now.toPoint() - QPoint(8, 8), QSize(16, 16))
    assert with_ring.copy(around) != trade_off.grab().toImage().copy(around)
    wall = dialog._wall.grab().toImage()
    dialog._wall._now = None
    assert wall != dialog._wall.grab().toImage()


def test_the_cell_of_the_present_pair_is_no_worse_than_that_pair(qtbot, monkeypatch):
    """Between the places that the search tried, the ring once lay in a hatched cell although the pair keeps all limits.
    The star stays within its cell."""
    document = demo_document()
    found = searched(document, 0)
    hanging = document.hangings[0]
    near = np.hypot(*(found.evaluated[:, [2, 1]] - (hanging.distance, hanging.left.y)).T) < 400
    worse = found.evaluated.copy()
    worse[near, 3] = -0.1
    monkeypatch.setattr(
        "wallwright.window.features.anchor_advice.dialog.advice_for",
        lambda *_: dataclasses.replace(found, evaluated=worse),
    )
    dialog = AnchorAdviceDialog(Models.of(document))
    qtbot.addWidget(dialog)
    dialog.show()
    qtbot.waitUntil(lambda: dialog._advice is not None, timeout=30_000)
    plot, now = dialog.trade_off, margin_now(document)
    cell = plot._at(plot._place_of(plot._plot(), *plot._now))
    k = int(plot._best[cell])
    assert now > 0 and dialog._advice.evaluated[k, 3] == pytest.approx(now)
    plot._choose(*cell)
    assert dialog._pair == ((hanging.left.x, hanging.left.y), (hanging.right.x, hanging.right.y))
    box = plot._cell_box(plot._plot(), *plot._best_cell)
    star = _star_place(box)
    assert box.contains(QRectF(star.x() - STAR, star.y() - STAR, 2 * STAR, 2 * STAR))


def test_another_pair_is_chosen_by_keys(qtbot, dialog):
    sentence = dialog._message.text()
    qtbot.keyClick(dialog.trade_off, Qt.Key.Key_Left)
    assert dialog._message.text() != sentence
    dialog.reject()
    assert dialog._models.project.document == demo_document()


def test_one_of_several_hangings_is_put_where_its_share_has_most_to_spare(qtbot):
    document = hung_banner(spacing=90.0)
    models = Models.of(document)
    models.selection.set_current_hanging(2)
    dialog = AnchorAdviceDialog(models)
    qtbot.addWidget(dialog)
    dialog.show()
    qtbot.waitUntil(dialog.apply.isEnabled, timeout=30_000)
    name = document.hangings[2].name
    assert name in dialog.windowTitle() and f"for what {name} draws" in dialog._message.text()
    dialog.apply.click()
    after = models.project.document
    assert margin_now(after, 2) > margin_now(document, 2) + 0.01
    assert [h for h in after.hangings if h.name != name] == [h for h in document.hangings if h.name != name]
    models.close()


def test_a_hanging_with_nothing_to_draw_is_reported():
    document = hung_banner(spacing=90.0)
    document = edits.set_placement(document, document.placements[0].id, x=400.0, width=300.0)
    with pytest.raises(BadValue, match="no artwork to draw"):
        advice_for(document, 4)
