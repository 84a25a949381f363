"""Checks of the motors: available pull, driver settings, and power supply."""

from __future__ import annotations

import numpy as np

from wallwright.document.language import format_apart, format_number, tr
from wallwright.jobs.checks import Check, Verdict
from wallwright.motion.plots import torque_margin
from wallwright.planning.assumed_values import assumed_text
from wallwright.planning.check_context import CheckContext
from wallwright.statics.limits import TORQUE_RESERVE
from wallwright.statics.motor import reference_voltage, supply_power

OK, WARNING, ERROR = Verdict.OK, Verdict.WARNING, Verdict.ERROR

OF_TORQUE = ("motor.holding_torque", "motor.rated_current", "motor.set_current", "motor.usable", "body.mass")
OF_SUPPLY = ("motor.set_current", "motor.rated_current", "motor.sense_resistor", "motor.supply_power")
"""Machine values that the supply check depends on."""


def torque(context: CheckContext) -> list[Check]:
    """Checks the torque margin along the job, naming the worst stroke."""
    motion, machine = context.motion, context.document.machine
    if not len(motion.tension):
        return []
    margin = torque_margin(motion, machine)
    worst = int(np.argmin(margin))
    run = int(np.searchsorted(motion.runs, worst, side="right") - 1)
    stroke = motion.stroke[run]
    first = context.before.first if context.before is not None else 0
    when = tr("in stroke {0}", first + stroke + 1) if stroke >= 0 else tr("while travelling with the pen up")
    least = float(margin[worst])
    x, y = map(float, motion.pen_xy[worst])
    verdict = ERROR if least < 1 else WARNING if least < TORQUE_RESERVE else OK
    shown = format_apart(least, 1.0 if least < 1 else TORQUE_RESERVE, 2)
    text = tr(
        "Smallest motor reserve: {0} times the pull needed, {1}, {2}.",
        shown,
        when,
        context.origin.text(x, y),
    )
    text += " " + tr(
        "On average the left motor uses {0:.0f} % of its pull, the right one {1:.0f} %.",
        *(100 * share for share in context.estimate.mean_load),
    )
    if verdict is not OK:
        text += " " + tr(
            "Aim for at least {0} times the pull needed: raise the motor current within the rating of motor and driver, "
            "move the drawing down, or reduce the speed.",
            TORQUE_RESERVE,
        )
    return [
        Check(
            "torque",
            verdict,
            tr("Motor torque"),
            text + assumed_text(machine, *OF_TORQUE),
            (x, y, x, y),
            figure=tr("{0} times", shown),
        )
    ]


def supply(context: CheckContext) -> list[Check]:
    machine = context.document.machine
    motor = machine.motor
    need = supply_power(machine)
    shown = format_apart(need, motor.supply_power, 0)
    volts = reference_voltage(motor.set_current, motor.sense_resistor)
    text = tr(
        "About {0} W are needed (common practice, no source); the supply gives {1:.0f} W. For {2:g} A, set the drivers' "
        "reference voltage to {3:.2f} V. That is the formula in data sheets of chopper drivers with a scaled reference "
        "input, for a sense resistor of {4:g} Ω: compare it with yours.",
        shown,
        motor.supply_power,
        motor.set_current,
        volts,
        motor.sense_resistor,
    )
    if context.estimate.total_s > 0:
        text += " " + tr(
            "The whole job takes about {0:.0f} Wh, including pen changes. Moving the belts takes "
            "{1:.2f} Wh of it; the rest is heat.",
            context.estimate.energy_wh,
            sum(context.estimate.work_j) / 3600,
        )
    if motor.set_current > motor.rated_current:
        return [
            Check(
                "supply",
                ERROR,
                tr("Motor current"),
                tr(
                    "{0:g} A is more than the motors' rated {1:g} A; they would overheat.",
                    motor.set_current,
                    motor.rated_current,
                ),
                figure=f"{format_number(motor.set_current)} A",
            )
        ]
    text += assumed_text(machine, *OF_SUPPLY)
    return [
        Check(
            "supply",
            OK if motor.supply_power >= need else WARNING,
            tr("Motor current and supply"),
            text,
            figure=f"{shown} W",
        )
    ]
