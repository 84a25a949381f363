"""The Edit menu: undo, clipboard, selection."""

from __future__ import annotations

from PySide6.QtGui import QKeySequence

from wallwright.window.features.clipboard import feature as clipboard
from wallwright.window.shell.action import Action
from wallwright.window.shell.action_ids import ActionId as Id
from wallwright.window.shell.actions.conditions import can_duplicate, can_remove, selected

Key = QKeySequence.StandardKey

EDIT_ACTIONS = (
    Action(
        Id.UNDO,
        "Edit",
        "&Undo",
        "Undo the last edit.",
        lambda w: w.models.project.undo(),
        Key.Undo,
        "undo",
        lambda w: bool(w.models.project.history.past),
        True,
    ),
    Action(
        Id.REDO,
        "Edit",
        "&Redo",
        "Redo the edit that was undone.",
        lambda w: w.models.project.redo(),
        Key.Redo,
        "redo",
        lambda w: bool(w.models.project.history.future),
        True,
    ),
    Action(
        Id.CUT,
        "Edit",
        "Cu&t",
        "Move the selected artwork to the clipboard.",
        lambda w: clipboard.cut(w.models),
        Key.Cut,
        None,
        selected,
        apart=True,
    ),
    Action(
        Id.COPY,
        "Edit",
        "&Copy",
        "Copy the selected artwork with its pens, for this or another window.",
        lambda w: clipboard.copy(w.models),
        Key.Copy,
        None,
        selected,
    ),
    Action(
        Id.PASTE,
        "Edit",
        "&Paste",
        "Put what is on the clipboard on the wall: artwork from another window, "
        "or SVG, pictures and text from other programs.",
        lambda w: clipboard.paste(w.models, w.canvas.wall_under_pointer()),
        Key.Paste,
    ),
    Action(
        Id.DUPLICATE,
        "Edit",
        "&Duplicate",
        "Make a second copy of the selected artwork or hanging.",
        lambda w: w.editing.duplicate(),
        "Ctrl+D",
        None,
        can_duplicate,
    ),
    Action(
        Id.REMOVE,
        "Edit",
        "Re&move",
        "Remove the selected artwork, pen, keep-out or hanging from the project.",
        lambda w: w.editing.remove(),
        Key.Delete,
        None,
        can_remove,
    ),
    Action(
        Id.SELECT_ALL,
        "Edit",
        "Select &all artwork",
        "Select all artwork on the wall.",
        lambda w: w.editing.select_all(),
        Key.SelectAll,
        apart=True,
    ),
    Action(
        Id.DRAW_KEEP_OUT,
        "Edit",
        "Dra&w a keep-out",
        "Draw an area that pen and body must not touch: drag a rectangle, or click corner by corner.",
        lambda w: w.editing.draw_keep_out(),
        "Ctrl+Shift+K",
        apart=True,
    ),
    Action(
        Id.PHOTO,
        "Edit",
        "P&hoto of the wall…",
        "Show a photo of the real wall behind the artwork. It is not drawn.",
        lambda w: w.photo.choose(),
        apart=True,
    ),
    Action(
        Id.STRAIGHTEN,
        "Edit",
        "Stra&ighten the photo…",
        "Click four points of the photo whose distances you know. The photo then fits the wall.",
        lambda w: w.photo.straighten(),
        None,
        None,
        lambda w: w.models.project.document.photo is not None,
    ),
)
