"""Better anchors: the dialog that shows the trade-off between places for them."""

from __future__ import annotations

from PySide6.QtWidgets import QWidget

from wallwright.window.model.messages import Offer
from wallwright.window.model.models import Models


class AnchorAdviceFeature:
    """Of one window."""

    def __init__(self, models: Models, more_hangings: Offer, parent: QWidget) -> None:
        self._models, self._more_hangings, self._parent = models, more_hangings, parent

    def open(self) -> None:
        """Shows the trade-off for the current hanging."""
        from wallwright.window.features.anchor_advice.dialog import AnchorAdviceDialog

        dialog = AnchorAdviceDialog(self._models, self._parent)
        dialog.exec()
        dialog.deleteLater()
        if dialog.wants_more_hangings:
            self._more_hangings.run()
