"""The day that papers carry."""

from __future__ import annotations

import os
from datetime import UTC, date, datetime

FIXED = "SOURCE_DATE_EPOCH"
"""Environment variable with seconds since 1970: papers made at any time carry that day, so that they can be made again
byte by byte (https://reproducible-builds.org/specs/source-date-epoch/)."""


def today() -> str:
    """ISO 8601, "2026-03-01": the same to everybody."""
    fixed = os.environ.get(FIXED, "")
    return (datetime.fromtimestamp(int(fixed), UTC).date() if fixed.isdigit() else date.today()).isoformat()
