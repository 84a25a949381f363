"""The File menu: projects, windows, saved walls and machines."""

from __future__ import annotations

from PySide6.QtGui import QKeySequence

from wallwright.window.shell.action import Action
from wallwright.window.shell.action_ids import ActionId as Id
from wallwright.window.shell.actions.conditions import begin_project, has_windows, quit_all, show_start

Key = QKeySequence.StandardKey

FILE_ACTIONS = (
    Action(
        Id.NEW,
        "File",
        "&New…",
        "Begin a project step by step: wall, anchors, machine, pens and artwork. Usual values are there already.",
        begin_project,
        Key.New,
        "new",
    ),
    Action(
        Id.OPEN,
        "File",
        "&Open…",
        "Open a project.",
        lambda w: w.files.open(),
        Key.Open,
        "open",
        in_tool_bar=True,
    ),
    Action(
        Id.SAVE,
        "File",
        "&Save",
        "Save the project and its artwork in one file.",
        lambda w: w.files.save(),
        Key.Save,
        "save",
        in_tool_bar=True,
        apart=True,
    ),
    Action(
        Id.SAVE_AS,
        "File",
        "Save &as…",
        "Save the project under another name.",
        lambda w: w.files.save_as(),
        Key.SaveAs,
    ),
    Action(
        Id.SAVE_WALL,
        "File",
        "Sav&e wall for reuse…",
        "Saves this wall and its anchors. The start page offers it for new projects.",
        lambda w: w.files.keep_wall(),
        apart=True,
    ),
    Action(
        Id.SAVE_MACHINE,
        "File",
        "Save &machine for reuse…",
        "Saves this machine. The start page offers it for new projects.",
        lambda w: w.files.keep_machine(),
    ),
    Action(
        Id.EXPORT_MACHINE,
        "File",
        "Save machine as a &file…",
        "Saves this machine, with its last calibration, as a file to send or copy.",
        lambda w: w.files.export_machine(),
    ),
    Action(
        Id.IMPORT_MACHINE,
        "File",
        "&Use machine from file…",
        "Replaces this project's machine by one from a file.",
        lambda w: w.files.import_machine(),
    ),
    Action(
        Id.NEW_WINDOW,
        "File",
        "New &window",
        "Open another window with the start page.",
        lambda w: w.windows and w.windows.another(),
        "Ctrl+Shift+N",
        None,
        has_windows,
        apart=True,
    ),
    Action(
        Id.OPEN_IN_WINDOW,
        "File",
        "Open in a new w&indow…",
        "Open a project in a second window.",
        lambda w: w.files.open_in_window(),
        "Ctrl+Shift+O",
        None,
        has_windows,
    ),
    Action(
        Id.START,
        "File",
        "S&tart page",
        "Demo, new wall, recent projects and unsaved work.",
        show_start,
        "Alt+Home",
        apart=True,
    ),
    Action(
        Id.DEMO,
        "File",
        "Open the &demo",
        "A complete job to look at: a harbour in four colours.",
        lambda w: w.files.demo(),
    ),
    Action(
        Id.CLOSE,
        "File",
        "&Close the window",
        "Asks first if there are unsaved changes.",
        lambda w: w.widget.close(),
        Key.Close,
        apart=True,
    ),
    Action(
        Id.QUIT,
        "File",
        "&Quit",
        "Close all windows.",
        quit_all,
        Key.Quit,
        None,
        has_windows,
    ),
)
