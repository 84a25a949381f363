"""Helpers of the benchmarks: results, description of the computer, tables."""

from __future__ import annotations

import json
import os
import platform
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parents[2]
RESULTS = Path(__file__).parent / "results"


def machine() -> dict[str, str | int]:
    """Returns a description of the computer."""
    info = Path("/proc/cpuinfo")
    lines = info.read_text().splitlines() if info.exists() else []
    models = [line.split(":")[1].strip() for line in lines if line.startswith("model name")]
    return {"cpu": models[0] if models else platform.processor(), "cores": os.cpu_count() or 0}


def table(title: str, rows: list[dict[str, Any]]) -> None:
    """Prints rows with the same keys; numbers with four significant digits."""
    print(f"\n{title}")
    shown = [list(rows[0]), *[[_shown(v) for v in row.values()] for row in rows]]
    widths = [max(len(line[i]) for line in shown) for i in range(len(shown[0]))]
    for line in shown:
        print(
            "  ".join(c.ljust(w) if i == 0 else c.rjust(w) for i, (c, w) in enumerate(zip(line, widths, strict=True)))
        )


def _shown(value: Any) -> str:
    if isinstance(value, float):
        return f"{value:.4f}" if abs(value) < 10 else f"{value:,.2f}"
    return f"{value:,}" if isinstance(value, int) else str(value)


def save(name: str, **record: Any) -> None:
    """Writes tests/benchmarks/results/<name>.json."""
    RESULTS.mkdir(exist_ok=True)
    (RESULTS / f"{name}.json").write_text(json.dumps({"machine": machine(), **record}, indent=1))
