"""Pictures of recent projects: what the canvas showed when each was last left."""

from __future__ import annotations

import contextlib
import hashlib
from pathlib import Path

from PySide6.QtCore import QSize, Qt
from PySide6.QtGui import QPixmap

from app.document.log import state_folder

SIZE = QSize(240, 160)
MOST_KEPT = 24
"""Files; the oldest go."""


def _file(project: Path) -> Path:
    name = hashlib.sha256(str(project.resolve()).encode()).hexdigest()[:24]
    return state_folder() / "pictures" / f"{name}.png"


def keep_picture(project: Path, seen: QPixmap) -> None:
    """Keeps a small copy. A folder that cannot be written costs the picture only."""
    file = _file(project)
    small = seen.scaled(
        SIZE, Qt.AspectRatioMode.KeepAspectRatioByExpanding, Qt.TransformationMode.SmoothTransformation
    )
    left, top = (small.width() - SIZE.width()) // 2, (small.height() - SIZE.height()) // 2
    with contextlib.suppress(OSError):
        file.parent.mkdir(parents=True, exist_ok=True)
        small.copy(left, top, SIZE.width(), SIZE.height()).save(str(file))
        for old in sorted(file.parent.glob("*.png"), key=lambda f: f.stat().st_mtime)[:-MOST_KEPT]:
            old.unlink()


def picture_of(project: Path) -> QPixmap:
    """The picture kept of a project; a null one when there is none."""
    return QPixmap(str(_file(project)))
