"""Machine values that a check depends on and that nobody has entered yet, so that the check can name them."""

from __future__ import annotations

from wallwright.document.language import mid_sentence, tr
from wallwright.document.machine import Machine
from wallwright.document.quantity import quantities


def assumed_text(machine: Machine, *numbers: str) -> str:
    """Returns a sentence that names those still at their defaults, with a space before it; "" if there are none.

    numbers: paths of values, such as "motor.set_current".
    """
    usual, titles = Machine(), []
    for number in numbers:
        part, name = number.split(".")
        own, default = getattr(machine, part), getattr(usual, part)
        if getattr(own, name) == getattr(default, name):
            title = mid_sentence(quantities(type(own))[name].shown_title)
            titles.append(tr("{0} of the body", title) if part == "body" else title)
    return (
        " " + tr("This uses default values for: {0}. Enter those of your machine.", ", ".join(titles)) if titles else ""
    )
