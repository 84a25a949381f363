"""The draw zone as it is shown, and cached pictures of the canvas: never an old one."""

import numpy as np
import pytest
import shapely
from PySide6.QtCore import QPointF, QRectF
from PySide6.QtGui import QColor, QImage, QPainter, QPalette

from tests.support.hands import on_screen
from wallwright.document import edits
from wallwright.planning.demo import demo_document
from wallwright.statics.cable_robot import CableRobotModel
from wallwright.statics.pose import inverse_kinematics
from wallwright.window.application.window_assembly import ProjectWindow
from wallwright.window.canvas.colour_map import STEPS
from wallwright.window.canvas.pixmap_cache import PixmapCache
from wallwright.window.canvas.rulers import Rulers
from wallwright.window.canvas.view import View
from wallwright.window.canvas.wall_layer import PAPER
from wallwright.window.canvas.zone_layer import OUTLINE, LiveZone, ZonePicture
from wallwright.window.model.items import MACHINE, WALL, HangingItem
from wallwright.window.model.models import Models
from wallwright.window.shell.action_ids import ActionId

SEEN = QRectF(0, 0, 500, 400)


def pixels(image: QImage) -> np.ndarray:
    image = image.convertToFormat(QImage.Format.Format_RGB32)
    return np.frombuffer(image.constBits(), np.uint8).reshape(image.height(), image.width(), 4).astype(int)


def differing(a: np.ndarray, b: np.ndarray) -> float:
    return float((np.abs(a - b).max(axis=2) > 8).mean())


def test_a_moved_picture_is_the_same_as_one_painted_again():
    """Two pictures of one view, one of them copied while panning, differ by no more than a pixel's rounding."""
    layer = LiveZone(lambda: None, None).of(demo_document(), coarse=False)

    def paint(painter: QPainter, view: View, area: QRectF) -> None:
        painter.fillRect(area, "#ffffff")
        layer.paint(painter, view)

    def picture(kept: PixmapCache, view: View) -> np.ndarray:
        image = QImage(500, 400, QImage.Format.Format_RGB32)
        painter = QPainter(image)
        kept.paint(painter, view, SEEN, (layer,), paint)
        painter.end()
        return pixels(image)

    kept, view = PixmapCache(), View(300.0, 100.0, 0.35)
    picture(kept, view)
    picture(kept, view)  # from here on a picture is kept
    for moved in (view.moved(-37, 21), view.moved(-900, -700)):
        assert differing(picture(kept, moved), picture(PixmapCache(), moved)) < 0.001


def test_rulers_are_the_same_however_they_came_about():
    def picture(rulers: Rulers, view: View) -> np.ndarray:
        image = QImage(500, 400, QImage.Format.Format_RGB32)
        image.fill("#ffffff")
        painter = QPainter(image)
        rulers.paint(painter, view, 500, 400, QPalette())
        painter.end()
        return pixels(image)

    rulers, view = Rulers(), View(300.0, 100.0, 0.5)
    for shift in (0, 0, -13, -700):  # the wall's mm are on whole pixels in all of them
        moved = view.moved(shift, 2 * shift)
        assert differing(picture(rulers, moved), picture(Rulers(), moved)) < 0.002


def test_the_machine_over_a_kept_picture_is_as_if_all_was_painted(window, qtbot):
    """The same pointer after a scene was kept, and in a canvas that has just forgotten it."""
    canvas = window.canvas
    window.models.planning.plan_now()
    qtbot.waitUntil(lambda: window.models.planning.preview is not None and canvas.ink.is_complete, timeout=30_000)
    window.models.cancel()
    for x in (700.0, 800.0, 900.0):
        canvas.show_machine((x, 900.0))
        kept = pixels(canvas.grab().toImage())
        canvas.update()
        assert differing(kept, pixels(canvas.grab().toImage())) == 0
    placement = window.models.project.document.placements[0]
    for moved in (50.0, 100.0):  # an edit is seen at once
        before = pixels(canvas.grab().toImage())
        document = edits.set_placement(window.models.project.document, placement.id, x=placement.x + moved)
        window.models.project.edit("Move", document)
        assert differing(before, pixels(canvas.grab().toImage())) > 0.002
    before = canvas.grab().toImage()
    canvas.pan(QPointF(9, 0))
    assert before != canvas.grab().toImage()


def turns(line: np.ndarray) -> np.ndarray:
    """Degrees by which a line (n, 2) turns at each of its inner points."""
    way = np.diff(line, axis=0)
    way = way[np.hypot(*way.T) > 1e-6]
    heading = np.arctan2(way[:, 1], way[:, 0])
    return np.degrees(np.abs(np.angle(np.exp(1j * np.diff(heading)))))


@pytest.mark.parametrize("coarse", [False, True])
def test_contours_have_no_steps(coarse):
    """Stairs turn by 90 degrees at every second point. Lines of equal value turn a little, but for real corners: lowest
    tension has one where the other belt becomes the slacker one."""
    zone_map = LiveZone(lambda: None, None).of(demo_document(), coarse).map_of("lowest tension")
    found = np.concatenate([turns(line) for line in zone_map.lines])
    assert len(found) > 100
    assert np.percentile(found, 90) < (15 if coarse else 8)
    assert (found > 45).sum() <= 2 * len(zone_map.lines)


