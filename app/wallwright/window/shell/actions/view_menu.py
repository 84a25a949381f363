"""The View menu: zoom, rulers and the areas of the window."""

from __future__ import annotations

from PySide6.QtGui import QKeySequence

from wallwright.window.model.items import box_of
from wallwright.window.shell.action import Action
from wallwright.window.shell.action_ids import ActionId as Id
from wallwright.window.shell.colour_scheme import use_colours
from wallwright.window.shell.focus_regions import visit_next

Key = QKeySequence.StandardKey
# Actual size has the key of normal size in the GNOME guidelines; fitting has one that the guidelines of GNOME, KDE, Windows
# and macOS leave free (all from memory).

VIEW_ACTIONS = (
    Action(
        Id.FIT,
        "View",
        "&Fit the wall",
        "Show the whole wall.",
        lambda w: w.canvas.fit(),
        "Ctrl+J",
        "fit",
        in_tool_bar=True,
    ),
    Action(
        Id.FIT_SELECTED,
        "View",
        "Zoom to &selection",
        "Zoom to the selected artwork, keep-out or hanging.",
        lambda w: w.canvas.look_at(box_of(w.models.project.document, w.models.selection.items)),
        "Ctrl+Shift+J",
    ),
    Action(Id.ZOOM_IN, "View", "Zoom &in", "Zoom in.", lambda w: w.canvas.zoom(1.4), Key.ZoomIn),
    Action(Id.ZOOM_OUT, "View", "Zoom &out", "Zoom out.", lambda w: w.canvas.zoom(1 / 1.4), Key.ZoomOut),
    Action(
        Id.ACTUAL_SIZE,
        "View",
        "&Actual size",
        "A millimetre on the wall is a millimetre on this screen.",
        lambda w: w.screen_scale.show_true_size(),
        "Ctrl+0",
    ),
    Action(
        Id.FROM_DISTANCE,
        "View",
        "See from a &distance…",
        "Show the drawing as it looks from some metres away, without zone, frames and machine.",
        lambda w: w.screen_scale.show_from_distance(),
        enabled=lambda w: bool(w.models.project.document.placements),
    ),
    Action(
        Id.MEASURE_SCREEN,
        "View",
        "&Measure this screen…",
        "Hold a bank card or a ruler against the screen, so that actual size is right.",
        lambda w: w.screen_scale.measure(),
    ),
    Action(
        Id.ZONE_MAP,
        "View",
        "&Colour map",
        "Show or hide a colour map of the draw zone, such as belt tension. It appears by itself while you edit anchors "
        "or the machine.",
        lambda w: w.canvas.toggle_map(),
        "Ctrl+Shift+M",
        None,
        apart=True,
    ),
    Action(
        Id.INCHES,
        "View",
        "I&nches on the rulers",
        "Switch the rulers between inches and feet, and mm, cm and m.",
        lambda w: w.canvas.toggle_inches(),
    ),
    Action(
        Id.MEASURE_FROM,
        "View",
        "Measure from anchor or &wall",
        "Switch what positions are measured from: the left anchor, or the wall's left edge and the floor.",
        lambda w: w.models.origin.toggle(),
    ),
    Action(
        Id.SYSTEM_COLOURS,
        "View",
        "S&ystem colours",
        "The theme of the windows, light or dark, follows the system.",
        lambda w: use_colours("system"),
        apart=True,
    ),
    Action(
        Id.LIGHT_COLOURS,
        "View",
        "&Light colours",
        "Uses a light theme, whatever the system setting.",
        lambda w: use_colours("light"),
    ),
    Action(
        Id.DARK_COLOURS,
        "View",
        "Da&rk colours",
        "Uses a dark theme, whatever the system setting. The wall stays light: ink is judged on it.",
        lambda w: use_colours("dark"),
    ),
    Action(
        Id.NEXT_PART,
        "View",
        "Ne&xt area",
        "Go to the next area of the window: wall, timeline, panels.",
        lambda w: visit_next(w),
        "F6",
        apart=True,
    ),
    Action(
        Id.PREVIOUS_PART,
        "View",
        "Pr&evious area",
        "Go to the previous area of the window.",
        lambda w: visit_next(w, back=True),
        "Shift+F6",
    ),
)
