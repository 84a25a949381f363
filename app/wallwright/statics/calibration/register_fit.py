"""Lines up hangings: estimates where a hanging really hangs from sightings of its pen at register marks.

For each mark the controller paid out the belts that put the pen on the mark, assuming nominal anchors and belts. Where the
pen hung instead shows the true values: least squares over anchors and belt offsets of this hanging, with sightings and
priors each over their standard uncertainty, Gauss-Newton (JCGM 100:2008 for the uncertainties).

Uncalibrated errors of the machine, and of the hanging that drew the marks, distort the strip that both hangings share in
ways that neither anchors nor offsets can. They are estimated too, with their priors, so that the marks also predict the
strip between them. Anchors and offsets are then chosen to match that prediction best over the whole strip. The marks say
little about anchors far from it, which is no loss: the parts meet in the strip.

A sighting that disagrees with all the others is left out and named if enough remain and no other would explain the
disagreement nearly as well. Otherwise all sightings that may be wrong are named, to be taken again. Scatter beyond the
readings' own uncertainty raises the uncertainty of the result.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import msgspec
import numpy as np

from wallwright.document.arrays import Flags, Floats, Integers, Points
from wallwright.document.document import Document
from wallwright.document.errors import BadValue
from wallwright.document.language import tr
from wallwright.document.machine import Machine
from wallwright.document.register import Register, Sighting
from wallwright.document.wall import Hanging
from wallwright.statics.cable_robot import CableRobotModel
from wallwright.statics.calibration.fit import OUTLIER_LEAD
from wallwright.statics.calibration.measurement_model import pen_derivatives
from wallwright.statics.calibration.parameters import CalibrationParameter, parameters_of
from wallwright.statics.calibration.reliability import redundancies
from wallwright.statics.error_budget import LEFT_BELT, RIGHT_BELT
from wallwright.statics.forward_kinematics import forward_kinematics
from wallwright.statics.pose import Pose, inverse_kinematics
from wallwright.statics.sensitivity import belts_by_parameters, pen_by_belts

FEWEST = 2
READING_SIGMA = 0.5
"""Standard uncertainty of a sighting read off a cross with a ruler, mm."""
ANCHOR_SIGMA = 15.0
"""Standard uncertainty of an anchor's position, across and down, mm."""
BELT_SIGMA = 5.0
"""Standard uncertainty of the belt lengths at the start, mm."""
ROUNDS = 12
CONVERGED = 1e-4
"""Step below which the search has converged, mm."""
STRIP = (3, 7)
"""Number of places across and down the strip at which the parts should meet."""
HANGING_PARAMETERS = ("left anchor x", "left anchor y", "right anchor x", "right anchor y", LEFT_BELT, RIGHT_BELT)
"""Parameters of one hanging, mm."""
LEAST_SLIP = 0.5
"""Smallest disagreement of an outlier, mm."""
CHECKED = 3
"""Number of marks that must remain when one is left out: two are fitted exactly and check nothing."""
SLIP = -2 * math.log(1e-3)
"""Smallest squared disagreement of an outlier, both directions together; one in a thousand correct sightings exceeds it
(chi-squared with two degrees of freedom)."""
LEAST_REDUNDANCY = 0.05
"""Smallest share of a reading's variance that other readings must explain before it can be an outlier."""
PLAUSIBLE_SHIFT = {True: 3.0, False: 2.0}
"""Largest plausible anchor shift, in standard uncertainties of its position: with marks that check each other (True),
and without."""


