"""Buttons that arrange the selected artworks, where their numbers are: actions of the Arrange menu."""

from __future__ import annotations

from PySide6.QtCore import QSize
from PySide6.QtWidgets import QToolButton

from wallwright.document.language import N_, tr
from wallwright.window.panels.forms import Forms
from wallwright.window.widgets.explain import explain
from wallwright.window.widgets.flow_row import FlowRow
from wallwright.window.widgets.icons import icon
from wallwright.window.widgets.theme import TIGHT

SIDES = ("align-left", "align-centre", "align-right", "align-top", "align-middle", "align-bottom")
ONE = {
    "align-left": N_("Move to the left edge of the wall"),
    "align-centre": N_("Move to the middle of the wall, left to right"),
    "align-right": N_("Move to the right edge of the wall"),
    "align-top": N_("Move to the top of the wall"),
    "align-middle": N_("Move to the middle of the wall, top to bottom"),
    "align-bottom": N_("Move to the bottom of the wall"),
}
SEVERAL = {
    "align-left": N_("Align left sides"),
    "align-centre": N_("Align centres"),
    "align-right": N_("Align right sides"),
    "align-top": N_("Align tops"),
    "align-middle": N_("Align middles"),
    "align-bottom": N_("Align bottoms"),
}
GAPS = {
    "distribute-across": ("gaps-across", N_("Equal horizontal gaps")),
    "distribute-down": ("gaps-down", N_("Equal vertical gaps")),
}
LEAST_FOR_GAPS = 3
"""Artworks."""


def add_arrange_row(forms: Forms, count: int) -> None:
    """count: artworks that are selected. Gaps are there for three or more."""
    titles = ONE if count == 1 else SEVERAL
    entries = [(side, side, titles[side]) for side in SIDES]
    if count >= LEAST_FOR_GAPS:
        entries += [(id, picture, title) for id, (picture, title) in GAPS.items()]
    entries += [("upright", "upright", N_("Turn upright")), ("mirror-across", "mirror", N_("Mirror left to right"))]
    side = forms.fontMetrics().height() + 1
    buttons = []
    for id, picture, title in entries:
        button = QToolButton()
        button.setIcon(icon(picture))
        button.setIconSize(QSize(side, side))
        button.setAutoRaise(True)
        explain(button, tr(title), tr(title))
        button.clicked.connect(lambda _=False, id=id: forms.action_wanted.emit(id))
        buttons.append(button)
    forms.column.addWidget(FlowRow(buttons, TIGHT // 2))
