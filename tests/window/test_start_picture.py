"""What the picture on the start page says, and where: names cover nothing and stand at what they name."""

import itertools

import numpy as np
import pytest
from PySide6.QtCore import QRectF
from PySide6.QtGui import QImage

from wallwright.document.wall import Anchor, Hanging, KeepOut, Wall
from wallwright.window.canvas.wall_layer import tag_box, tag_size
from wallwright.window.features.start import guided_start_picture
from wallwright.window.features.start.guided_start_picture import GuidedStartPicture

DOOR = KeepOut("Door", ((2200.0, 600.0), (3000.0, 600.0), (3000.0, 2400.0), (2200.0, 2400.0)))


def closed(*points: tuple[float, float]) -> np.ndarray:
    return np.array([*points, points[0]])


ZONE = closed((200, 400), (2150, 400), (2150, 2350), (200, 2350))
RESERVE = closed((300, 700), (2140, 700), (2140, 2340), (210, 2340))


@pytest.mark.parametrize("width", [3000.0, 6000.0])
def test_the_name_of_the_reserve_stands_on_its_line_and_covers_no_other(qtbot, monkeypatch, width):
    picture = GuidedStartPicture()
    qtbot.addWidget(picture)
    picture.resize(440, 360)
    names = {}

    def note(painter, centre, text):
        names[text] = tag_box(centre, tag_size(text, painter.font()))

    monkeypatch.setattr(guided_start_picture, "tag", note)
    wall = Wall(left=0.0, top=0.0, width=width, height=2400.0, keep_outs=(DOOR,))
    hanging = Hanging("Hanging 1", left=Anchor(100.0, 300.0), right=Anchor(2900.0, 300.0), start_point=(1500.0, 900.0))
    picture.show_wall(wall, hanging, (ZONE,), (RESERVE,), (400.0, 800.0, 2100.0, 2300.0), QImage())
    with qtbot.waitSignal(picture.appeared):
        picture.grab()
    (text,) = (text for text in names if text.startswith("Motor reserve"))
    assert not [1 for one, other in itertools.combinations(names.values(), 2) if one.intersects(other)]
    view = picture._view(wall)
    screen = [view.to_screen(*point) for point in RESERVE.tolist()]
    line = [QRectF(a, b).normalized().adjusted(-1, -1, 1, 1) for a, b in itertools.pairwise(screen)]
    assert any(names[text].intersects(part) for part in line), "it stands at its line"
    door = QRectF(view.to_screen(2200.0, 600.0), view.to_screen(3000.0, 2400.0))
    assert not names[text].intersects(door)