@dataclass(frozen=True)
class RegisterFit:
    """A hanging lined up with its register marks."""

    hanging: Hanging
    """The hanging with corrected anchors; its starting point is where the pen hangs with the same belts."""
    moved: Floats
    """(2, 2) mm: shifts of the left and right anchor, right and down."""
    uncertainty: Floats
    """(2, 2) mm: standard uncertainty of the shifts."""
    residuals: Floats
    """(n, 2) mm: sightings minus their prediction with the corrected anchors, including those left out."""
    slips: tuple[int, ...]
    """Sightings that the others contradict: left out."""
    suspects: tuple[int, ...]
    """Sightings of which one may be wrong; they were used."""
    used: int
    """Number of marks used."""
    spread: float
    """Factor, at least 1, by which the readings' uncertainty was raised to explain the residuals."""
    known: float
    """Standard uncertainty of the anchors' positions before the fit, mm."""

    @property
    def left_over(self) -> float:
        """Root mean square of the residuals, mm."""
        return self.hanging.register.left_over

    @property
    def expected(self) -> float:
        """Standard uncertainty, mm, of how well the parts meet near the marks."""
        return self.hanging.register.expected

    @property
    def is_checked(self) -> bool:
        """True if there are more marks than needed, so that a wrong reading shows."""
        return self.used > FEWEST

    @property
    def farthest(self) -> float:
        """Largest plausible shift of an anchor, across or down, mm; beyond it the readings are more likely wrong."""
        return PLAUSIBLE_SHIFT[self.is_checked] * self.known

    @property
    def is_plausible(self) -> bool:
        """True if no anchor shift exceeds the error that people make when setting anchors."""
        return bool(np.abs(self.moved).max() <= self.farthest)


def fit_register_marks(
    machine: Machine,
    hanging: Hanging,
    sightings: tuple[Sighting, ...],
    read: float = READING_SIGMA,
    known: float = ANCHOR_SIGMA,
    drawer: Hanging | None = None,
) -> RegisterFit:
    """Fits a hanging to sightings. read, known: standard uncertainties of a reading and of the nominal anchor positions,
    mm; drawer: the hanging that drew the marks, None: one beside this one. Raises BadValue for fewer than two marks, and
    if nothing could hang as the readings say."""
    if len({s.mark.name for s in sightings}) < FEWEST:
        raise BadValue(tr("Read two marks or more") if not sightings else tr("Two marks are needed. Read one more"))
    marks = np.array([[s.mark.x, s.mark.y] for s in sightings])
    seen = marks + np.array([[s.right, s.down] for s in sightings])
    strip = _Strip(machine, hanging, drawer, marks, known)
    found, use, slips, suspects = _without_slips(strip, seen, read)
    residuals = seen - strip.predicted(found, strip.marks)
    spread = _spread(strip, residuals, found, use, read)
    covariance = strip.covariance(use, read * spread)
    own, off = strip.own_shift(found)
    own = _rounded(hanging, own)
    left = seen - strip.pens(own, strip.marks)
    used = tuple(sighting for sighting, is_used in zip(sightings, use.tolist(), strict=True) if is_used)
    # What the anchors absorb of the machine's own errors adds to their uncertainty.
    uncertainty = np.hypot(np.sqrt(np.diag(covariance))[:4], own[:4] - found[:4])
    return RegisterFit(
        _lined(machine, hanging, sightings, used, own, left[use], strip.expected(covariance, off)),
        own[:4].reshape(2, 2),
        uncertainty.reshape(2, 2),
        left,
        slips,
        suspects,
        len({s.mark.name for s in used}),
        spread,
        known,
    )


