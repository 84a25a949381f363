"""Spans against closed forms of the catenary.

The parabola and catenary relations are those of Irvine, "Cable Structures" (MIT Press, 1981), sections 2.1 to 2.4:
T = H + w d along a span, s = c sinh(x / c), and the elastic catenary's stretch. Their numbers are worked here by hand
from those formulas, not taken from wallwright.statics.
"""

import numpy as np
import pytest

from wallwright.statics.cable_robot import CableRobotModel
from wallwright.statics.equilibrium import span_forces
from wallwright.statics.forward_kinematics import forward_kinematics
from wallwright.statics.pose import inverse_kinematics, sag, span_curve


def test_inextensible_catenary():
    """c = H / w = 1000 mm; the lowest point at the exit (V = 0), h = 500 mm: s = c sinh(h / c), v = c (cosh(h / c) - 1)."""
    w, c, h = 2e-3, 1000.0, 500.0
    rig = CableRobotModel(((0, 0), (1, 0)), ((-1, 0), (1, 0)), (0, 0), 1.0, belt_weight=w)
    length = c * np.sinh(h / c)
    found_h, found_v, t_exit, t_anchor, _, _ = span_forces(rig, np.array([w * c]), np.array([0.0]), np.array([length]))
    assert found_h[0] == pytest.approx(h, rel=1e-12)
    assert found_v[0] == pytest.approx(c * (np.cosh(h / c) - 1), rel=1e-12)
    assert t_exit[0] == pytest.approx(w * c)
    assert t_anchor[0] == pytest.approx(w * c * np.cosh(h / c))  # T = w y


def test_elastic_catenary_adds_its_stretch():
    """Irvine 2.4: the horizontal part of the stretch is H s0 / EA, the vertical part (V_a² - V_e²) / (2 w EA)."""
    w, ea = 1e-3, 5000.0
    pull, rise, length = 3.0, 1.2, 1500.0
    stiff = CableRobotModel(((0, 0), (1, 0)), ((-1, 0), (1, 0)), (0, 0), 1.0, belt_weight=w)
    soft = CableRobotModel(((0, 0), (1, 0)), ((-1, 0), (1, 0)), (0, 0), 1.0, belt_weight=w, stiffness=ea)
    one = [np.array([v]) for v in (pull, rise, length)]
    h0, v0, *_ = span_forces(stiff, *one)
    h1, v1, *_ = span_forces(soft, *one)
    top = rise + w * length
    assert h1[0] - h0[0] == pytest.approx(pull * length / ea, rel=1e-9)
    assert v1[0] - v0[0] == pytest.approx((top**2 - rise**2) / (2 * w * ea), rel=1e-9)


def test_sag_of_a_flat_span_is_that_of_the_parabola():
    """d = w l² / (8 H) (Irvine 2.1), here against the drawn curve, whose middle is a solved catenary."""
    rig = CableRobotModel(((0, 0), (2000, 0)), ((-60, 0), (60, 0)), (0, 20), 7.35, belt_weight=8e-5, stiffness=1e6)
    pose = inverse_kinematics(rig, np.array([[900.0, 600.0]]))
    for side in (0, 1):
        curve = span_curve(rig, pose, 0, side, count=2001)
        a, b = curve[0], curve[-1]
        chord = a[1] + (b[1] - a[1]) * (curve[:, 0] - a[0]) / (b[0] - a[0])
        assert np.max(curve[:, 1] - chord) == pytest.approx(sag(rig, pose)[0, side], rel=0.01)


def test_two_straight_belts_by_hand():
    """Weightless, symmetric: T = W / (2 sin a); exits 100 mm apart, 600 mm below anchors 1700 mm apart: tan a = 3 / 4."""
    rig = CableRobotModel(((0, 0), (1700, 0)), ((-50, 0), (50, 0)), (0, 30), 9.0)
    pose = inverse_kinematics(rig, np.array([[850.0, 600.0]]))
    assert pose.belts[0] == pytest.approx([1000.0, 1000.0])
    assert pose.exit_tension[0] == pytest.approx([7.5, 7.5])  # 9 / (2 * 0.6)
    assert pose.tilt[0] == pytest.approx(0, abs=1e-12)


def test_published_cable_with_a_point_load():
    """The cable of Michalos and Birnstiel (1962), as solved by Jayaraman and Knudson, "A curved element for the analysis
    of cable structures", Computers & Structures 14 (1981), 325-333, table 1. All values from memory.

    1000 ft between level ends; 0.85 in², 19,000 kip/in², 3.16 lb/ft; unstretched 412.8837 ft and 613.0422 ft to the point
    loaded with 8 kip. Unloaded the point is 400 ft across and 96.05 ft down (29.276 m); the load moves it 2.819 ft back
    and 18.458 ft down (0.859 m and 5.626 m). Here the load is a body without width.
    """
    ft, lbf = 304.8, 4.4482216152605

    def loaded(kip: float) -> np.ndarray:
        rig = CableRobotModel(
            ((0, 0), (1000 * ft, 0)),
            ((0, 0), (0, 0)),
            (0, 10),
            kip * 1000 * lbf,
            belt_weight=3.16 * lbf / ft,
            stiffness=0.85 * 19e6 * lbf,
        )
        pose = forward_kinematics(rig, np.array([[412.8837, 613.0422]]) * ft)
        assert pose.converged.all()
        return pose.pen[0] / ft

    unloaded = loaded(1e-6)
    assert unloaded == pytest.approx([400.0, 96.05], abs=0.002)
    assert loaded(8.0) - unloaded == pytest.approx([-2.819, 18.458], abs=0.003)
