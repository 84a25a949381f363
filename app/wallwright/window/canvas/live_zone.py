"""The zone layer that belongs to the document as it is: coarse while something is dragged, fine after."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QObject, QTimer

from wallwright.document.document import Document
from wallwright.window.canvas.zone_layer import ZoneLayer

COARSE, FINE = 1500, 9000
"""Grid points of the zone while what decides it is dragged, and after."""
FINER_AFTER_MS = 120


class LiveZone(QObject):
    """Makes the layer when it is asked for and no longer true."""

    def __init__(self, refined: Callable[[], None], parent: QObject) -> None:
        """refined: called when a finer layer is to be had."""
        super().__init__(parent)
        self.layer_name = "lowest tension"
        self.layer: ZoneLayer | None = None
        self._of: tuple | None = None
        self._points = 0
        self._refined = refined
        self._finer = QTimer(self, singleShot=True, interval=FINER_AFTER_MS)
        self._finer.timeout.connect(self._refine)
        self._document: Document | None = None

    def set_layer(self, name: str) -> None:
        self.layer_name, self.layer = name, None

    def of(self, document: Document, coarse: bool, hanging: int = 0) -> ZoneLayer:
        """The layer of one hanging of a document."""
        of = (document.wall, document.machine, document.hangings[hanging])
        self._document = document
        if self.layer is None or self._of != of:
            self._of = of
            self._make(COARSE if coarse else FINE)
        return self.layer

    def refine_soon(self) -> None:
        """After a drag: the fine layer in a moment."""
        self._finer.start()

    def _make(self, points: int) -> None:
        from wallwright.statics.draw_zone import compute_zone

        document, self._points = self._document, points
        self.layer = ZoneLayer(
            document, compute_zone(*self._of, points=points), self.layer_name, points >= FINE
        )

    def _refine(self) -> None:
        if self._document is not None and self._points < FINE:
            self._make(FINE)
            self._refined()
