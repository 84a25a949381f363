"""One check as a row: state, name and the number that counts; opened, its text, its place and what would mend it."""

from __future__ import annotations

import textwrap

import msgspec
from PySide6.QtCore import Signal
from PySide6.QtGui import QFontMetricsF
from PySide6.QtWidgets import QLabel, QMenu, QPushButton, QVBoxLayout, QWidget

from wallwright.document.language import N_, tr, unbroken_units
from wallwright.jobs.checks import ArtworkMove, Check, Remedy, Verdict
from wallwright.statics.limits import SENTENCES, Limit
from wallwright.window.canvas.limit_styles import icon, swatch_size
from wallwright.window.widgets.explain import explain
from wallwright.window.widgets.flow_row import FlowRow
from wallwright.window.widgets.state_button import StateButton
from wallwright.window.widgets.state_icons import State
from wallwright.window.widgets.theme import Kind, as_kind

STATES = {
    Verdict.OK: State.OK,
    Verdict.NOTE: State.NOTE,
    Verdict.WARNING: State.WARNING,
    Verdict.ERROR: State.ERROR,
}
VERDICTS = {
    Verdict.OK: N_("OK"),
    Verdict.NOTE: N_("Note"),
    Verdict.WARNING: N_("Warning"),
    Verdict.ERROR: N_("Error: the job cannot be exported"),
}
OPEN_AT_FIRST = (Verdict.ERROR, Verdict.WARNING)
"""Verdicts of rows that are open until the person closes them."""
GAP = 4
"""Pixels between buttons."""
INDENT = 16
"""Left margin of the text, px: it begins below the arrow, since the column is narrow."""


class RemedyText(msgspec.Struct, frozen=True):
    """What a button says, and what it does."""

    title: str
    help: str


REMEDIES: dict[Remedy, RemedyText] = {
    Remedy.MOVE_IN: RemedyText(
        N_("Move in"),
        N_("Moves the artwork that is outside, no farther than needed, into the draw zone. 10 mm stay as a margin."),
    ),
    Remedy.MOVE_ALL_IN: RemedyText(
        N_("Move all artwork in"),
        N_("Moves all shown artwork together, no farther than needed, into the draw zone. 10 mm stay as a margin."),
    ),
    Remedy.MOVE_START_IN: RemedyText(
        N_("Move it into the draw zone"),
        N_(
            "Moves the starting point, no farther than needed, to where the machine can start, clear of the ink if possible."
        ),
    ),
    Remedy.SHRINK: RemedyText(
        N_("Shrink to fit"),
        N_("Shrinks all shown artwork together, no more than needed, and moves it into the draw zone."),
    ),
    Remedy.COVER_ARTWORK: RemedyText(
        N_("Add hangings to cover the artwork"),
        N_("Proposes the hangings that are missing to cover the artwork. Hangings that exist stay where they are."),
    ),
    Remedy.PROVE: RemedyText(
        N_("Proof drawing…"),
        N_("Two crosses and a line; four tape readings of them correct what is known of the machine's page."),
    ),
    Remedy.LINE_UP: RemedyText(
        N_("Line up by marks…"),
        N_("Enter how far the pen was from each mark on the wall. This corrects the anchors."),
    ),
    Remedy.CLIP: RemedyText(
        N_("Clip"),
        N_("Cuts off what lies outside the draw zone."),
    ),
    Remedy.DRAW_OUTSIDE: RemedyText(
        N_("Draw outside anyway"),
        N_("Draws outside the zone anyway. The machine may lose steps or fall there."),
    ),
    Remedy.ADVISE_ANCHORS: RemedyText(
        N_("Better anchors"),
        N_("Moves the anchors to where all shown artwork has the largest reserve."),
    ),
    Remedy.ANCHORS_ONTO_WALL: RemedyText(
        N_("Move both anchors"),
        N_("Moves both anchors together onto the wall. If the wall is too narrow, also closer together."),
    ),
    Remedy.CALIBRATE: RemedyText(
        N_("Calibrate…"),
        N_("Draw a few crosses and measure between them to find the true values of the machine and its anchors."),
    ),
    Remedy.CONTINUE: RemedyText(
        N_("Continue…"),
        N_("Draws what is left, from where the job stopped."),
    ),
    Remedy.DISCARD_INTERRUPTION: RemedyText(
        N_("Discard"),
        N_("The job then no longer counts as interrupted."),
    ),
    Remedy.LIGHT_TO_DARK: RemedyText(
        N_("Order from light to dark"),
        N_("Lets light pens draw first: their tips then take up no dark ink."),
    ),
    Remedy.ORDER_FOR_DRY_INK: RemedyText(
        N_("Order for dry ink"),
        N_("Puts the pens in the order that leaves most time for ink to dry before another pen touches it."),
    ),
    Remedy.WAIT_UNTIL_DRY: RemedyText(
        N_("Wait until dry"),
        N_("The pause before each pen then says how long to wait. The estimate counts the wait."),
    ),
    Remedy.GAP_BETWEEN_COLOURS: RemedyText(
        N_("Gap between colours"),
        N_("Sets the usual gap between areas of different colours, so that wet inks do not touch."),
    ),
    Remedy.ENTER_RATING: RemedyText(
        N_("Enter the rating…"),
        N_("Opens the properties of the hanging, where each anchor has the field “Fixing is rated for”."),
    ),
    Remedy.MEASURE_FRICTION: RemedyText(
        N_("Measure friction…"),
        N_("Opens Measure pens: a small drawing shows how hard each pen rubs, so that the belts can be corrected."),
    ),
    Remedy.SHORTEN: RemedyText(
        N_("Shorter…"),
        N_("Lists changes that shorten the drawing time, with about how much each saves."),
    ),
    Remedy.FILL_ONE_WAY: RemedyText(
        N_("Fill in one direction"),
        N_("Draws all straight fill lines in the same direction: friction then moves all of them alike."),
    ),
}
"""Of each remedy a check can offer."""


