"""Arrow keys move what is selected: a millimetre, with Shift a centimetre, with Alt a tenth."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtGui import QKeyEvent

from wallwright.document import edits_arrangement, edits_guide_lines, edits_keep_outs
from wallwright.document.language import tr
from wallwright.window.model.items import GuideLineItem, KeepOutItem
from wallwright.window.model.models import Models

STEPS: dict[int, tuple[int, int]] = {
    Qt.Key.Key_Left: (-1, 0),
    Qt.Key.Key_Right: (1, 0),
    Qt.Key.Key_Up: (0, -1),
    Qt.Key.Key_Down: (0, 1),
}


def nudge(models: Models, event: QKeyEvent) -> bool:
    """Moves the selected artworks, keep-out or line when the key is an arrow; False: the key is for somebody else."""
    step = STEPS.get(event.key())
    if step is None:
        return False
    size = 1.0
    if event.modifiers() & Qt.KeyboardModifier.ShiftModifier:
        size = 10.0
    elif event.modifiers() & Qt.KeyboardModifier.AltModifier:
        size = 0.1
    dx, dy = (size * v for v in step)
    before, item = models.project.document, models.selection.item
    if models.selection.placement_ids:
        document = edits_arrangement.move_placements(before, models.selection.placement_ids, dx, dy)
    elif isinstance(item, KeepOutItem):
        document = edits_keep_outs.move_keep_out(before, item.number, dx, dy)
    elif isinstance(item, GuideLineItem):
        line = before.guide_lines[item.number]
        document = edits_guide_lines.move_guide_line(before, item.number, line.at + (dx if line.is_vertical else dy))
    else:
        return False
    models.project.edit(tr("Nudge"), document, merge=f"nudge {models.selection.items}")
    return True