def test_contours_are_where_the_layer_has_their_values():
    """Belt tension computed anew at points of the lines. They are straight from grid line to grid line, so a few points
    are off: near the anchors, where tension rises steeply, and where the other belt becomes the slacker one."""
    document = demo_document()
    zone_map = LiveZone(lambda: None, None).of(document, coarse=False).map_of("lowest tension")
    levels = np.linspace(zone_map.low, zone_map.high, STEPS + 1)[1:-1]
    rig = CableRobotModel.of(document.machine, document.hangings[0])
    points = np.concatenate([line[1:-1] for line in zone_map.lines])
    tension = inverse_kinematics(rig, points).exit_tension.min(axis=1)
    off = np.abs(tension[:, None] - levels).min(axis=1)
    assert np.median(off) < 0.02 * (levels[1] - levels[0])
    assert np.percentile(off, 90) < 0.1 * (levels[1] - levels[0])


def test_the_coarse_zone_is_within_a_cell_of_the_true_one():
    live = LiveZone(lambda: None, None)
    coarse, fine = (shapely.MultiLineString(list(live_zone(live, c).edge)) for c in (True, False))
    zone = live_zone(live, True).zone
    cell = np.hypot(zone.x[1] - zone.x[0], zone.y[1] - zone.y[0])
    assert coarse.hausdorff_distance(fine) < 1.5 * cell
    found = turns(np.concatenate([live_zone(live, True).edge[:, 0], live_zone(live, True).edge[:1, 0]]))
    assert np.median(found) < 20 and (found > 80).mean() < 0.05


def live_zone(live: LiveZone, coarse: bool) -> ZonePicture:
    live.picture = None
    return live.of(demo_document(), coarse)


def colour_at(window, x: float, y: float) -> QColor:
    window.canvas.update()
    return window.canvas.grab().toImage().pixelColor(on_screen(window, x, y))


def test_the_zone_is_an_outline_with_the_outside_shaded(window):
    inside, outside = colour_at(window, 1050, 1700), colour_at(window, 2250, 1000)
    assert inside == PAPER and outside.lightness() < PAPER.lightness() - 15
    window.canvas.show_zone("")
    assert colour_at(window, 2250, 1000) == PAPER


def test_maps_come_on_demand_and_while_anchors_or_machine_are_edited(window):
    canvas, models = window.canvas, window.models
    key = window.parts.actions[ActionId.ZONE_MAP]
    assert canvas.zone_map == ""
    key.trigger()
    assert canvas.zone_map == "lowest tension" and colour_at(window, 1050, 1700) != PAPER
    assert window.zone.currentData() == "lowest tension"
    canvas.show_zone("tilt")
    key.trigger()
    assert canvas.zone_map == "" and window.zone.currentData() == OUTLINE
    for item in (HangingItem(0), MACHINE):
        models.selection.select(item)
        assert canvas.zone_map == "tilt"  # the one chosen last
        key.trigger()
        assert canvas.zone_map == ""  # the person does not want it now
        models.selection.select(WALL)
        assert canvas.zone_map == ""
    canvas.show_zone("")
    models.selection.select(MACHINE)
    assert canvas.zone_map == ""  # no zone, no map


def test_ink_keeps_its_colour_over_a_map(qtbot, yard):
    """The same stroke with and without a map behind it."""
    canvas = yard.canvas
    qtbot.waitUntil(lambda: (canvas.repaint(), canvas.ink.is_complete)[1], timeout=10_000)

    def darkest() -> np.ndarray:
        canvas.update()
        image = pixels(canvas.grab().toImage())
        at = on_screen(yard, 811, 750)  # on an edge of the house
        around = image[at.y() - 4 : at.y() + 5, at.x() - 4 : at.x() + 5].reshape(-1, 4)
        return around[around.sum(axis=1).argmin()]

    canvas.look_at((790, 740, 820, 760))
    qtbot.waitUntil(lambda: (canvas.repaint(), canvas.ink.is_complete)[1], timeout=10_000)
    plain = darkest()
    canvas.show_zone("lowest tension")
    qtbot.waitUntil(lambda: (canvas.repaint(), canvas.ink.is_complete)[1], timeout=10_000)
    assert np.abs(darkest() - plain).max() <= 2


def test_the_zone_follows_the_first_paint_by_itself(qtbot, window):
    qtbot.waitUntil(lambda: window.canvas.zone.picture is not None)
    assert window.canvas.zone_edge is not None


def test_a_canvas_that_is_not_on_screen_is_painted_with_its_zone_at_once(qtbot):
    window = ProjectWindow(Models.of(demo_document()))
    qtbot.addWidget(window)
    assert window.canvas.zone.picture is None
    window.canvas.grab()
    assert window.canvas.zone.picture is not None
