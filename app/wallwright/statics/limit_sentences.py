"""Sentences that say by how much a pose violates the limits of the draw zone."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

import numpy as np

from wallwright.document.language import tr
from wallwright.document.machine import Machine
from wallwright.document.wall import Wall
from wallwright.statics.cable_robot import CableRobotModel
from wallwright.statics.limits import PRIORITY, SENTENCES, Limit, body_outlines
from wallwright.statics.motor import available_pull
from wallwright.statics.obstacles import keep_out_area
from wallwright.statics.pose import Pose

if TYPE_CHECKING:
    from shapely import Polygon


def describe_excesses(wall: Wall, machine: Machine, rig: CableRobotModel, pose: Pose, bits: int) -> list[str]:
    """Returns a sentence for each limit that a single pose violates, the most important first. bits: of that pose, from
    limits.broken."""
    return [text for limit in PRIORITY if limit & bits for text in _excess_sentences(limit, wall, machine, rig, pose)]


def _excess_sentences(limit: Limit, wall: Wall, machine: Machine, rig: CableRobotModel, pose: Pose) -> Iterator[str]:
    limits, pulls = machine.limits, pose.exit_tension[0].tolist()
    if limit is Limit.SLACK:
        for name, pull in zip((tr("Left belt"), tr("Right belt")), pulls, strict=True):
            if pull < limits.least_tension:
                yield tr(
                    "{0} would go slack: its tension is {1:.2f} N, at least {2:.2f} N are needed.",
                    name,
                    pull,
                    limits.least_tension,
                )
    elif limit is Limit.LOST_STEPS:
        most = float(available_pull(machine, limits.belt_speed))
        for name, pull in zip((tr("Left motor"), tr("Right motor")), pulls, strict=True):
            if pull > most:
                yield tr(
                    "{0} would lose steps: its belt needs {1:.1f} N, it holds {2:.1f} N at full belt speed.",
                    name,
                    pull,
                    most,
                )
    elif limit is Limit.TILT:
        tilt, most = np.degrees([abs(pose.tilt[0]), limits.tilt]).tolist()
        yield tr("The body would tilt too far: {0:.1f}° (limit: {1:.1f}°).", tilt, most)
    elif limit is Limit.BELT_LENGTH:
        for name, need in zip((tr("Left belt"), tr("Right belt")), pose.belts[0].tolist(), strict=True):
            if need > machine.belt.length:
                yield tr("{0} is {1:.0f} mm too short: {2:.0f} mm are needed.", name, need - machine.belt.length, need)
    elif limit is Limit.EDGE:
        yield from _over_edges(wall, machine, pose)
    elif limit is Limit.ANCHOR:
        yield from _at_anchors(machine, rig, pose)
    elif limit is Limit.KEEP_OUT:
        yield from _at_keep_outs(wall, machine, pose)
    else:
        text = tr(SENTENCES[limit])
        yield text[:1].upper() + text[1:] + "."


def _over_edges(wall: Wall, machine: Machine, pose: Pose) -> Iterator[str]:
    x, y = body_outlines(machine, pose)
    gap = machine.limits.edge_gap
    for name, away in (
        (tr("Left edge of the wall"), x.min() - wall.left),
        (tr("Right edge of the wall"), wall.right - x.max()),
        (tr("Ceiling"), y.min() - wall.top),
        (tr("Floor"), wall.floor - y.max()),
    ):
        if away < gap:
            yield _too_near(name, float(away), gap)


def _at_anchors(machine: Machine, rig: CableRobotModel, pose: Pose) -> Iterator[str]:
    import shapely  # slow to import: kept out of the window's start

    body, gap = _body(machine, pose), machine.limits.edge_gap
    for name, anchor in zip((tr("Left anchor"), tr("Right anchor")), rig.anchors, strict=True):
        point = shapely.Point(anchor)
        away = body.distance(point) or -body.exterior.distance(point)
        if away <= gap:
            yield _too_near(name, away, gap)


def _at_keep_outs(wall: Wall, machine: Machine, pose: Pose) -> Iterator[str]:
    import shapely

    gap, pen = machine.limits.edge_gap, shapely.Point(pose.pen[0])
    body = _body(machine, pose).union(pen)
    for keep_out in wall.keep_outs:
        area = keep_out_area(keep_out.outline)
        away = body.distance(area)
        if away <= 0:
            left, top, right, bottom = body.intersection(area).bounds
            away = -min(right - left, bottom - top)
        if away <= gap:
            yield _too_near(keep_out.name, away, gap)


def _body(machine: Machine, pose: Pose) -> Polygon:
    import shapely

    x, y = body_outlines(machine, pose)
    body: Polygon = shapely.Polygon(np.column_stack([x[0], y[0]])).buffer(0)
    return body


def _too_near(name: str, away: float, gap: float) -> str:
    """Returns the sentence for a clearance that is too small. away: distance between the body and the thing, mm, below 0
    if they overlap."""
    if away < 0:
        return tr("{0}: the body would reach {1:.0f} mm over it; it must keep {2:.0f} mm away.", name, -away, gap)
    return tr("{0}: the body would be {1:.0f} mm away; it must keep {2:.0f} mm.", name, away, gap)
