"""Motion tables for custom firmware: format, columns and time steps."""

from __future__ import annotations

from typing import Annotated, Literal

import msgspec

from wallwright.document.language import N_
from wallwright.document.quantity import quantity

TableColumn = Literal["time", "left", "right", "x", "y", "pen"]


class TableSettings(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """Which motion tables are written with a job."""

    form: Literal["none", "csv", "binary", "both"] = "none"
    columns: tuple[TableColumn, ...] = ("time", "left", "right", "pen")
    """Columns of the CSV, in order. The binary format always has time, belts and pen."""
    unit: Literal["mm", "steps"] = "mm"
    """Unit of the belts in the CSV. The binary format uses microsteps."""
    step: Annotated[
        float,
        quantity(
            "s",
            0,
            60,
            "Time step",
            "Time between two rows. 0: a row at each point of the plan.",
            "Fewest rows for the same motion.",
            zero=N_("at the points"),
            least=0.001,
        ),
    ] = 0.0