class _Strip:
    """The strip that two hangings share: what displaces pens in it, with prior uncertainties.

    Parameters: HANGING_PARAMETERS of the later hanging, then the machine's, then HANGING_PARAMETERS of the hanging that
    drew the marks.
    """

    def __init__(self, machine: Machine, hanging: Hanging, drawer: Hanging | None, marks: Points, known: float) -> None:
        self._machine, self._hanging = machine, hanging
        low, high = marks.min(axis=0), marks.max(axis=0)
        across, down = (np.linspace(low[i], high[i], STRIP[i]) for i in (0, 1))
        grid = np.stack(np.meshgrid(across, down), axis=2).reshape(-1, 2)
        points = np.concatenate([marks, grid])
        self.marks, self.grid = np.arange(len(marks)), np.arange(len(marks), len(points))
        shared = tuple(p for p in parameters_of(machine) if p.name not in HANGING_PARAMETERS)
        ends = [[known] * 4 + [BELT_SIGMA] * 2, [p.prior(machine) for p in shared], [known] * 4 + [BELT_SIGMA] * 2]
        self.prior = np.concatenate(ends)
        self._commanded = inverse_kinematics(CableRobotModel.of(machine, hanging), points)
        if not self._commanded.converged[self.marks].all():
            raise BadValue(tr("The machine cannot hang at one of the marks. Check the anchors"))
        later = _answers(machine, hanging, self._commanded, shared)
        other = hanging if drawer is None else drawer
        pose = inverse_kinematics(CableRobotModel.of(machine, other), points)
        earlier = _answers(machine, other, pose, shared) if drawer is not None else np.zeros_like(later)
        n = len(HANGING_PARAMETERS)
        moves = np.concatenate([later[:, :, :n], later[:, :, n:] - earlier[:, :, n:], -earlier[:, :, :n]], axis=2)
        moves[~np.isfinite(moves).all(axis=(1, 2))] = 0.0
        self._moves = moves

    def slopes(self, which: Integers) -> Floats:
        """Returns (2 m, p): derivatives of the pens at places which, (m,), by the parameters."""
        return self._moves[which].reshape(-1, len(self.prior))

    def pens(self, own: Floats, which: Integers) -> Points:
        """Returns (m, 2) mm: pens that were sent to places which, with anchors and belts off by own, (6,) mm."""
        there = _shifted(self._hanging, own[:4])
        belts = self._commanded.belts[which] + own[4:6]
        return forward_kinematics(CableRobotModel.of(self._machine, there), belts, start=self._commanded.pen[which]).pen

    def predicted(self, found: Floats, which: Integers) -> Points:
        """Returns (m, 2) mm: pens relative to the drawn marks, for all parameters, (p,)."""
        n = len(HANGING_PARAMETERS)
        rest = (self.slopes(which)[:, n:] @ found[n:]).reshape(-1, 2)
        return self.pens(found[:n], which) + rest

    def covariance(self, use: Flags, read: float) -> Floats:
        """Returns the (p, p) covariance of the parameters, given the marks in use, (n,) bool."""
        rows = self.slopes(self.marks[use]) / read
        return np.asarray(np.linalg.inv(rows.T @ rows + np.diag(1 / self.prior**2)))

    def learn(self, seen: Points, use: Flags, read: float) -> Floats:
        """Returns (p,) parameters fitted to pens seen at the marks in use, (n,) bool. Raises BadValue."""
        rows, inverse = self.slopes(self.marks[use]) / read, self.covariance(use, read)
        found = np.zeros(len(self.prior))
        for _ in range(ROUNDS):
            off = (seen[use] - self.predicted(found, self.marks[use])).ravel() / read
            step = inverse @ (rows.T @ off - found / self.prior**2)
            _require_possible(step)
            found += step
            if np.abs(step[: len(HANGING_PARAMETERS)]).max() < CONVERGED:
                break
        return found

    def own_shift(self, found: Floats) -> tuple[Floats, float]:
        """Returns the (6,) mm of HANGING_PARAMETERS alone that best reproduce all parameters over the strip, and the
        residual, mm, rms."""
        every = np.concatenate([self.marks, self.grid])
        wanted = self.predicted(found, every)
        good = np.isfinite(wanted).all(axis=1)
        n = len(HANGING_PARAMETERS)
        rows = self.slopes(every)[:, :n] * np.repeat(good, 2)[:, None]
        inverse = np.linalg.inv(rows.T @ rows + np.diag((STRIP_SIGMA / self.prior[:n]) ** 2))
        own = found[:n].copy()
        for _ in range(ROUNDS):
            off = np.nan_to_num(wanted - self.pens(own, every)).ravel()
            step = inverse @ (rows.T @ off)
            _require_possible(step)
            own += step
            _require_possible(own, IMPOSSIBLE)
            if np.abs(step).max() < CONVERGED:
                break
        off = np.nan_to_num(wanted - self.pens(own, every))
        return own, float(np.sqrt((off**2).sum(axis=1).mean()))

    def expected(self, covariance: Floats, off: float) -> float:
        """Returns the standard uncertainty, mm, of how well parts meet in the strip, from the covariance and the residual
        of HANGING_PARAMETERS."""
        rows = self.slopes(self.grid)
        variance = np.einsum("mp,pq,mq->m", rows, covariance, rows).reshape(-1, 2).sum(axis=1)
        return float(np.sqrt(variance.mean() + off**2))


