"""MuJoCo model of pen friction, as an independent reference: a ball pressed against a plane, with an elliptic friction cone
(Coulomb), on a body that hangs by two elastic tendons.

Shares no code with wallwright. Points in mm, y down, as in tests/support/hanging_body.py.
"""

from __future__ import annotations

from dataclasses import dataclass

import mujoco
import numpy as np

PRESSED = 1.0
"""Force that presses the ball to the wall, N."""
BALL = 1e-3
"""Radius of the ball, m."""


def _at(point) -> str:
    return f"{point[0] / 1000:.12g} 0 {-point[1] / 1000:.12g}"


@dataclass
class DraggedBody:
    """One machine between two anchors."""

    anchors: tuple
    exits: tuple
    centre: tuple
    mass: float
    stiffness: float
    drag: float
    """Friction on the pen, N."""
    inertia: float = 0.004
    """Moment of inertia about the centre of mass, kg m²."""
    damping: float = 0.0
    """Damping of the tilt, N m s/rad."""
    belt_loss: float = 0.0
    """Damping ratio of the mass on one elastic belt, whose force depends on its strain and strain rate (Kelvin and
    Voigt)."""

    def __post_init__(self) -> None:
        ends = "".join(f'<site name="e{i}" pos="{_at(self.exits[i])}"/>' for i in (0, 1))
        tendons = "".join(
            f'<spatial springlength="0 1" stiffness="1"><site site="a{i}"/><site site="e{i}"/></spatial>'
            for i in (0, 1)
        )
        share = self.drag / PRESSED
        self.model = mujoco.MjModel.from_xml_string(f"""
        <mujoco><option gravity="0 0 -9.80665" timestep="0.0005" cone="elliptic" impratio="100"
          integrator="implicitfast" tolerance="1e-10"/>
        <default><geom solref="0.002 1" solimp="0.999 0.9999 0.001" condim="3" friction="{share} 0 0"/></default>
        <worldbody>
         <site name="a0" pos="{_at(self.anchors[0])}"/><site name="a1" pos="{_at(self.anchors[1])}"/>
         <geom name="wall" type="plane" size="0 0 1" zaxis="0 1 0"/>
         <body name="pen">
          <joint name="x" type="slide" axis="1 0 0"/><joint name="z" type="slide" axis="0 0 1"/>
          <joint name="turn" type="hinge" axis="0 1 0" damping="{self.damping}"/>
          <inertial pos="{_at(self.centre)}" mass="{self.mass}" diaginertia="{self.inertia} {self.inertia} {self.inertia}"/>
          {ends}
          <body name="tip"><joint name="press" type="slide" axis="0 1 0"/>
           <geom name="ball" type="sphere" size="{BALL}" pos="0 {BALL} 0" mass="0.0001"/></body>
         </body>
        </worldbody><tendon>{tendons}</tendon></mujoco>""")
        self.data = mujoco.MjData(self.model)
        self._ball = self.model.geom("ball").id

    def replay(self, time, belts, down, pen, tilt: float = 0.0, every: int = 4) -> np.ndarray:
        """Returns (m, 2) the pen, mm, at every `every`-th of the evenly spaced times (n,), s, for belts (n, 2), mm.
        down: (n,) bool, whether the pen touches the wall. Starts at rest near pen (x, y), mm, and tilt, rad."""
        model, data = self.model, self.data
        model.opt.timestep = float(time[1] - time[0])
        data.qpos[:] = pen[0] / 1000, -pen[1] / 1000, tilt, 0.0
        data.qvel[:] = 0
        self._settle(belts[0])
        free = np.asarray(belts) / 1000
        stiff = self.stiffness / free
        loss = 2 * self.belt_loss * np.sqrt(self.mass * stiff)  # N s/m
        rate = np.gradient(free, float(time[1] - time[0]), axis=0)
        free = free + loss * rate / stiff  # MuJoCo damps the rate of the length, not of the strain
        pens = np.empty((len(time[::every]), 2))
        for k in range(len(time)):
            model.tendon_stiffness[:] = stiff[k]
            model.tendon_damping[:] = loss[k]
            model.tendon_lengthspring[:, 1] = free[k]
            model.geom_contype[self._ball] = model.geom_conaffinity[self._ball] = int(down[k])
            data.qfrc_applied[3] = -PRESSED if down[k] else 0.0
            if not down[k]:
                data.qpos[3] = data.qvel[3] = 0.0
            mujoco.mj_step(model, data)
            if k % every == 0:
                pens[k // every] = data.qpos[0] * 1000, -data.qpos[1] * 1000
        return pens

    def _settle(self, belts) -> None:
        """Settles the body with the pen off the wall, by steps with strong damping."""
        model, data = self.model, self.data
        free = np.asarray(belts) / 1000
        model.tendon_stiffness[:], model.tendon_lengthspring[:, 1] = self.stiffness / free, free
        model.geom_contype[self._ball] = model.geom_conaffinity[self._ball] = 0
        kept = model.dof_damping.copy()
        model.dof_damping[:3] = 8.0, 8.0, 0.03
        for _ in range(6000):
            mujoco.mj_step(model, data)
        model.dof_damping[:] = kept
        data.qvel[:] = 0
