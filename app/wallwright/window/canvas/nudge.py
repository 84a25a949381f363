"""Arrow keys move what is selected: a millimetre, with Shift a centimetre, with Alt a tenth."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtGui import QKeyEvent

from wallwright.document import edits_arrangement, edits_guide_lines, edits_keep_outs
from wallwright.document.language import tr
from wallwright.window.model.session import Session

STEPS: dict[int, tuple[int, int]] = {
    Qt.Key.Key_Left: (-1, 0),
    Qt.Key.Key_Right: (1, 0),
    Qt.Key.Key_Up: (0, -1),
    Qt.Key.Key_Down: (0, 1),
}


def nudge(session: Session, event: QKeyEvent) -> bool:
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
    kind, _, name = session.selection.partition(":")
    if session.placement_ids:
        document = edits_arrangement.move_placements(session.document, session.placement_ids, dx, dy)
    elif kind == "keepout":
        document = edits_keep_outs.move_keep_out(session.document, int(name), dx, dy)
    elif kind == "line":
        line = session.document.guide_lines[int(name)]
        document = edits_guide_lines.move_guide_line(
            session.document, int(name), line.at + (dx if line.plumb else dy)
        )
    else:
        return False
    session.edit(tr("Nudge"), document, merge=f"nudge {' '.join(session.chosen)}")
    return True