STRIP_SIGMA = 0.01
"""Weight of the readings in the fit of HANGING_PARAMETERS, as a standard uncertainty, mm: they are matched this closely,
as far as the priors allow."""


IMPOSSIBLE = 1000.0
"""Largest anchor error, mm; beyond it the search has diverged."""


def _require_possible(step: Floats, most: float = np.inf) -> None:
    """Raises BadValue for a step that is not finite or exceeds most."""
    if not np.isfinite(step).all() or np.abs(step).max() > most:
        raise BadValue(tr("These readings are not possible for this machine. Check them and their signs"))


def _answers(machine: Machine, hanging: Hanging, pose: Pose, shared: tuple[CalibrationParameter, ...]) -> Floats:
    """Returns (n, 2, p): derivative of the pens by HANGING_PARAMETERS of a hanging and by the shared parameters, with the
    controller's counts held."""
    rig = CableRobotModel.of(machine, hanging)
    moves = pen_by_belts(rig, pose)
    anchors = -np.einsum("nij,njp->nip", moves, belts_by_parameters(rig, pose, HANGING_PARAMETERS[:4]))
    return np.concatenate([anchors, moves, pen_derivatives(machine, hanging, pose, shared)], axis=2)


def line_up(
    document: Document, hanging: int, sightings: tuple[Sighting, ...], read: float = READING_SIGMA
) -> RegisterFit:
    """Returns the fit of one of a document's hangings, given the one that drew its marks. Raises BadValue."""
    drawers = (
        {document.drawer_of(hanging, s.mark.x) for s in sightings} if document.earlier_neighbours(hanging) else set()
    )
    drawer = document.hangings[drawers.pop()] if len(drawers) == 1 else None
    return fit_register_marks(document.machine, document.hangings[hanging], sightings, read, drawer=drawer)


def _shifted(hanging: Hanging, shift: Floats) -> Hanging:
    replace = msgspec.structs.replace
    a, b, c, d = shift.tolist()
    return replace(
        hanging,
        left=replace(hanging.left, x=hanging.left.x + a, y=hanging.left.y + b),
        right=replace(hanging.right, x=hanging.right.x + c, y=hanging.right.y + d),
    )


def _rounded(hanging: Hanging, own: Floats) -> Floats:
    """Returns (6,) mm of HANGING_PARAMETERS that make anchors and offsets whole hundredths: finer values mean nothing,
    and fields show them."""
    left, right = hanging.left, hanging.right
    before = np.array([left.x, left.y, right.x, right.y, hanging.left_offset, hanging.right_offset])
    result: Floats = np.round(before + own, 2) - before
    return result


