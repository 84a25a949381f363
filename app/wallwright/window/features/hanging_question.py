"""The question before hangings are added or placed anew: what stays, what comes, and where."""

from __future__ import annotations

from collections.abc import Callable
from html import escape

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QMessageBox, QWidget

from wallwright.document import edits_hangings
from wallwright.document.document import Document
from wallwright.document.errors import BadValue
from wallwright.document.language import format_number, plural, tr
from wallwright.document.origin import wall_corner
from wallwright.document.placing import bounding_box
from wallwright.document.wall import Anchor
from wallwright.jobs.checks import ArtworkMove
from wallwright.planning.drawn_parts import Parts
from wallwright.planning.hanging_proposal import NO_PARTS, HangingProposal, is_better_anew
from wallwright.planning.move_in import MarginedZone
from wallwright.window.features.hanging_sketch import as_rich_text, hanging_sketch
from wallwright.window.model.remedies import moved_as_offered

MOST_NAMED = 6
"""Hangings whose anchors are listed; the rest is counted."""


def with_added(document: Document, proposal: HangingProposal) -> Document:
    """The document with the hangings that are missing; those that exist stay as they are. Raises BadValue."""
    for place in proposal.places:
        document = edits_hangings.add_hanging(document, *place)
    return document


def moved_where_drawn(document: Document, parts: Parts) -> tuple[Document, str] | None:
    """Returns the document with all shown artwork moved together into the zones of its hangings, and a sentence on the move;
    None if it does not fit or need not move. A place with the motor reserve is preferred."""
    shown = [p for p in document.placements if p.visible]
    if not shown:
        return None
    box = bounding_box(shown, parts)
    for number, zone in enumerate(MarginedZone.of(document).best_first):
        by = zone.nearest(box)
        if by is None:
            continue
        if by == (0.0, 0.0):
            return None
        text = tr("All of it can be drawn if the artwork also moves: {0}.", _move_text(*by))
        if number:
            text += " " + tr("The motors then have less than the recommended reserve.")
        return moved_as_offered(document, ArtworkMove(tuple(p.id for p in shown), "", by)), text
    return None


def ask_about_hangings(
    parent: QWidget, document: Document, missing: HangingProposal, anew: HangingProposal, parts: Parts = NO_PARTS
) -> tuple[Document, int] | None:
    """Returns the document that the person chose and the index of the first new hanging; None: unchanged.

    missing: hangings to add; anew: all hangings in other places; parts: drawn parts by placement id.
    """
    box = QMessageBox(QMessageBox.Icon.Question, tr("Add hangings to cover the artwork"), "", parent=parent)
    texts: list[str] = []
    role = QMessageBox.ButtonRole
    add = replace = move = None
    added: Document | None = None
    moved: Document | None = None
    placed = document
    if missing.places:
        added = _or_none(lambda: with_added(document, missing), texts)
        if added is not None:
            add = box.addButton(tr("Add hangings"), role.AcceptRole)
            count = len(missing.places)
            text = plural(
                "One hanging is added; those that exist stay where they are.",
                "{0} hangings are added; those that exist stay where they are.",
                count,
            )
            help = moved_where_drawn(added, parts) if missing.warning else None
            if help is not None:
                moved = help[0]
                move = box.addButton(tr("Add hangings and move artwork"), role.AcceptRole)
            texts.append(escape(" ".join(filter(None, (text, missing.warning, help[1] if help else "")))))
            texts.append(_listed(added, len(document.hangings)))
    if is_better_anew(document, anew) and anew.places != missing.places:
        placed = edits_hangings.replace_hangings(document, anew.places)
        replace = box.addButton(tr("Place all anew"), role.DestructiveRole)
        texts.append(_about_replacing(document, placed))
    box.setTextFormat(Qt.TextFormat.RichText)
    box.setText(texts[0] if texts else "")
    box.setInformativeText("".join(f"<p>{text}</p>" for text in texts[1:]))
    cancel = box.addButton(QMessageBox.StandardButton.Cancel)
    box.setDefaultButton(move or add or cancel)
    box.exec()
    chosen = box.clickedButton()
    box.deleteLater()
    if move is not None and chosen is move and moved is not None:
        return moved, len(document.hangings)
    if add is not None and chosen is add and added is not None:
        return added, len(document.hangings)
    return (placed, 0) if replace is not None and chosen is replace else None


def _or_none(edit: Callable[[], Document], texts: list[str]) -> Document | None:
    try:
        return edit()
    except BadValue as trouble:
        texts.append(escape(f"{trouble}."))
        return None


def _about_replacing(before: Document, after: Document) -> str:
    """What is lost when all hangings are placed anew, and how far the first anchors move on the wall."""
    lost = [
        name
        for name, holds in (
            (tr("register marks"), lambda h: h.register.marks),
            (tr("handover lines"), lambda h: h.handover is not None),
            (tr("calibration"), lambda h: h.survey.marks or h.survey.measures),
        )
        if any(holds(hanging) for hanging in before.hangings)
    ]
    x, y = (one - other for one, other in zip(_on_wall(after), _on_wall(before), strict=True))
    text = plural(
        "Place all anew replaces all hangings with {0} new one. The first left anchor moves: {1}.",
        "Place all anew replaces all hangings with {0} new ones. The first left anchor moves: {1}.",
        len(after.hangings),
        _move_text(x, y),
    )
    if lost:
        text = f"{text} {tr('This is lost: {0}.', ', '.join(lost))}"
    return escape(text) + _listed(after, 0)


def _move_text(x: float, y: float) -> str:
    """A way on the wall, mm to the right and down, without signs."""
    parts = []
    if round(x):
        parts.append(tr("{0:.0f} mm to the right", x) if x > 0 else tr("{0:.0f} mm to the left", -x))
    if round(y):
        parts.append(tr("{0:.0f} mm down", y) if y > 0 else tr("{0:.0f} mm up", -y))
    return ", ".join(parts) or tr("not at all")


def _on_wall(document: Document) -> tuple[float, float]:
    """The first left anchor from the wall's top left corner, mm."""
    left, wall = document.hangings[0].left, document.wall
    return left.x - wall.left, left.y - wall.top


def _listed(document: Document, first: int) -> str:
    """The hangings from a number on, from left to right, with the places of their anchors: a table as rich text."""
    origin = wall_corner(document)
    hangings = sorted(document.hangings[first:], key=lambda h: h.left.x)

    def place(anchor: Anchor) -> str:
        across, up = origin.from_wall(anchor.x, anchor.y)
        return f"{format_number(across, '.0f')}; {format_number(up, '.0f')}"

    heads = "".join(
        f"<th align='left'>{h}&nbsp;&nbsp;&nbsp;</th>" for h in (tr("Hanging"), tr("Left anchor"), tr("Right anchor"))
    )
    rows = "".join(
        f"<tr><td>{escape(h.name)}&nbsp;&nbsp;</td><td>{place(h.left)}&nbsp;&nbsp;</td><td>{place(h.right)}</td></tr>"
        for h in hangings[:MOST_NAMED]
    )
    more = len(hangings) - MOST_NAMED
    caption = tr("mm from the wall's left edge; mm above the floor")
    rest = f"<br>{tr('And {0} more.', more)}" if more > 0 else ""
    picture = as_rich_text(hanging_sketch(document, first), escape(tr("The wall with these hangings"), quote=True))
    return (
        f"<p>{picture}</p><table cellspacing='4'><tr>{heads}</tr>{rows}</table><small>{escape(caption)}</small>{rest}"
    )
