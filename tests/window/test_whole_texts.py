"""Lists whose entries have no room: what is cut can be read in the tip, and how many there are is said."""

import numpy as np
import pytest
from PySide6.QtCore import QPoint, QSize, Qt
from PySide6.QtGui import QHelpEvent
from PySide6.QtWidgets import (
    QAbstractItemView,
    QApplication,
    QComboBox,
    QHeaderView,
    QListWidget,
    QMenu,
    QStyleOptionViewItem,
    QToolTip,
    QTreeWidget,
    QTreeWidgetItem,
    QWidget,
)

from tests.support.planners import Scripted
from tests.support.windows import scripted_window
from wallwright.artwork.drawing import Finding, Severity
from wallwright.document import edits
from wallwright.document.pen import Pen
from wallwright.document.saved_presets import SavedPresets
from wallwright.jobs.label_placing import shortened
from wallwright.planning.demo import demo_document
from wallwright.planning.examples import frieze
from wallwright.window.features.guide.feature import GuideWindow
from wallwright.window.features.pens.saved_dialog import SavedPensDialog
from wallwright.window.model.models import Models
from wallwright.window.panels.contents import Contents
from wallwright.window.panels.findings_list import FindingsList
from wallwright.window.shell import menus
from wallwright.window.shell.about import AboutDialog
from wallwright.window.shell.ready_status import ReadyStatus
from wallwright.window.timeline.player import Player
from wallwright.window.timeline.time_bar import TimeBar
from wallwright.window.widgets.choices import narrow
from wallwright.window.widgets.whole_text import CUT, WholeTextDelegate, counted, is_cut, keep_whole_in_tips

LONG = "Reading room, the long wall beside the windows, third part"


def tip(view: QAbstractItemView, row: int) -> str:
    """Of a row that the mouse rests on; "" where there is none."""
    delegate = view.itemDelegate()
    assert isinstance(delegate, WholeTextDelegate)
    return delegate.tip_of(view, view.model().index(row, 0))


def ask_for_tip(widget: QWidget, at: QPoint) -> None:
    """As when the mouse rests on a point of a widget."""
    QApplication.sendEvent(widget, QHelpEvent(QHelpEvent.Type.ToolTip, at, widget.mapToGlobal(at)))


@pytest.mark.parametrize("wraps", [False, True])
@pytest.mark.parametrize("make", [QListWidget, QTreeWidget])
def test_what_is_cut_is_whole_in_the_tip_and_what_is_not_has_none(qtbot, make, wraps):
    view = make()
    keep_whole_in_tips(view)
    view.setWordWrap(wraps)
    qtbot.addWidget(view)
    for text in (LONG.replace(" ", "_"), "Hanging 2"):
        if isinstance(view, QTreeWidget):
            view.addTopLevelItem(QTreeWidgetItem([text]))
        else:
            view.addItem(text)
    view.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
    view.resize(160, 120)
    view.show()
    qtbot.waitExposed(view)
    assert tip(view, 0) == LONG.replace(" ", "_")
    assert tip(view, 1) == ""
    ask_for_tip(view.viewport(), view.visualRect(view.model().index(0, 0)).center())
    assert QToolTip.text() == LONG.replace(" ", "_")
    view.resize(900, 120)
    assert tip(view, 0) == ""


def test_an_entry_can_be_cut_elsewhere_than_the_others(qtbot):
    """A colour and its pen: the pen's name begins with what tells it from other pens."""
    view = QListWidget()
    keep_whole_in_tips(view)
    qtbot.addWidget(view)
    view.addItems(["Black: Black marker", "Black: Black marker"])
    view.item(1).setData(CUT, Qt.TextElideMode.ElideRight)
    modes = []
    for row in range(2):
        option = QStyleOptionViewItem()
        option.textElideMode = view.textElideMode()
        view.itemDelegate().initStyleOption(option, view.model().index(row, 0))
        modes.append(option.textElideMode)
    assert modes == [Qt.TextElideMode.ElideMiddle, Qt.TextElideMode.ElideRight]


def test_a_narrow_choice_has_what_it_cuts_in_its_tip_and_opens_as_wide_as_its_entries(qtbot):
    box = narrow(QComboBox())
    box.setToolTip("Which hanging is shown.")
    box.addItems([LONG, "Hanging 2"])
    qtbot.addWidget(box)
    box.resize(QSize(120, box.sizeHint().height()))
    box.show()
    qtbot.waitExposed(box)
    assert is_cut(box)
    ask_for_tip(box, QPoint(5, 5))
    assert QToolTip.text() == f"{LONG}\nWhich hanging is shown."
    qtbot.mouseClick(box, Qt.MouseButton.LeftButton)
    assert box.view().width() >= box.fontMetrics().horizontalAdvance(LONG)
    box.hidePopup()
    box.setCurrentIndex(1)
    assert not is_cut(box)


