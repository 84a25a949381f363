"""The Add menu: artwork, pens, keep-outs, guide lines, hangings, the wall photo."""

from __future__ import annotations

from wallwright.window.shell.action import Action
from wallwright.window.shell.action_ids import ActionId as Id

ADD_ACTIONS = (
    Action(
        Id.ADD_ARTWORK,
        "Add",
        "&Artwork…",
        "Add SVG files and pictures.",
        lambda w: w.files.add_artwork(),
        "Ctrl+I",
        "add",
        in_tool_bar=True,
    ),
    Action(
        Id.ADD_TEXT,
        "Add",
        "&Text",
        "Text in single-line letters or an installed font, straight or on an arc.",
        lambda w: w.generated_artwork.words(),
        "Ctrl+T",
    ),
    Action(
        Id.ADD_FRAME,
        "Add",
        "&Frame",
        "A frame around the selected artwork, or in the middle.",
        lambda w: w.generated_artwork.figure("frame"),
        apart=True,
    ),
    Action(
        Id.ADD_GRID,
        "Add",
        "&Grid",
        "Evenly spaced lines in both directions.",
        lambda w: w.generated_artwork.figure("grid"),
    ),
    Action(
        Id.ADD_RULER,
        "Add",
        "&Ruler",
        "Evenly spaced marks with numbers in mm.",
        lambda w: w.generated_artwork.figure("ruler"),
    ),
    Action(
        Id.ADD_SQUARE,
        "Add",
        "Test &square",
        "A square with diagonals, to measure after drawing.",
        lambda w: w.generated_artwork.figure("square"),
    ),
    Action(
        Id.ADD_CHART,
        "Add",
        "Colour &chart",
        "Patches of every pen at increasing hatch spacings, for choosing fills.",
        lambda w: w.generated_artwork.chart(),
    ),
    Action(Id.ADD_PEN, "Add", "&Pen", "Add a pen to the list.", lambda w: w.editing.add_pen(), apart=True),
    Action(
        Id.PENS_FOR_COLOURS,
        "Add",
        "Pens for these colo&urs",
        "Add a pen for each colour of the artwork that has none yet.",
        lambda w: w.editing.pens_for_colours(),
        None,
        None,
        lambda w: w.models.planning.preview is not None,
    ),
    Action(
        Id.ADD_KEEP_OUT,
        "Add",
        "&Keep-out",
        "An area of the wall that pen and body must not touch.",
        lambda w: w.editing.add_keep_out(),
    ),
    Action(
        Id.ADD_VERTICAL_LINE,
        "Add",
        "&Vertical guide line",
        "Vertical guide line. Things you drag snap to it. You can also drag one out of the left ruler.",
        lambda w: w.editing.add_guide_line(True),
    ),
    Action(
        Id.ADD_HORIZONTAL_LINE,
        "Add",
        "Hori&zontal guide line",
        "Horizontal guide line. Things you drag snap to it. You can also drag one out of the top ruler.",
        lambda w: w.editing.add_guide_line(False),
    ),
    Action(
        Id.HANG_RIGHT,
        "Add",
        "Hanging to the r&ight",
        "Adds a hanging to the right, placed so that both draw zones cover the artwork's full height where they meet.",
        lambda w: w.editing.hang_beside(True),
        apart=True,
    ),
    Action(
        Id.HANG_LEFT,
        "Add",
        "Hanging to the &left",
        "Adds a hanging to the left, placed so that both draw zones cover the artwork's full height where they meet.",
        lambda w: w.editing.hang_beside(False),
    ),
    Action(
        Id.COVER_ARTWORK,
        "Add",
        "Add &hangings to cover the artwork",
        "Proposes the hangings that are missing to cover the "
        "artwork. Hangings that exist stay where they are, unless you place all anew.",
        lambda w: w.editing.hang_as_often(),
        None,
        None,
        lambda w: any(p.visible for p in w.models.project.document.placements),
    ),
)
