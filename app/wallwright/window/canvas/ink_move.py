"""How ink moves with its placement before it is made anew."""

from __future__ import annotations

import numpy as np
from PySide6.QtGui import QTransform

from wallwright.document.placing import placing_matrix


def ink_move(old, new) -> QTransform:
    """From where ink of `old` lies on the wall to where `new` has it."""
    a, b = (np.vstack([placing_matrix(p, (1.0, 1.0)), [0, 0, 1]]) for p in (old, new))
    m = b @ np.linalg.inv(a)
    return QTransform(m[0, 0], m[1, 0], m[0, 1], m[1, 1], m[0, 2], m[1, 2])
