"""The look: what colours are for, how far they stand out, and that it follows light, dark and the system's text size.

Bounds: WCAG 2.2, 1.4.3 (text 4.5 : 1) and 1.4.11 (marks and edges of controls 3 : 1).
"""

import re

import pytest
from PySide6.QtCore import QRect, Qt
from PySide6.QtGui import QColor, QFontMetrics, QPalette
from PySide6.QtWidgets import QApplication, QComboBox, QLabel, QPushButton, QVBoxLayout, QWidget

from tests.support.widgets import contrast, luminance
from wallwright.document.resources import resource
from wallwright.window.canvas.limit_styles import COLOURS
from wallwright.window.model.settings import chosen_colours, settings
from wallwright.window.shell.colour_scheme import apply_chosen_colours, use_colours
from wallwright.window.widgets.command_button import CommandButton
from wallwright.window.widgets.icons import DRAWN, icon
from wallwright.window.widgets.theme import (
    OnWall,
    Role,
    StyledLabel,
    TextSize,
    apply_theme,
    is_dark,
    palette_of,
    style_sheet,
)

GROUNDS = (Role.WINDOW, Role.SURFACE, Role.RAISED, Role.SELECTED)
TEXTS = (Role.TEXT, Role.QUIET)
MARKS = (Role.EDGE, Role.ACCENT, Role.OK, Role.NOTE, Role.WARNING, Role.ERROR, Role.BUSY)


def shade(role: Role, dark: bool) -> QColor:
    return QColor(role.value[int(dark)])


def test_a_list_that_opens_shows_every_entry(qtbot, themed):
    apply_theme(themed, dark=False)
    box = QComboBox()
    qtbot.addWidget(box)
    box.addItems(["G-code with belt lengths", "G-code with x and y", "A drawing (SVG file)", "Something else"])
    box.show()
    box.showPopup()
    view = box.view()
    last = view.visualRect(view.model().index(box.count() - 1, 0))
    assert last.bottom() < view.viewport().height()
    box.hidePopup()


@pytest.fixture
def themed(qtbot):
    application = QApplication.instance()
    yield application
    apply_theme(application, dark=False)


@pytest.mark.parametrize("dark", [False, True])
def test_text_and_marks_stand_out(dark):
    for ground in GROUNDS:
        for text in TEXTS:
            assert contrast(shade(text, dark), shade(ground, dark)) >= 4.5, (text, ground)
    for ground in (Role.WINDOW, Role.SURFACE):
        for mark in MARKS:
            assert contrast(shade(mark, dark), shade(ground, dark)) >= 3.0, (mark, ground)
        assert contrast(shade(Role.ACCENT, dark), shade(ground, dark)) >= 4.5  # links and quiet buttons
        assert contrast(shade(Role.ERROR, dark), shade(ground, dark)) >= 4.5
    for accent in (Role.ACCENT, Role.ACCENT_HOVER):
        assert contrast(shade(Role.ON_ACCENT, dark), shade(accent, dark)) >= 4.5


def test_marks_on_the_wall_stand_out_from_it():
    paper = QColor(OnWall.PAPER.value)
    for role in OnWall:
        if role is not OnWall.PAPER:
            least = 4.5 if role in (OnWall.TEXT, OnWall.QUIET) else 3.0
            assert contrast(QColor(role.value), paper) >= least, role
    assert COLOURS


@pytest.mark.parametrize("dark", [False, True])
def test_every_role_of_the_sheet_is_known_and_the_palette_agrees(dark):
    sheet, palette = style_sheet(dark), palette_of(dark)
    assert "$" not in sheet and is_dark(palette) is dark
    known = {name.lower() for role in Role for name in role.value}
    assert {c.lower() for c in re.findall(r"#[0-9a-fA-F]{6}", sheet)} <= known
    for ground, text in (
        ("Window", "WindowText"),
        ("Base", "Text"),
        ("Button", "ButtonText"),
        ("Highlight", "HighlightedText"),
    ):
        pair = [palette.color(QPalette.ColorRole[name]) for name in (ground, text)]
        assert contrast(*pair) >= 4.5


def test_pictures_in_controls_are_there_for_fine_screens_too():
    for name in ("down", "up", "check-light", "check-dark"):
        assert resource("icons", f"{name}.png").is_file() and resource("icons", f"{name}@2x.png").is_file()