def test_headings_of_the_contents_say_how_many_there_are(qapp):
    contents = Contents(Models.of(frieze(), Scripted()))
    texts = [item.text(0) for item in contents._items()]
    assert "Hangings (4)" in texts and "Pens" in texts and "Artwork" in texts, "one by itself is seen"
    contents.models.project.load(demo_document(), None)
    assert {"Keep-outs (2)", "Pens (4)"} <= {item.text(0) for item in contents._items()}
    contents.deleteLater()


def test_a_folded_list_stays_folded_when_its_count_changes(qapp):
    contents = Contents(Models.of(demo_document(), Scripted()))
    next(i for i in contents._items() if i.text(0) == "Pens (4)").setExpanded(False)
    document = edits.add_pen(contents.models.project.document, "Green", "#2f7d4f", 2.0)[0]
    contents.models.project.edit("Add a pen", document)
    assert not next(i for i in contents._items() if i.text(0) == "Pens (5)").isExpanded()
    contents.deleteLater()


def test_findings_have_their_whole_text_in_the_tip(qtbot):
    finding = Finding(Severity.WARNING, "a-very-long-name-of-an-element-in-the-file", LONG)
    listed = FindingsList([finding])
    qtbot.addWidget(listed)
    assert listed.item(0).toolTip().startswith(f"{finding.element}: {LONG}")
    assert counted("Reading", 1) == "Reading" and counted("Reading", 12) == "Reading (12)"


def test_every_list_of_the_window_and_its_dialogs_keeps_whole_texts(qtbot, tmp_path):
    """By its delegate, or by a tip on every entry."""
    window, _ = scripted_window(qtbot, demo_document(), tmp_path)
    dialogs = [GuideWindow(window), AboutDialog(window, None), SavedPensDialog(SavedPresets(), window)]
    views = [v for w in (window, *dialogs) for v in w.findChildren(QAbstractItemView) if type(v).__name__[0] != "_"]
    own = [v for v in views if not isinstance(v, QHeaderView) and v.window() in (window, *dialogs)]
    assert len(own) >= 4
    for view in own:
        model = view.model()
        tips = [model.index(row, 0).data(Qt.ItemDataRole.ToolTipRole) for row in range(model.rowCount())]
        assert isinstance(view.itemDelegate(), WholeTextDelegate) or (tips and all(tips)), view.accessibleName()


def test_the_status_shows_its_whole_line_while_there_is_room(qtbot, tmp_path):
    window, _ = scripted_window(qtbot, frieze(), tmp_path)
    window.resize(1366, 720)
    status = window.findChild(ReadyStatus)
    status._say(status.state, "Ready to export: 1 h 28 min, 1 pen (Reading room)")
    qtbot.waitUntil(lambda: status.width() >= status.minimumSizeHint().width())
    qtbot.waitUntil(lambda: status.width() + 1 >= super(ReadyStatus, status).sizeHint().width(), timeout=2000)


@pytest.mark.parametrize(
    ("name", "short"),
    [
        ("Hanging 2", "Hanging 2"),
        (LONG, "Reading room…third part"),
        ("x" * 24, "x" * 24),
        ("x" * 25, "x" * 12 + "…" + "x" * 11),
    ],
)
def test_names_on_pictures_keep_both_ends(name, short):
    assert shortened(name) == short and len(short) <= 24


def test_each_pen_of_the_time_bar_is_named_in_its_tip_and_where_it_has_some_room(qtbot):
    """Blocks of half a minute and of an hour, at 400 pixels."""
    bar = TimeBar(Player())
    qtbot.addWidget(bar)
    bar.resize(400, bar.sizeHint().height())
    pens = (Pen("a", LONG, "#c02020"), Pen("b", LONG, "#1f4e8c"))
    bar._player.length = 3630.0
    bar.show_blocks(np.array([[0.0, 30.0], [30.0, 3630.0]]), pens)
    assert bar.tip_at(8.0).startswith(f"{LONG}: 30") and bar.tip_at(200.0).startswith(f"{LONG}: 1")
    assert LONG not in bar.tip_at(-50.0)
    before = bar.grab().toImage()
    bar.show_blocks(np.array([[0.0, 30.0], [30.0, 3630.0]]), (pens[0], edits.replace(pens[1], name="")))
    assert bar.grab().toImage() != before, "a name that is too long for its block is cut, not left out"


def test_long_names_of_recent_projects_do_not_widen_the_menu(qtbot, tmp_path, monkeypatch):
    path = tmp_path / f"{'a wall ' * 20}.wallwright"
    monkeypatch.setattr(menus, "recent", lambda: [path])
    window, _ = scripted_window(qtbot, demo_document(), tmp_path)
    (menu,) = [m for m in window.findChildren(QMenu) if m.title() == "Open &recent"]
    menu.aboutToShow.emit()
    (action,) = menu.actions()
    assert len(action.text()) <= menus.MOST_LETTERS and action.toolTip() == str(path)
    assert action.text().startswith("a wall") and action.text().endswith(".wallwright")
