"""Belts, speed, tension, times and swing along the samples of a path."""

from __future__ import annotations

from collections.abc import Callable, Iterator

import numpy as np

from wallwright.document.arrays import Flags, Floats, Integers
from wallwright.document.columns import row_all
from wallwright.document.document import Document
from wallwright.document.origin import Origin
from wallwright.document.parallel import in_parts
from wallwright.motion.friction import Drag, take_up_ends, take_up_shares, take_up_times
from wallwright.motion.known_runs import KnownRuns
from wallwright.motion.landing import FREQUENCY_ERROR, with_endings
from wallwright.motion.lead import ALL_MODES, LARGEST_LEAD, REMAINING_SWING, RESERVE, leading_pens, swing_bounds
from wallwright.motion.lead_along import lead_accelerations
from wallwright.motion.path import Runs, Samples
from wallwright.motion.path_constraints import LEAST_SPEED, motion_limits, path_grid, pen_speed
from wallwright.motion.subset import run_members, subset
from wallwright.motion.swing import SwingField, acceleration_scale, follow_swing, initial_acceleration
from wallwright.motion.time_parameterization import PathGrid, speed_profile, tension_in_motion
from wallwright.motion.times import times_along
from wallwright.motion.unreachable import unreachable
from wallwright.statics.belt_field import BeltField
from wallwright.statics.drag_field import DragField

AT_ONCE = 20_000
"""Number of samples processed at once: each takes about 300 bytes, and cancellation is checked in between."""
ROUNDS = 60
"""Largest number of rounds that follow the swing and reduce the acceleration. Each round halves the number of places
that swing too far; a million samples start with thirty thousand of them."""
LEAD_SHARE = 0.5
"""Share of the friction that a lead may use when the pen stops. The acceleration ends there, and friction holds the pen
while the lead is removed."""
LEAST_ACCELERATION_SHARE = 0.02
"""Smallest acceleration in the search, as a share of the pen acceleration, or of the one that displaces the resting pen
by the largest swing: below it the pen hardly moves, and the swing does not come from this run."""


