"""Anchor checks: the pull on their fixings, and cables or pipes that may run behind them."""

from __future__ import annotations

import numpy as np

from wallwright.document.columns import column_max
from wallwright.document.language import format_number, tr
from wallwright.document.wall import FIXING_RESERVE, Anchor, KeepOut
from wallwright.jobs.checks import Check, Remedy, Verdict
from wallwright.planning.assumed_values import assumed_text
from wallwright.planning.check_context import CheckContext
from wallwright.statics.cable_robot import GRAVITY

ZONE_HALF_WIDTH = 150.0
"""Half width of the zones, mm, to either side of a socket or switch and below the ceiling, where cables run. BS
7671:2018, 522.6.202: cables run straight up, down or sideways from an accessory, or within 150 mm of the ceiling (from
memory). DIN 18015-3 has zones of similar width (from memory)."""

OF_PULL = ("body.mass", "belt.mass")
"""Machine values that the pull depends on."""

OK, NOTE, WARNING, ERROR = Verdict.OK, Verdict.NOTE, Verdict.WARNING, Verdict.ERROR


def fixings(context: CheckContext) -> list[Check]:
    """Checks the pull on each anchor against the rating of its fixing; without a rating, report the pull alone."""
    if not len(context.motion.tension):
        return []
    belt = context.rig.belt_weight * column_max(context.motion.belts)
    pulls = column_max(context.motion.tension) + belt
    return [
        Check(
            f"anchor-{side}",
            *_pull(float(pull), anchor.rating, title, assumed_text(context.document.machine, *OF_PULL)),
            _place_of(anchor),
            () if anchor.rating else (Remedy.ENTER_RATING,),
            figure=f"{format_number(pull, '.1f')} N",
        )
        for side, title, pull, anchor in _sides(context, pulls)
    ]


def cables(context: CheckContext) -> list[Check]:
    """Checks for anchors where cables or pipes are likely behind the wall."""
    wall, found = context.document.wall, []
    for side, title, _, anchor in _sides(context, np.zeros(2)):
        lines = [k for k in wall.keep_outs if k.kind != "obstacle" and _is_in_line(anchor, k)]
        if lines:
            names = ", ".join(tr("“{0}”", k.name) for k in lines)
            text = tr(
                "It is straight above, below or beside {0}, where cables and pipes often run. Check with a detector "
                "before you drill, or move the anchor.",
                names,
            )
            found.append(Check(f"cables-{side}", WARNING, tr("{0}: cables and pipes", title), text, _place_of(anchor)))
        elif abs(anchor.y - wall.top) < ZONE_HALF_WIDTH:
            text = tr(
                "It is less than {0:.0f} mm below the ceiling, where cables often run. Check with a detector before "
                "you drill.",
                ZONE_HALF_WIDTH,
            )
            found.append(Check(f"cables-{side}", NOTE, tr("{0}: cables and pipes", title), text, _place_of(anchor)))
    return found


def _sides(context: CheckContext, pulls: np.ndarray) -> list[tuple[str, str, float, Anchor]]:
    left, right = context.hanging.left, context.hanging.right
    return [
        ("left", tr("Left anchor"), float(pulls[0]), left),
        ("right", tr("Right anchor"), float(pulls[1]), right),
    ]


def _pull(pull: float, rating: float, title: str, assumed: str) -> tuple[Verdict, str, str]:
    """Returns verdict, title and text for one anchor; N. assumed: values that the pull depends on and nobody has entered."""
    if not rating:
        text = tr(
            "Pull up to {0:.1f} N, the weight of {3:.1f} kg. Enter what its fixing is rated for in this wall. Common "
            "practice, no source: at least {1:g} times the pull, here {2:.0f} N or {4:.1f} kg.",
            pull,
            FIXING_RESERVE,
            FIXING_RESERVE * pull,
            pull / GRAVITY,
            FIXING_RESERVE * pull / GRAVITY,
        )
        return NOTE, title, text + assumed
    verdict = ERROR if pull > rating else WARNING if FIXING_RESERVE * pull > rating else OK
    text = tr(
        "Pull up to {0:.1f} N, the weight of {2:.1f} kg; its fixing is rated for {1:.0f} N.",
        pull,
        rating,
        pull / GRAVITY,
    )
    if verdict is not OK:
        text += " " + tr(
            "Use a fixing rated for at least {0:g} times the pull (common practice, no source), or move the "
            "drawing down.",
            FIXING_RESERVE,
        )
    return verdict, title, text + assumed


def _is_in_line(anchor: Anchor, keep_out: KeepOut) -> bool:
    """Returns whether an anchor lies in the strip directly above and below a keep-out, or in the one beside it."""
    x, y = np.array(keep_out.outline).T
    across = x.min() - ZONE_HALF_WIDTH <= anchor.x <= x.max() + ZONE_HALF_WIDTH
    down = y.min() - ZONE_HALF_WIDTH <= anchor.y <= y.max() + ZONE_HALF_WIDTH
    return bool(across or down)


def _place_of(anchor: Anchor) -> tuple[float, float, float, float]:
    return anchor.x, anchor.y, anchor.x, anchor.y
