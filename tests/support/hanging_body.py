"""MuJoCo as an independent reference: a body on two slides and a hinge, held by two elastic tendons.

Shares no code with wallwright.statics. Units here: m, N, kg; y up. Wall points are given in mm with y down. Belts are
massless tendons, or chains of point masses joined by many short tendons; they end in eyelets, or run over rollers
(MuJoCo's tendon wrapping) to a point below the roller on the body.
"""

from __future__ import annotations

import itertools
import math

import mujoco
import numpy as np

BELOW = 20.0
"""Distance below the roller's axis at which its belt is fixed to the body, mm."""


def _at(point, depth: float = 0.0) -> str:
    return f"{point[0] / 1000:.12g} {depth / 1000:.12g} {-point[1] / 1000:.12g}"


class HangingBody:
    """A machine between two anchors."""

    def __init__(
        self,
        anchors,
        exits,
        centre,
        mass: float,
        stiffness: float,
        *,
        roller: float = 0.0,
        stand_off=(0.0, 0.0),
        links: int = 0,
        belt_mass: float = 0.0,
        gravity: float = 9.80665,
        inertia: float = 0.004,
    ) -> None:
        """Points in mm, y down; exits and centre from the pen tip. stiffness: EA, N. stand_off: anchors' less exits', mm.

        links: tendons in each chain, 0 for one massless tendon. belt_mass: of the chains, kg/m. inertia: of the body
        about its centre of mass, kg m².
        """
        self._anchors, self._exits, self._stand_off = anchors, exits, stand_off
        self._stiffness, self._roller = stiffness, roller
        self._links, self._belt_mass = links, belt_mass
        self._foot = self._foot_push = (0.0, 0.0)
        bodies, tendons, ends = "", "", ""
        axes = ("1 0 0", "0 0 1", "0 1 0") if any(stand_off) else ("1 0 0", "0 0 1")
        self._axes = len(axes)
        slides = "".join(f'<joint type="slide" axis="{axis}"/>' for axis in axes)
        for i, out in enumerate((-1, 1)):
            x, y = exits[i]
            if roller:
                ends += f"""
                <geom name="g{i}" type="cylinder" size="{roller / 1000} 0.01" pos="{_at((x, y))}" zaxis="0 1 0"
                 contype="0" conaffinity="0"/>
                <site name="s{i}" pos="{_at((x - out * 1.2 * roller, y - 1.2 * roller))}"/>
                <site name="e{i}" pos="{_at((x - out * roller, y + BELOW))}"/>"""
                wrap = f'<geom geom="g{i}" sidesite="s{i}"/>'
            else:
                # Half of the last link's mass hangs at the exit.
                ends += f"""<site name="e{i}" pos="{_at((x, y))}"/>
                <body name="h{i}" pos="{_at((x, y))}">
                 <inertial pos="0 0 0" mass="1e-12" diaginertia="1e-12 1e-12 1e-12"/></body>"""
                wrap = ""
            inner = [f"m{i}_{k}" for k in range(1, links)]
            for name in inner:
                bodies += f"""<body name="{name}">{slides}
                 <inertial pos="0 0 0" mass="1" diaginertia="1 1 1"/><site name="{name}"/></body>"""
            names = [f"a{i}", *inner, f"e{i}"]
            for a, b in itertools.pairwise(names):
                tendons += (
                    f'<spatial springlength="0 1" stiffness="1"><site site="{a}"/>{wrap}<site site="{b}"/></spatial>'
                )
        xml = f"""
        <mujoco><option gravity="0 0 -{gravity}" timestep="0.001"/>
        <worldbody>
         <site name="a0" pos="{_at(anchors[0], stand_off[0])}"/><site name="a1" pos="{_at(anchors[1], stand_off[1])}"/>
         <body name="pen">
          <joint name="x" type="slide" axis="1 0 0"/><joint name="z" type="slide" axis="0 0 1"/>
          <joint name="turn" type="hinge" axis="0 1 0"/>
          <inertial pos="{_at(centre)}" mass="{mass}" diaginertia="{inertia} {inertia} {inertia}"/>{ends}
         </body>{bodies}
        </worldbody><tendon>{tendons}</tendon></mujoco>"""
        self.model = mujoco.MjModel.from_xml_string(xml)
        self.data = mujoco.MjData(self.model)

    def settle(
        self, belts, start, tilt: float = 0.0, push=(0.0, 0.0), foot=(0.0, 0.0), foot_push=(0.0, 0.0)
    ) -> tuple[np.ndarray, float, np.ndarray]:
        """Returns pen (x, y) mm, tilt rad clockwise, tensions N of the last link at rest, for unstretched belts
        in mm, from a guess.

        Belts are measured from the anchor to the eyelet, or to the top of the roller. push: N on the pen tip, y down;
        foot_push: N on a point foot of the body, mm from the pen tip.
        At rest MuJoCo's forces (gravity, springs, push: data.qfrc_smooth) vanish; the pose is found by Newton's
        method on its forward dynamics with a difference quotient, so it is exact, not merely damped out.
        """
        model, data = self.model, self.data
        # Around the roller from its top to its inner side is a quarter turn.
        held = self._roller * math.pi / 2 + BELOW if self._roller else 0.0
        free = (np.asarray(belts, dtype=float) + held) / 1000
        count = max(self._links, 1)
        for i in (0, 1):
            link = free[i] / count
            own = slice(i * count, (i + 1) * count)
            model.tendon_stiffness[own] = self._stiffness / link
            # A single belt only pulls: its dead band starts at 0. A chain's links are checked afterwards.
            model.tendon_lengthspring[own] = (link if self._links else 0.0, link)
            if self._links:
                for k in range(1, count):
                    model.body(f"m{i}_{k}").mass[:] = self._belt_mass * link
                model.body(f"h{i}").mass[:] = self._belt_mass * link / 2
        mujoco.mj_setConst(model, data)
        data.qfrc_applied[:2] = push[0], -push[1]
        self._foot, self._foot_push = foot, foot_push
        q = self._start(start, tilt)
        for _ in range(200):
            step = np.linalg.solve(self._jacobian(q), -self._force(q))
            step *= min(1.0, 0.05 / np.abs(step).max())
            q = q + step
            if np.abs(step).max() < 1e-11:
                break
        self._force(q)
        stretch = data.ten_length - model.tendon_lengthspring[:, 1]
        tension = stretch * model.tendon_stiffness
        if self._links:
            assert tension.min() > 0, "a link of a chain is pushed"
        last = np.array([count - 1, 2 * count - 1])
        return np.array([q[0] * 1000, -q[1] * 1000]), float(q[2]), np.maximum(tension[last], 0)

    def _start(self, pen, tilt: float) -> np.ndarray:
        """Returns coordinates with the pen at a guess and chains along straight lines."""
        q = [pen[0] / 1000, -pen[1] / 1000, tilt]
        cos, sin = math.cos(tilt), math.sin(tilt)
        for (ex, ey), (ax, ay), depth in zip(self._exits, self._anchors, self._stand_off, strict=True):
            x, y = pen[0] + cos * ex - sin * ey, pen[1] + sin * ex + cos * ey
            for k in range(1, self._links):
                share = k / self._links
                place = (
                    (ax + share * (x - ax)) / 1000,
                    -(ay + share * (y - ay)) / 1000,
                    (1 - share) * depth / 1000,
                )
                q += place[: self._axes]
        return np.array(q)

    def replay(
        self, time, belts, start, tilt: float = 0.0, step: float = 2.5e-4
    ) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
        """Simulates the body while the belts (n, 2), mm, move linearly between the times (n,), s, from rest.

        Single massless belts. Returns times (m,), the pen (m, 2), mm, and tensions (m, 2), N, by MuJoCo's forward dynamics,
        fourth-order Runge-Kutta, no damping.
        """
        assert not self._links and not self._roller
        model, data = self.model, self.data
        self.settle(belts[0], start, tilt)
        data.qvel[:] = 0
        model.opt.timestep, model.opt.integrator = step, mujoco.mjtIntegrator.mjINT_RK4
        times = np.arange(time[0], time[-1], step)
        free = np.column_stack([np.interp(times + step / 2, time, belts[:, i]) for i in (0, 1)]) / 1000
        pens, tensions = np.empty((len(times), 2)), np.empty((len(times), 2))
        for k, length in enumerate(free):
            model.tendon_stiffness[:] = self._stiffness / length
            model.tendon_lengthspring[:, 1] = length
            mujoco.mj_step(model, data)
            pens[k] = data.qpos[0] * 1000, -data.qpos[1] * 1000
            tensions[k] = np.maximum(data.ten_length - length, 0) * model.tendon_stiffness
        return times + step, pens, tensions

    def stiffness(self, pen, tilt: float) -> np.ndarray:
        """Returns the (3, 3) stiffness by x, y down (mm) and tilt (rad) with the last settled belts: N/mm, N/rad,
        N·mm/rad."""
        assert not self._links
        to_own = np.diag([1e-3, -1e-3, 1.0])
        own = -self._jacobian(to_own @ [*pen, tilt])
        return 1000 * to_own @ own @ to_own

    def _jacobian(self, q: np.ndarray) -> np.ndarray:
        h = 1e-7
        return np.column_stack([(self._force(q + d) - self._force(q - d)) / (2 * h) for d in h * np.eye(len(q))])

    def _force(self, q: np.ndarray) -> np.ndarray:
        self.data.qpos[:] = q
        self.data.qvel[:] = 0
        self.data.xfrc_applied[:] = 0
        mujoco.mj_forward(self.model, self.data)
        found = self.data.qfrc_smooth.copy()
        if any(self._foot_push):
            body = self.model.body("pen").id
            point = self.data.xpos[body] + self.data.xmat[body].reshape(3, 3) @ [
                self._foot[0] / 1000,
                0.0,
                -self._foot[1] / 1000,
            ]
            own = np.zeros(self.model.nv)
            force = np.array([self._foot_push[0], 0.0, -self._foot_push[1]])
            mujoco.mj_applyFT(self.model, self.data, force, np.zeros(3), point, body, own)
            found += own
        return found