def test_labels_follow_the_text_size_and_the_scheme(themed):
    title, note = StyledLabel("Title", TextSize.TITLE), StyledLabel("Note", TextSize.SMALL)
    usual = themed.font()
    before = title.font().pointSizeF()
    large = themed.font()
    large.setPointSizeF(2 * usual.pointSizeF())
    themed.setFont(large)
    try:
        assert title.font().pointSizeF() == pytest.approx(2 * before)
    finally:
        themed.setFont(usual)
    apply_theme(themed, dark=True)
    ground = QApplication.palette().color(QPalette.ColorRole.Window)
    assert luminance(ground) < 0.2
    assert contrast(note.palette().color(QPalette.ColorRole.WindowText), ground) >= 4.5


def test_a_large_button_has_room_for_its_texts_in_every_text_size(themed, qtbot):
    """Qt's own command links write 9 points whatever the system's text size."""
    page, usual, large = QWidget(), themed.font(), themed.font()
    qtbot.addWidget(page)
    button, column = CommandButton("Title", "A sentence of several words that explains it."), QVBoxLayout(page)
    column.addWidget(button)
    column.addStretch(1)
    page.resize(240, 400)
    page.show()
    before = button.height()
    large.setPointSizeF(2 * usual.pointSizeF())
    themed.setFont(large)
    try:
        qtbot.waitUntil(lambda: button.height() > 1.8 * before)
        assert button.height() == button.heightForWidth(button.width())
        room = QRect(0, 0, button.width(), 10_000)
        flags = Qt.TextFlag.TextWordWrap
        needed = sum(
            QFontMetrics(themed.font()).boundingRect(room, flags, text).height()
            for text in (button.text(), button.description())
        )
        assert button.height() > needed
    finally:
        themed.setFont(usual)


def test_a_button_is_painted_in_its_kind(themed, qtbot):
    button = QPushButton("Export")
    button.setProperty("kind", "primary")
    qtbot.addWidget(button)
    for dark in (False, True):
        apply_theme(themed, dark=dark)
        button.show()
        image = button.grab().toImage()
        at = image.pixelColor(image.width() // 8, image.height() // 2)
        assert at == shade(Role.ACCENT, dark)


def test_icons_are_as_sharp_as_the_screen_at_every_scale(qtbot):
    """Twice the pixels show more than the same picture made larger."""
    label = QLabel()
    qtbot.addWidget(label)
    for name in DRAWN:
        one, two = icon(name).pixmap(24, 24).toImage(), icon(name).pixmap(48, 48).toImage()
        assert two.size() == one.size() * 2 and two != one.scaled(two.size()), name


def test_the_chosen_colours_are_taken_at_once_and_at_the_next_start(themed, qtbot):
    """Labels that were there before follow too: Qt gives them back their old colours with each new style sheet."""
    try:
        use_colours("light")
        page, note = QWidget(), StyledLabel("Note", TextSize.SMALL)
        qtbot.addWidget(page)
        QVBoxLayout(page).addWidget(note)
        page.show()
        for scheme, dark in (("dark", True), ("light", False), ("dark", True)):
            use_colours(scheme)
            ground = QApplication.palette().color(QPalette.ColorRole.Window)
            assert is_dark(QApplication.palette()) is dark and chosen_colours() == scheme
            assert contrast(note.palette().color(QPalette.ColorRole.WindowText), ground) >= 4.5
        apply_theme(themed, dark=False)
        apply_chosen_colours(themed)
        assert is_dark(QApplication.palette())
    finally:
        use_colours("system")
    settings().setValue("colours", "mauve")
    assert chosen_colours() == "system"


def test_a_focused_button_has_one_frame(themed, qtbot):
    """Within the focus frame there is only the background of the button; Qt would add a grey box."""
    apply_theme(themed, dark=False)
    button = QPushButton("")
    qtbot.addWidget(button)
    button.setFixedSize(120, 40)
    button.show()
    button.activateWindow()
    button.setFocus(Qt.FocusReason.TabFocusReason)
    qtbot.waitUntil(button.hasFocus)
    picture = button.grab().toImage()
    within = {picture.pixelColor(x, 20).name() for x in range(4, 116)}
    assert within == {Role.SURFACE.value[0]}
    assert picture.pixelColor(1, 20).name() == Role.ACCENT.value[0]