def move_words(move: ArtworkMove) -> str:
    """Returns the text of the button that moves artwork, with its name if there are several."""
    (dx, dy), what = move.by, move.subject
    if not dx and not what:
        return tr("Lower it by {0:.0f} mm", dy) if dy > 0 else tr("Raise it by {0:.0f} mm", -dy)
    if not dx:
        return tr("Lower {1} by {0:.0f} mm", dy, what) if dy > 0 else tr("Raise {1} by {0:.0f} mm", -dy, what)
    way = tr("{0:.0f} mm to the right", dx) if dx > 0 else tr("{0:.0f} mm to the left", -dx)
    if dy:
        down = tr("{0:.0f} mm down", dy) if dy > 0 else tr("{0:.0f} mm up", -dy)
        return tr("Move {0} {1} and {2}", what, way, down) if what else tr("Move it {0} and {1}", way, down)
    return tr("Move {0} {1}", what, way) if what else tr("Move it {0}", way)


LETTERS_IN_LINE = 30
"""Of a button: a longer title takes two lines, so that it does not widen the panel."""


class CheckRow(QWidget):
    """Of one check. It is built whole at once: opening it only shows what is there."""

    show_place = Signal(tuple)
    remedy = Signal(object)
    """The Remedy that is wanted."""
    opened = Signal(bool)
    """The person opened or closed it."""

    def __init__(self, check: Check, is_open: bool, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.check = check
        self.header = StateButton(STATES[check.verdict])
        self.header.has_arrow = self.header.wraps = True
        self.header.setCheckable(True)
        self.header.show_state(STATES[check.verdict], check.title, check.figure)
        name = ", ".join(filter(None, (tr(VERDICTS[check.verdict]), check.title, check.figure)))
        explain(self.header, f"{name}\n" + tr("Click to open or close its text."), name)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(0)
        column.addWidget(self.header)
        self._body = self._built()
        column.addWidget(self._body)
        self.set_open(is_open)
        self.header.clicked.connect(self._clicked)

    @property
    def is_open(self) -> bool:
        return self.header.isChecked()

    def set_open(self, on: bool) -> None:
        self.header.setChecked(on)
        self._body.setVisible(on)

    def _clicked(self) -> None:
        self.set_open(self.header.isChecked())
        self.opened.emit(self.is_open)

    def _built(self) -> QWidget:
        body = QWidget()
        column = QVBoxLayout(body)
        column.setContentsMargins(INDENT, 2, GAP, 8)
        column.setSpacing(GAP)
        for buttons in (self._buttons(), self._parts()):
            if buttons:
                column.addWidget(FlowRow(buttons, GAP))
        text = QLabel(unbroken_units(self.check.text))
        text.setWordWrap(True)
        column.addWidget(text)
        return body

    def _parts(self) -> list[QPushButton]:
        """One for each limit that strokes break, marked as they are on the wall; it shows where that is."""
        made = []
        for part in self.check.parts:
            limit = Limit[part.limit]
            metrics = QFontMetricsF(self.font())
            button = QPushButton(icon(limit, metrics, self.devicePixelRatioF()), tr("{0:.2f} m", part.metres))
            button.setIconSize(swatch_size(metrics))
            help = tr("Shows the strokes that lie outside because {0}.", tr(SENTENCES[limit]))
            explain(button, help, tr("{0:.2f} m because {1}", part.metres, tr(SENTENCES[limit])))
            button.clicked.connect(lambda _=False, p=part: self.show_place.emit(p.place))
            made.append(button)
        return made

    def _buttons(self) -> list[QPushButton]:
        """The recommended remedy, the check's place, and a menu of the other remedies."""
        check, made = self.check, []
        for remedy in check.remedies[:1]:
            is_move = remedy is Remedy.MOVE_IN and check.move is not None
            title = move_words(check.move) if is_move and check.move else tr(REMEDIES[remedy].title)
            button = QPushButton("\n".join(textwrap.wrap(title, LETTERS_IN_LINE)))
            button.setAccessibleName(title)
            explain(button, tr(REMEDIES[remedy].help))
            if check.verdict is Verdict.ERROR:
                as_kind(button, Kind.PRIMARY)
            button.clicked.connect(lambda _=False, r=remedy: self.remedy.emit(r))
            made.append(button)
        if check.place is not None:
            show = QPushButton(tr("Show"))
            explain(show, tr("Shows this check's position on the wall."), tr("Show {0}", check.title))
            show.clicked.connect(lambda: self.show_place.emit(check.place))
            made.append(show)
        if len(check.remedies) > 1:
            made.append(self._more(check.remedies[1:]))
        return made

    def _more(self, remedies: tuple[Remedy, ...]) -> QPushButton:
        more = QPushButton(tr("More"))
        explain(more, tr("Other ways to mend this."), tr("Other remedies: {0}", self.check.title))
        menu = QMenu(more)
        menu.setToolTipsVisible(True)
        for remedy in remedies:
            action = menu.addAction(tr(REMEDIES[remedy].title))
            action.setToolTip(tr(REMEDIES[remedy].help))
            action.triggered.connect(lambda _=False, r=remedy: self.remedy.emit(r))
        more.setMenu(menu)
        return more
