"""The Pens menu: order, saved pens, measurements, ink."""

from __future__ import annotations

from wallwright.window.shell.action import Action
from wallwright.window.shell.action_ids import ActionId as Id

PENS_ACTIONS = (
    Action(
        Id.PEN_EARLIER,
        "Pens",
        "Draw &earlier",
        "Moves the selected pen up in the list. Pens draw in this order.",
        lambda w: w.pens.move(-1),
        "Alt+Shift+Up",
        None,
        lambda w: w.pens.can_move(-1),
    ),
    Action(
        Id.PEN_LATER,
        "Pens",
        "Draw &later",
        "Moves the selected pen down in the list. Pens draw in this order.",
        lambda w: w.pens.move(1),
        "Alt+Shift+Down",
        None,
        lambda w: w.pens.can_move(1),
    ),
    Action(
        Id.LIGHT_TO_DARK,
        "Pens",
        "&Order from light to dark",
        "Puts the pens in the order that keeps light tips clean: a light tip that crosses dark ink takes it up.",
        lambda w: w.pens.order_light_to_dark(),
        None,
        None,
        lambda w: len(w.models.project.document.pens) > 1,
    ),
    Action(
        Id.MEASURE_PENS,
        "Pens",
        "&Measure pens…",
        "Two small drawings show how far each tip is off in its holder, and at which speed each pen draws well.",
        lambda w: w.pens.measure(),
        apart=True,
    ),
    Action(
        Id.COUNT_INK,
        "Pens",
        "&Count this job's ink as used",
        "Choose it once when the job is drawn, so that later jobs pause for refills in time.",
        lambda w: w.pens.count_ink(),
        None,
        None,
        lambda w: w.models.planning.plan_is_final,
    ),
    Action(
        Id.REFILL_PEN,
        "Pens",
        "Mark selected pen as &full",
        "Sets the ink used of the selected pen to 0.",
        lambda w: w.pens.refill(),
        None,
        None,
        lambda w: (pen := w.pens.selected) is not None and pen.used > 0,
    ),
    Action(
        Id.SAVE_PEN,
        "Pens",
        "&Save pen for reuse",
        "Saves the selected pen with everything measured of it. Other projects can add it.",
        lambda w: w.pens.save(),
        None,
        None,
        lambda w: w.pens.selected is not None,
        apart=True,
    ),
    Action(
        Id.ADD_SAVED_PENS,
        "Pens",
        "&Add saved pens…",
        "Adds pens that were saved in this or another project.",
        lambda w: w.pens.add_saved(),
    ),
)
