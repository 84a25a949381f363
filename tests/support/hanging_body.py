"""MuJoCo as an independent judge: a body on two slides and a hinge, held by two elastic tendons without weight.

Shares no code with app.statics. Units here: m, N, kg; y up. Wall points are given in mm with y down.
"""

from __future__ import annotations

import mujoco
import numpy as np


def _at(point) -> str:
    return f"{point[0] / 1000:.12g} 0 {-point[1] / 1000:.12g}"


class HangingBody:
    """One machine between two anchors."""

    def __init__(
        self, anchors, exits, centre, mass: float, stiffness: float, gravity: float = 9.80665
    ) -> None:
        """Points in mm, y down; exits and centre from the pen tip. stiffness: EA, N."""
        self._stiffness = stiffness
        sites = "".join(f'<site name="e{i}" pos="{_at(e)}"/>' for i, e in enumerate(exits))
        tendons = "".join(
            f'<spatial name="t{i}" springlength="0 1" stiffness="1" damping="0"><site site="a{i}"/>'
            f'<site site="e{i}"/></spatial>'
            for i in (0, 1)
        )
        xml = f"""
        <mujoco><option gravity="0 0 -{gravity}" timestep="0.001"/>
        <worldbody>
         <site name="a0" pos="{_at(anchors[0])}"/><site name="a1" pos="{_at(anchors[1])}"/>
         <body name="pen">
          <joint name="x" type="slide" axis="1 0 0"/><joint name="z" type="slide" axis="0 0 1"/>
          <joint name="turn" type="hinge" axis="0 1 0"/>
          <inertial pos="{_at(centre)}" mass="{mass}" diaginertia="0.004 0.004 0.004"/>{sites}
         </body>
        </worldbody><tendon>{tendons}</tendon></mujoco>"""
        self.model = mujoco.MjModel.from_xml_string(xml)
        self.data = mujoco.MjData(self.model)

    def settle(self, belts, start, tilt: float = 0.0) -> tuple[np.ndarray, float, np.ndarray]:
        """Pen (x, y) mm, tilt rad clockwise, tensions N at rest, for unstretched belts in mm, from a guess.

        Rest is where MuJoCo's own forces (gravity and springs, data.qfrc_smooth) vanish; found by Newton on its
        forward dynamics with a difference quotient, so the settled pose is exact, not merely damped out.
        """
        model, data = self.model, self.data
        for i in (0, 1):
            # A tendon spring with stiffness EA / L0 that only pulls: the dead band reaches from 0 to L0.
            model.tendon_stiffness[i] = self._stiffness / (belts[i] / 1000)
            model.tendon_lengthspring[i] = (0.0, belts[i] / 1000)
        q = np.array([start[0] / 1000, -start[1] / 1000, tilt])
        for _ in range(100):
            force = self._force(q)
            jacobian = np.column_stack(
                [(self._force(q + h) - self._force(q - h)) / 2e-7 for h in 1e-7 * np.eye(3)]
            )
            step = np.linalg.solve(jacobian, -force)
            step *= min(1.0, 0.05 / np.abs(step).max())
            q = q + step
            if np.abs(step).max() < 1e-12:
                break
        self._force(q)
        stretch = data.ten_length - np.array(belts) / 1000
        return (
            np.array([q[0] * 1000, -q[1] * 1000]),
            float(q[2]),
            np.maximum(stretch, 0) * model.tendon_stiffness,
        )

    def _force(self, q: np.ndarray) -> np.ndarray:
        self.data.qpos[:] = q
        self.data.qvel[:] = 0
        mujoco.mj_forward(self.model, self.data)
        return self.data.qfrc_smooth.copy()