def _lined(
    machine: Machine,
    hanging: Hanging,
    sightings: tuple[Sighting, ...],
    used: tuple[Sighting, ...],
    own: Floats,
    left: Points,
    expected: float,
) -> Hanging:
    there = _shifted(hanging, own[:4])
    replace = msgspec.structs.replace  # avoids the rounding errors of an addition
    there = replace(
        there,
        left=replace(there.left, x=round(there.left.x, 6), y=round(there.left.y, 6)),
        right=replace(there.right, x=round(there.right.x, 6), y=round(there.right.y, 6)),
    )
    # At its starting point the machine keeps its belt lengths: the job starts there.
    start_point = np.array([hanging.start_point], dtype=float)
    belts = inverse_kinematics(CableRobotModel.of(machine, hanging), start_point).belts + own[4:6]
    pen = forward_kinematics(CableRobotModel.of(machine, there), belts, start=start_point).pen[0]
    if not np.isfinite(pen).all():
        raise BadValue(tr("These readings are not possible for this machine. Check them and their signs"))
    planned = hanging.register.planned or ((hanging.left.x, hanging.left.y), (hanging.right.x, hanging.right.y))
    register = Register(
        hanging.register.marks or tuple(s.mark for s in sightings),
        used,
        planned,
        float(np.sqrt(np.mean(left**2))),
        expected,
    )
    return msgspec.structs.replace(
        there,
        start_point=(float(pen[0]), float(pen[1])),
        left_offset=round(hanging.left_offset + float(own[4]), 6),
        right_offset=round(hanging.right_offset + float(own[5]), 6),
        register=register,
    )


def _without_slips(strip: _Strip, seen: Points, read: float) -> tuple[Floats, Flags, tuple[int, ...], tuple[int, ...]]:
    """Returns (p,) parameters, (n,) bool for the sightings used, those left out, and those that may be wrong but were used.

    Outliers are removed one by one, the worst first, each followed by a new fit: a gross one pulls the fit, so that good
    ones seem to disagree (data snooping; Baarda 1968).
    """
    use = np.ones(len(seen), dtype=bool)
    slips: list[int] = []
    while True:
        found = strip.learn(seen, use, read)
        tests = _tests(strip, seen - strip.predicted(found, strip.marks), use, read)
        worst = int(np.argmax(tests))
        if tests[worst] <= SLIP:
            return found, use, tuple(sorted(slips)), ()
        near = (tests > SLIP) & (tests > tests[worst] - OUTLIER_LEAD)
        if use.sum() <= CHECKED:  # too few to identify the wrong one
            near = use
        if near.sum() > 1:
            return found, use, tuple(sorted(slips)), tuple(np.flatnonzero(near).tolist())
        use[worst] = False
        slips.append(worst)


def _tests(strip: _Strip, off: Points, use: Flags, read: float) -> Floats:
    """Returns (n,): how much the sum of squares falls without each sighting in use, (n,) bool; 0 for others. off: (n, 2)
    mm, residuals. Directions that nothing else checks do not count (reliability.py)."""
    covariance = strip.covariance(use, read)
    result = np.zeros(len(off))
    for i in np.flatnonzero(use & (np.abs(off).max(axis=1) > LEAST_SLIP)).tolist():
        rows = strip.slopes(strip.marks[[i]])
        share, ways = np.linalg.eigh(np.eye(2) - rows @ covariance @ rows.T / read**2)
        along = ways.T @ off[i] / read
        result[i] = (along**2 / share)[share > LEAST_REDUNDANCY].sum()
    return result


def _spread(strip: _Strip, off: Points, found: Floats, use: Flags, read: float) -> float:
    """Returns the factor on the readings' uncertainty that explains the residuals off, (n, 2) mm, and the deviations of
    the parameters, (p,), from their priors: from both together, and from the residuals alone where enough sightings
    check each other."""
    squares = float((off[use] ** 2).sum() / read**2)
    factors = [1.0, (squares + float(((found / strip.prior) ** 2).sum())) / (2 * int(use.sum()))]
    rows = strip.slopes(strip.marks[use])
    freedom = float(redundancies(rows, np.full(len(rows), read**2), strip.covariance(use, read)).sum())
    if freedom >= 2:
        factors.append(squares / freedom)
    return math.sqrt(max(factors))