class RunTiming:
    """Results along the samples of a path."""

    def __init__(
        self,
        document: Document,
        origin: Origin,
        field: BeltField,
        swing: SwingField,
        runs: Runs,
        samples: Samples,
        rubbing: DragField | None,
    ) -> None:
        """origin: reference point for error messages; field, swing, rubbing: over the box of the samples; rubbing None:
        without friction."""
        self._origin = origin
        self._document, self._field, self._runs, self._samples = document, field, runs, samples
        self._rubbing = rubbing
        self._more_tension = None if rubbing is None else np.zeros_like(samples.points)
        self._body = swing.at(samples.points)
        n, limits = len(samples.points), document.machine.limits
        self._leads = runs.down & leading_pens(document)[runs.pen]
        bounds = np.where(runs.down, swing_bounds(document)[runs.pen], limits.swing)
        self._allowed = np.repeat(bounds, np.diff(samples.runs))
        """(n,) mm: allowed swing."""
        self._most_lead = LARGEST_LEAD * limits.acceleration
        drag = Drag.of(document)
        friction = np.where(runs.down, (drag.known_share * drag.pens)[runs.pen], 0.0)
        arrives, _ = take_up_ends(samples.takes_up)
        self._holds = np.zeros(len(samples.points))
        """(n,) mm/s²: largest lead where the pen stops."""
        self._holds[arrives] = (
            LEAD_SHARE * np.repeat(1000 * friction / document.machine.body.mass, np.diff(samples.runs))[arrives]
        )
        self._held = samples.takes_up & np.repeat(friction > 0, np.diff(samples.runs))
        """(n,) bool: friction holds the pen until the next sample."""
        self.load = samples.load
        """(n, 4) N: friction plus the force of the lead."""
        if document.machine.controller.pacing == "constant":
            self.max_acceleration = np.full(n, limits.acceleration)
        else:
            pushed = np.where(np.repeat(self._leads, np.diff(samples.runs)), REMAINING_SWING, 1.0)
            self.max_acceleration = initial_acceleration(
                limits.acceleration, self._allowed / pushed, self._body, samples.direction
            )
        self.belts = np.empty_like(samples.points)
        """(n, 2) mm: belt lengths."""
        self.speed = np.zeros(n)
        """(n,) mm/s: pen speed."""
        self.tension = np.zeros((n, 2))
        """(n, 2) N: tension in motion."""
        self.time = np.zeros(n)
        """(n,) s: time of each sample."""
        self.swing = np.zeros(n)
        """(n,) mm: swing at the samples."""
        self.farthest = np.zeros(n)
        """(n,) mm, not negative: largest swing since the previous sample."""
        k = len(runs.down)
        self.settling = np.zeros(k)
        """(k,) s: wait before each run."""
        self.landing = np.zeros(k)
        """(k,) mm: amplitude of the swing after the wait."""
        self.endings = np.tile([1.0, 1.0, 0.0], (k, 1))
        """(k, 3): ending of each run (landing.py)."""
        self._base = np.zeros(n)
        """(n,) mm/s: speed without endings."""
        self._rates = np.zeros(n)
        """(n,) mm/s: rate of the swing."""
        self._off = [
            (factor, np.zeros(n), np.zeros(n), np.zeros(n)) for factor in (1 - FREQUENCY_ERROR, 1 + FREQUENCY_ERROR)
        ]
        """Factor on the frequency; (n,) mm, (n,) mm/s and (n,) mm: swing, rate and largest swing at that frequency."""
        self._fresh = np.ones(len(runs.down), dtype=bool)
        """(k,) bool: runs that are not computed yet."""

    def take(self, known: KnownRuns, old: Integers) -> None:
        """Copies known results of runs: old (k,) is the index of each in the known motion, -1: it is new."""
        samples, motion = self._samples, known.motion
        same = np.flatnonzero(old >= 0)
        same = same[np.diff(motion.runs)[old[same]] == np.diff(samples.runs)[same]]
        here, _ = run_members(samples.runs, same)
        there, _ = run_members(motion.runs, old[same])
        self.belts[here], self.speed[here] = motion.belts[there], motion.speed[there]
        self.tension[here], self.max_acceleration[here] = motion.tension[there], known.max_acceleration[there]
        self.endings[same] = known.endings[old[same]]
        self._fresh[same] = False

    def find_belts(self, progress: Callable[[float], None]) -> None:
        """Computes the belts of fresh runs, and with friction those of all. Raises BadValue where the machine cannot
        hang."""
        fresh = self._fresh if self._rubbing is None else np.ones_like(self._fresh)
        at, _ = run_members(self._samples.runs, np.flatnonzero(fresh))
        for i in range(0, len(at), AT_ONCE):
            progress(i / len(at))
            part = at[i : i + AT_ONCE]
            self.belts[part] = self._field.belts(self._samples.points[part])
            if self._rubbing is not None and self._more_tension is not None:
                belts, tension = self._rubbing.changes(self._samples.points[part], self._samples.load[part])
                self.belts[part] += belts
                self._more_tension[part] = tension
        lost = np.flatnonzero(~row_all(np.isfinite(self.belts)))
        if len(lost):
            raise unreachable(self._samples.points[lost[0]], self._origin)

    def find_profile(self, progress: Callable[[float], None]) -> None:
        """Computes speed, tension, time and swing, reducing the acceleration where the pen would swing too far."""
        limits, machine = self._document.machine.limits, self._document.machine
        samples, body = self._samples, self._body
        gentlest = LEAST_ACCELERATION_SHARE * np.minimum(limits.acceleration, self._allowed * body.omega**2)
        drawn = np.repeat(self._runs.down, np.diff(samples.runs))
        leads = np.repeat(self._leads, np.diff(samples.runs))
        allowed = self._allowed * np.where(leads, RESERVE, 1.0)
        again, follow = self._fresh, np.ones(len(self._fresh), dtype=bool)
        for round_ in range(ROUNDS):

            def done(part: float, left: float = 0.5**round_) -> None:
                progress(1 - left * (1 - part / 2))

            self._profile(np.flatnonzero(again), done)
            self._follow(follow)
            if machine.controller.has_one_speed:  # its acceleration cannot be reduced
                break
            factor = acceleration_scale(self.farthest, self.time, body.omega, drawn, allowed, round_)
            again = follow = np.minimum.reduceat(factor, samples.runs[:-1]) < 1.0
            if not again.any():
                break
            self.max_acceleration = np.maximum(self.max_acceleration * factor, gentlest)
        # Tension for the final speeds.
        self._profile(np.flatnonzero(self._fresh & (self.endings != (1.0, 1.0, 0.0)).any(axis=1)), lambda part: None)

    def lead_belts(self) -> None:
        """Adds the lead to belts and load once all speeds are known."""
        if self._rubbing is None or not self._leads.any():
            return
        samples = self._samples
        lead = self._lead(take_up_times(samples, self.belts, self._document.machine))
        at = np.flatnonzero(lead.any(axis=1))
        load = samples.load[at].copy()
        before, _ = self._rubbing.changes(samples.points[at], load)
        load[:, 2:] -= self._document.machine.body.mass / 1000 * lead[at]
        after, _ = self._rubbing.changes(samples.points[at], load)
        self.load = samples.load.copy()
        self.load[at] = load
        self.belts[at] += after - before

    def _lead(self, rest: Floats) -> Floats:
        """Returns (n, 2) mm/s² by which belts lead. rest: (n,) s that the pen rests at each sample."""
        samples = self._samples
        lead = lead_accelerations(
            samples.runs, self._leads, samples.step, rest, samples.direction, self.speed, self._most_lead, self._holds
        )
        begins, _ = take_up_ends(samples.takes_up)
        for k, share in enumerate(take_up_shares().tolist()):
            lead[begins + k] = (1 - share) * lead[begins]
        return lead

    def _lead_along(self, lead: Floats) -> Floats:
        """Returns (n,) mm: displacement along the swing of a resting pen with belts that lead by (n, 2) mm/s²."""
        result: Floats = ALL_MODES * (self._body.participation * lead).sum(axis=1) / self._body.omega**2
        return result

    def _follow(self, which: Flags) -> None:
        """Computes time, swing, travel endings and waits before landing, after runs which (k,) have changed."""
        samples, machine, down = self._samples, self._document.machine, self._runs.down
        rest = take_up_times(samples, self.belts, machine)
        pause = np.where(down, machine.lift.lower_time, 0.0)
        pause[1:] += np.where(down[:-1], machine.lift.raise_time, 0.0)
        # A drawing cannot contain waits, and where waits move the lift another one might too.
        lands = down & (machine.controller.takes != "drawing") & (machine.lift.kind != "dwell")
        chooses = self._fresh & ~down & np.append(down[1:], False) & (machine.controller.pacing != "constant")
        follow_swing(
            samples.runs,
            which,
            samples.step,
            rest,
            self._base,
            samples.direction,
            self._body,
            machine.body.damping,
            pause,
            lands,
            chooses,
            machine.limits.landing_swing,
            self._lead_along(self._lead(rest)),
            self._held,
            self.speed,
            self.swing,
            self._rates,
            self.farthest,
            self.settling,
            self.landing,
            self.endings,
        )
        pause = pause + self.settling
        if self._leads.any():
            self._follow_other_frequencies(which, rest, pause)
        self.time = times_along(samples.runs, pause, samples.step, self.speed, rest)

    def _follow_other_frequencies(self, which: Flags, rest: Floats, pause: Floats) -> None:
        """Computes the largest swing of bodies with other frequencies than the one the lead is computed for. rest: (n,) s
        that the pen rests at each sample; pause: (k,) s before each run."""
        samples, no = self._samples, np.zeros(len(which), dtype=bool)
        lead = self._lead_along(self._lead(rest))
        for factor, swing, rates, farthest in self._off:
            follow_swing(
                samples.runs,
                which,
                samples.step,
                rest,
                self._base,
                samples.direction,
                self._body._replace(omega=factor * self._body.omega),
                self._document.machine.body.damping,
                pause,
                no,
                no,
                np.inf,
                lead,
                self._held,
                self.speed,
                swing,
                rates,
                farthest,
                np.zeros(len(which)),
                np.zeros(len(which)),
                self.endings,
            )
            np.maximum(self.farthest, farthest, out=self.farthest)

    def _profile(self, which: Integers, progress: Callable[[float], None]) -> None:
        """Computes speed and tension of the runs which (m,)."""
        document, bounds = self._document, motion_limits(self._document)

        def enter(part: Integers) -> None:
            runs, samples, at = subset(self._runs, self._samples, part)
            more = None if self._more_tension is None else self._more_tension[at]
            grid = path_grid(document, self._field, runs, samples, self.max_acceleration[at], 0, len(part), more)
            if document.machine.controller.has_one_speed:
                square = np.repeat(pen_speed(document, runs.down, runs.pen) ** 2, np.diff(samples.runs))
            elif document.machine.controller.pacing == "constant":
                square = _constant(grid, document.machine.limits.acceleration)
            else:
                square = speed_profile(grid, bounds)
            self._base[at] = np.sqrt(square)
            square = with_endings(grid.runs, grid.step, self._base[at], self.endings[part]) ** 2
            self.speed[at] = np.sqrt(square)
            self.tension[at] = tension_in_motion(grid, square, bounds.mass)

        ends = np.concatenate([[0], np.cumsum(np.diff(self._samples.runs)[which])])
        in_parts(enter, [which[a:b] for a, b in _parts(ends, AT_ONCE)], progress)


def _parts(runs: Integers, at_once: int) -> Iterator[tuple[int, int]]:
    """Yields ranges of runs a .. b - 1 with about this many samples each, at least one run."""
    a, k = 0, len(runs) - 1
    while a < k:
        b = min(max(int(np.searchsorted(runs, runs[a] + at_once, side="right")) - 1, a + 1), k)
        yield a, b
        a = b


def _constant(grid: PathGrid, acceleration: float) -> Floats:
    """Returns (n,) v² for a one-speed controller: on each run, the highest that its corners and belts allow.

    It starts and stops at speed, so the ends of a run set no limit, and the swing is proportional to the speed. Where
    corners or swing would need less than LEAST_SPEED, their limits are exceeded, and the estimate says by how much.
    """
    gentle = np.minimum.reduceat(grid.max_acceleration, grid.runs[:-1]) / acceleration
    square = np.minimum.reduceat(grid.max_speed_squared, grid.runs[:-1]) * gentle**2
    return np.repeat(np.maximum(square, LEAST_SPEED**2), np.diff(grid.runs))
