"""Swing modes of the hanging body: natural frequencies and mode shapes of small motions about a pose, belts held.

Coordinates (x, y, θ) of pen and tilt. With stiffness K (stability.py) and mass matrix M, shapes φ and angular frequencies ω
solve K φ = ω² M φ, φᵀ M φ = 1. The slowest mode is the body rocking in its two belts, a pendulum; the others stretch the
belts. Belts are treated as massless springs.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from wallwright.document.arrays import Floats
from wallwright.document.machine import Body
from wallwright.statics.cable_robot import CableRobotModel
from wallwright.statics.obstacles import body_outline
from wallwright.statics.pose import Pose
from wallwright.statics.stability import stiffness_of


@dataclass(frozen=True)
class SwingModes:
    """Three modes at each of n poses, slowest first; nan where the body cannot hang or is unstable."""

    frequency: Floats
    """(n, 3) Hz."""
    shape: Floats
    """(n, 3, 3): pose, then x, y (mm) and tilt (rad), then the mode; normalised to a mass of 1 in kg and mm."""
    mass: Floats
    """(n, 3, 3): M, kg, kg mm, kg mm²."""


def inertia_of(body: Body) -> float:
    """Returns the moment of inertia about the centre of mass, kg mm²: that of a plate with the body's outline and uniform
    mass.

    Common practice, no source: motors and ballast are spread over the whole body. Second moments of a polygon by its
    vertices (Green's theorem; Riley, Hobson, Bence, "Mathematical Methods for Physics and Engineering", 11.3; from memory).
    """
    x, y = np.array(body_outline(body.outline), dtype=float).T
    nx, ny = np.roll(x, -1), np.roll(y, -1)
    cross = x * ny - nx * y
    area = cross.sum() / 2
    centre = np.array([((x + nx) * cross).sum(), ((y + ny) * cross).sum()]) / (6 * area)
    polar = (((x * x + x * nx + nx * nx) + (y * y + y * ny + ny * ny)) * cross).sum() / 12
    return float(body.mass * (polar / area - centre @ centre))


def swing_modes(rig: CableRobotModel, mass: float, inertia: float, pose: Pose) -> SwingModes:
    """Returns the modes of each pose. mass: kg; inertia: about the centre of mass, kg mm²."""
    cos, sin = np.cos(pose.tilt), np.sin(pose.tilt)
    cx, cy = rig.centre
    x, y = cos * cx - sin * cy, sin * cx + cos * cy
    n = len(pose.tilt)
    m = np.zeros((n, 3, 3))
    m[:, 0, 0] = m[:, 1, 1] = mass
    # With the tilt, the centre of mass moves by θ (-y, x).
    m[:, 0, 2] = m[:, 2, 0] = -mass * y
    m[:, 1, 2] = m[:, 2, 1] = mass * x
    m[:, 2, 2] = inertia + mass * (x * x + y * y)
    stiff = 1000 * stiffness_of(rig, pose)  # N/mm = 1000 kg/s²
    frequency, shape = np.full((n, 3), np.nan), np.full((n, 3, 3), np.nan)
    good = np.isfinite(stiff).all(axis=(1, 2)) & np.isfinite(m).all(axis=(1, 2))
    root = np.linalg.inv(np.linalg.cholesky(m[good]))
    square, vectors = np.linalg.eigh(root @ stiff[good] @ root.transpose(0, 2, 1))
    with np.errstate(invalid="ignore"):
        frequency[good] = np.sqrt(square) / (2 * np.pi)
    shape[good] = root.transpose(0, 2, 1) @ vectors
    return SwingModes(frequency, shape, m)
