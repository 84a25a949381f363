"""Every action, declared once: menus, tool bar and shortcuts are made from this table."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING

from PySide6.QtCore import QT_TRANSLATE_NOOP, QCoreApplication
from PySide6.QtGui import QKeySequence
from PySide6.QtWidgets import QStyle

if TYPE_CHECKING:
    from app.window.window import MainWindow

Key = QKeySequence.StandardKey
Icon = QStyle.StandardPixmap


@dataclass(frozen=True)
class Declared:
    """One action. title and help are marked for translation under "Actions"."""

    id: str
    menu: str
    title: str
    help: str
    run: Callable[[MainWindow], None]
    shortcut: QKeySequence.StandardKey | str | None = None
    icon: QStyle.StandardPixmap | None = None
    enabled: Callable[[MainWindow], bool] = lambda window: True
    in_tool_bar: bool = False


def translated(text: str) -> str:
    return QCoreApplication.translate("Actions", text)


def _t(text: str) -> str:
    return QT_TRANSLATE_NOOP("Actions", text)


MENUS = (_t("File"), _t("Edit"), _t("View"), _t("Job"), _t("Help"))

ACTIONS = (
    Declared("new", "File", _t("&New"), _t("Start an empty project."), lambda w: w.files.new(), Key.New,
             Icon.SP_FileIcon),
    Declared("open", "File", _t("&Open…"), _t("Open a project."), lambda w: w.files.open(), Key.Open,
             Icon.SP_DialogOpenButton, in_tool_bar=True),
    Declared("save", "File", _t("&Save"), _t("Save the project with its artwork in one file."), lambda w: w.files.save(),
             Key.Save, Icon.SP_DialogSaveButton, in_tool_bar=True),
    Declared("save-as", "File", _t("Save &as…"), _t("Save the project under another name."),
             lambda w: w.files.save_as(), Key.SaveAs),
    Declared("add-artwork", "File", _t("Add &artwork…"), _t("Bring an SVG file onto the wall."),
             lambda w: w.files.add_artwork(), "Ctrl+I", Icon.SP_FileDialogNewFolder, in_tool_bar=True),
    Declared("demo", "File", _t("Open the &demo"), _t("A whole job to look at: a harbour in four colours."),
             lambda w: w.files.demo()),
    Declared("quit", "File", _t("&Quit"), _t("Close the window."), lambda w: w.close(), Key.Quit),
    Declared("undo", "Edit", _t("&Undo"), _t("Take the last edit back."), lambda w: w.session.undo(), Key.Undo,
             Icon.SP_ArrowBack, lambda w: bool(w.session.history.past), True),
    Declared("redo", "Edit", _t("&Redo"), _t("Do the undone edit again."), lambda w: w.session.redo(), Key.Redo,
             Icon.SP_ArrowForward, lambda w: bool(w.session.history.future), True),
    Declared("duplicate", "Edit", _t("&Duplicate"), _t("A second copy of the selected artwork on the wall."),
             lambda w: w.duplicate(), "Ctrl+D", None, lambda w: w.session.placement_id is not None),
    Declared("remove", "Edit", _t("Re&move"), _t("Take the selected artwork, pen or keep-out out of the project."),
             lambda w: w.remove(), Key.Delete, None,
             lambda w: w.session.selection.startswith(("placement:", "pen:", "keepout:"))),
    Declared("add-pen", "Edit", _t("Add a &pen"), _t("One more pen in the list."), lambda w: w.add_pen()),
    Declared("pens-for-colours", "Edit", _t("Pens for the &colours"), _t("Add a pen for each colour of the artwork that no "
             "pen has yet."), lambda w: w.pens_for_colours(), None, None, lambda w: w.session.preview is not None),
    Declared("add-keep-out", "Edit", _t("Add a &keep-out"), _t("A part of the wall that pen and body must not touch."),
             lambda w: w.add_keep_out()),
    Declared("fit", "View", _t("&Fit the wall"), _t("Show the whole wall."), lambda w: w.canvas.fit(), "Ctrl+0",
             Icon.SP_TitleBarMaxButton, in_tool_bar=True),
    Declared("zoom-in", "View", _t("Zoom &in"), _t("Larger."), lambda w: w.canvas.zoom(1.4), Key.ZoomIn),
    Declared("zoom-out", "View", _t("Zoom &out"), _t("Smaller."), lambda w: w.canvas.zoom(1 / 1.4), Key.ZoomOut),
    Declared("actual-size", "View", _t("&True size"), _t("A mm on the wall is a mm on this screen."),
             lambda w: w.canvas.actual_size(), "Ctrl+1"),
    Declared("plan", "Job", _t("&Plan now"), _t("Order the strokes, time the motion and look at every check. It also "
             "happens by itself a moment after an edit."), lambda w: w.session.plan_now(), "F5", Icon.SP_BrowserReload,
             in_tool_bar=True),
    Declared("cancel", "Job", _t("&Cancel planning"), _t("Stop planning at once."), lambda w: w.session.cancel(), "Esc",
             Icon.SP_BrowserStop, lambda w: w.session.planning),
    Declared("export", "Job", _t("&Export…"), _t("Write the job files and the hanging sheet into a folder."),
             lambda w: w.export(), "Ctrl+E", Icon.SP_DialogSaveButton, lambda w: w.session.exportable, True),
    Declared("advise-anchors", "Job", _t("&Better anchors…"), _t("Where on this wall the anchors keep all artwork in the "
             "draw zone with the most to spare."), lambda w: w.advise_anchors(), None, None,
             lambda w: any(p.visible for p in w.session.document.placements)),
    Declared("calibrate", "Job", _t("Ca&librate…"), _t("Draw a few crosses, measure between them, and learn what machine "
             "and anchors really are."), lambda w: w.calibrate()),
    Declared("play", "Job", _t("Pla&y or pause"), _t("Play the planned job."), lambda w: w.strip.toggle(), "Ctrl+P"),
    Declared("shortcuts", "Help", _t("&Shortcuts"), _t("All actions with their keys."), lambda w: w.show_shortcuts(),
             Key.HelpContents),
    Declared("cautions", "Help", _t("&Cautions"), _t("What can hurt at the wall."), lambda w: w.show_cautions()),
    Declared("about", "Help", _t("&About Wallwright"), _t("Version and log file."), lambda w: w.show_about()),
)  # fmt: skip
