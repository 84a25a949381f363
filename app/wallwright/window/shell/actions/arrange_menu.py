"""The Arrange menu: size, alignment, order, locking and hiding of artwork."""

from __future__ import annotations

from wallwright.document import edits_arrangement as arrange
from wallwright.document.language import N_
from wallwright.window.shell.action import Action
from wallwright.window.shell.action_ids import ActionId as Id
from wallwright.window.shell.actions.conditions import arranged, selected

ARRANGE_ACTIONS = (
    Action(
        Id.FILL_ZONE,
        "Arrange",
        "Fit to &draw zone",
        "Make the selected artwork, or all of it, as large as the draw zone allows and move it there.",
        lambda w: w.editing.fill_zone(),
        None,
        None,
        lambda w: any(p.visible and not p.locked for p in w.models.project.document.placements),
    ),
    Action(
        Id.UPRIGHT,
        "Arrange",
        "Turn upri&ght",
        "Turn the selected artwork to the nearest quarter turn: upright, or on its side.",
        arranged(N_("Turn upright"), arrange.upright_placements),
        None,
        None,
        selected,
    ),
    Action(
        Id.MIRROR_ACROSS,
        "Arrange",
        "&Mirror left to right",
        "Mirror the selected artwork left to right.",
        arranged(N_("Mirror"), arrange.mirror_placements, across=True),
        "Ctrl+M",
        None,
        selected,
    ),
    Action(
        Id.MIRROR_DOWN,
        "Arrange",
        "Mirror top to &bottom",
        "Mirror the selected artwork top to bottom.",
        arranged(N_("Mirror"), arrange.mirror_placements, across=False),
        None,
        None,
        selected,
    ),
    *(
        Action(
            Id(f"align-{side}"),
            "Arrange",
            title,
            words,
            arranged(N_("Align"), arrange.align_placements, side),
            None,
            None,
            selected,
            apart=side == "left",
        )
        for side, title, words in (
            (
                "left",
                N_("Align &left sides"),
                N_("Align the left sides of the selected artworks. A single one moves to the left edge of the wall."),
            ),
            (
                "centre",
                N_("Align &centres"),
                N_(
                    "Align the centres of the selected artworks on a vertical line. "
                    "A single one moves to the middle of the wall."
                ),
            ),
            (
                "right",
                N_("Align &right sides"),
                N_("Align the right sides of the selected artworks. A single one moves to the right edge of the wall."),
            ),
            (
                "top",
                N_("Align &tops"),
                N_("Align the tops of the selected artworks. A single one moves to the top of the wall."),
            ),
            (
                "middle",
                N_("Align m&iddles"),
                N_(
                    "Align the middles of the selected artworks on a horizontal "
                    "line. A single one moves to the middle of the wall."
                ),
            ),
            (
                "bottom",
                N_("Align b&ottoms"),
                N_("Align the bottoms of the selected artworks. A single one moves to the bottom of the wall."),
            ),
        )
    ),
    Action(
        Id.DISTRIBUTE_ACROSS,
        "Arrange",
        "E&qual horizontal gaps",
        "Make the horizontal gaps between three or more artworks equal.",
        arranged(N_("Equal gaps"), arrange.distribute_placements, True),
        None,
        None,
        lambda w: selected(w, 3),
        apart=True,
    ),
    Action(
        Id.DISTRIBUTE_DOWN,
        "Arrange",
        "Equal &vertical gaps",
        "Make the vertical gaps between three or more artworks equal.",
        arranged(N_("Equal gaps"), arrange.distribute_placements, False),
        None,
        None,
        lambda w: selected(w, 3),
    ),
    Action(
        Id.TO_FRONT,
        "Arrange",
        "To the &front",
        "Bring the selected artwork to the front. Where artworks overlap, the ink of both is drawn.",
        arranged(N_("To the front"), arrange.reorder_placements, "front"),
        "Ctrl+Shift+]",
        None,
        selected,
        apart=True,
    ),
    Action(
        Id.FORWARD,
        "Arrange",
        "For&ward",
        "Bring the selected artwork forward by one.",
        arranged(N_("Forward"), arrange.reorder_placements, "forward"),
        "Ctrl+]",
        None,
        selected,
    ),
    Action(
        Id.BACKWARD,
        "Arrange",
        "Bac&kward",
        "Send the selected artwork back by one.",
        arranged(N_("Backward"), arrange.reorder_placements, "backward"),
        "Ctrl+[",
        None,
        selected,
    ),
    Action(
        Id.TO_BACK,
        "Arrange",
        "To the back",
        "Send the selected artwork to the back.",
        arranged(N_("To the back"), arrange.reorder_placements, "back"),
        "Ctrl+Shift+[",
        None,
        selected,
    ),
    Action(
        Id.LOCK,
        "Arrange",
        "Lock or &unlock",
        "Lock the selected artwork in its place, or unlock it.",
        lambda w: w.editing.toggle_locked(),
        "Ctrl+L",
        None,
        selected,
        apart=True,
    ),
    Action(
        Id.HIDE,
        "Arrange",
        "&Hide or show",
        "Hide the selected artwork from the job, or show it again.",
        lambda w: w.editing.toggle_visible(),
        "Ctrl+H",
        None,
        selected,
    ),
)
