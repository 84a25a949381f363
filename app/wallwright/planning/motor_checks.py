"""Checks of the motors: what they can pull, how their drivers are set, and what the supply gives."""

from __future__ import annotations

import numpy as np

from wallwright.document.language import tr
from wallwright.jobs.checks import Check, Verdict
from wallwright.motion.plots import torque_margin
from wallwright.planning.check_context import CheckContext
from wallwright.statics.limits import TORQUE_RESERVE
from wallwright.statics.motor import reference_voltage, supply_power

GOOD, WARNING, BAD = Verdict.GOOD, Verdict.WARNING, Verdict.BAD


def torque(looked: CheckContext) -> list[Check]:
    """Torque margin along the job, worst stroke named."""
    motion, machine = looked.motion, looked.document.machine
    if not len(motion.tension):
        return []
    margin = torque_margin(motion, machine)
    worst = int(np.argmin(margin))
    run = int(np.searchsorted(motion.runs, worst, side="right") - 1)
    stroke = motion.stroke[run]
    first = looked.before.first if looked.before is not None else 0
    where = tr("stroke {0}", first + stroke + 1) if stroke >= 0 else tr("a travel")
    least = float(margin[worst])
    x, y = map(float, motion.pen_xy[worst])
    verdict = BAD if least < 1 else WARNING if least < TORQUE_RESERVE else GOOD
    text = tr(
        "The motors can pull at least {0:.2f} times what the job asks; least in {1} at {2:.0f}, {3:.0f} mm.",
        least,
        where,
        x,
        y,
    )
    text += " " + tr("On average the left one works at {0:.0f} % of its pull, the right one at {1:.0f} %.",
                     *(100 * share for share in looked.estimate.mean_load))  # fmt: skip
    if verdict is not GOOD:
        text += " " + tr(
            "Keep {0} in hand: raise the motor current, lower the drawing, or slow down.", TORQUE_RESERVE
        )
    return [Check("torque", verdict, tr("Motor torque"), text, (x, y, x, y))]


def supply(looked: CheckContext) -> list[Check]:
    machine = looked.document.machine
    motor = machine.motor
    need = supply_power(machine)
    volts = reference_voltage(motor.set_current, motor.sense_resistor)
    text = tr(
        "About {0:.0f} W are needed, the supply gives {1:.0f} W. For {2:g} A set the drivers' reference to {3:.2f} V "
        "(sense resistor {4:g} Ω).",
        need,
        motor.supply_power,
        motor.set_current,
        volts,
        motor.sense_resistor,
    )
    if looked.estimate.total_s > 0:
        text += " " + tr("The whole job takes about {0:.0f} Wh, pen changes counted in; the motors' work on the belts is "
                         "{1:.2f} Wh of it, the rest is heat.",
                         looked.estimate.energy_wh, sum(looked.estimate.work_j) / 3600)  # fmt: skip
    if motor.set_current > motor.rated_current:
        return [
            Check(
                "supply",
                BAD,
                tr("Motor current"),
                tr(
                    "{0:g} A is more than the motors' rated {1:g} A; they would overheat.",
                    motor.set_current,
                    motor.rated_current,
                ),
            )
        ]
    return [
        Check("supply", GOOD if motor.supply_power >= need else WARNING, tr("Motor current and supply"), text)
    ]
