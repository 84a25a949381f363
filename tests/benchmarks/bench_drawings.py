"""Takes real drawings from file to replay: failures, excessive times, and quality of the strokes.

    python3 packaging/bootstrap.py bench drawings [--count 100 | --all] [--light] [--seed 1] [--resume] [--folder FOLDER]
    python3 packaging/bootstrap.py bench drawings --only FILE ... --pictures FOLDER

Each drawing is read, placed as large as fits on the default wall, planned and exported with two and with four pens, and the
exported programs are replayed by an independent controller (tests/support/whole_way.py). The drawings are those of Debian's
package openclipart-svg (`sudo apt install openclipart-svg`), or those of another folder. Their order is shuffled by the
seed, so that a larger count includes those of a smaller one. Each result is one line of
tests/benchmarks/results/drawings.jsonl; --resume skips drawings done by this version of the program. --light is for
thousands of drawings: a short search for the order, and files of only one of the two plans, in half the time.
"""

from __future__ import annotations

import argparse
import hashlib
import json
import math
import os
import random
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Callable
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))
os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
os.environ.setdefault("OMP_NUM_THREADS", "1")
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

from tests.benchmarks.common import RESULTS, ROOT, machine, table
from tests.benchmarks.worker_pool import Limits, run_jobs

FOLDER = Path("/usr/share/openclipart/svg")
INSTALL = (
    "The drawings are not here: install Debian's package with `sudo apt install openclipart-svg`, or name another folder with "
    "--folder."
)
LOG = RESULTS / "drawings.jsonl"
CORE_SECONDS, MEGABYTES = 150.0, 3000
WORST = 10


def one(job: tuple[str, str, bool]) -> dict[str, Any]:
    """Returns the record of a drawing; runs in a worker. job: folder, file in it, whether --light is set."""
    from tests.support.whole_way import whole_way, wrong

    folder, name, light = job
    with tempfile.TemporaryDirectory() as place:
        record = whole_way((Path(folder) / name).read_bytes(), Path(name).name, Path(place), light=light)
    return record | {"wrong": wrong(record)}


def version() -> str:
    """Returns a digest of the program and of the measuring code."""
    digest = hashlib.sha256()
    support = [ROOT / "tests" / "support" / f"{n}.py" for n in ("whole_way", "controller")]
    for path in [*sorted((ROOT / "app").rglob("*.py")), *support]:
        digest.update(path.read_bytes())
    return digest.hexdigest()[:12]


def drawings_of(folder: Path, seed: int, largest: float = math.inf) -> list[str]:
    """Returns the drawings of a folder smaller than `largest` bytes, shuffled by a seed, without links."""
    paths = [p for p in folder.rglob("*.svg") if not p.is_symlink() and p.stat().st_size < largest]
    found = sorted(str(p.relative_to(folder)) for p in paths)
    random.Random(seed).shuffle(found)
    return found


def known(of_version: str) -> dict[str, dict[str, Any]]:
    """Returns the records of a version by file; skips a line cut off by a crash."""
    found = {}
    for line in LOG.read_text().splitlines() if LOG.exists() else []:
        try:
            record = json.loads(line)
        except ValueError:
            continue
        if record["version"] == of_version:
            found[record["file"]] = record
    return found


def run(folder: Path, names: list[str], of_version: str, light: bool) -> list[dict[str, Any]]:
    """Processes drawings, appends their records to the log, and returns them."""
    records, start = [], time.monotonic()
    RESULTS.mkdir(exist_ok=True)
    with LOG.open("a", encoding="utf-8") as log:
        jobs = ((str(folder), name, light) for name in names)
        for outcome in run_jobs(jobs, one, Limits(CORE_SECONDS, MEGABYTES)):
            record = outcome.result or {
                "plans": {},
                "seconds": {},
                "wrong": [],
                "failure": {
                    "stage": "",
                    "pens": None,
                    "kind": "fault",
                    "text": outcome.failure,
                    "trace": "",
                },
            }
            record |= {
                "file": outcome.job[1],
                "version": of_version,
                "core s": outcome.core_seconds,
                "peak MB": outcome.peak_mb,
            }
            log.write(json.dumps(record) + "\n")
            log.flush()
            records.append(record)
            messages = [record["failure"]["text"]] if record["failure"] else record["wrong"]
            print(
                f"{len(records):5} of {len(names)}  {time.monotonic() - start:6.0f} s  {outcome.job[1]}"
                + (f": {'; '.join(messages)[:300]}" if messages else ""),
                flush=True,
            )
    return records


COLUMNS: dict[str, tuple[str, Callable[[dict[str, Any]], float | None]]] = {
    "core s": ("", lambda r: r["core s"]),
    "peak MB": ("", lambda r: r["peak MB"]),
    "times the least": ("time over ink, travel and lifts at full speed", lambda r: _most(r, "times the least")),
    "least feed": ("mm/min, pen down", lambda r: _least(r, "least feed")),
    "longest move s": ("beyond ten times its length at full speed", lambda r: _most(r, "longest move s")),
    "lifts per m": ("", lambda r: _most(r, "lifts per m")),
    "double ink %": ("", lambda r: _most(r, "double ink", 100)),
    "reversals per m": ("", lambda r: _most(r, "reversals per m")),
    "replay off by %": ("replay against estimate", lambda r: _replay_off(r)),
}


def _most(record: dict[str, Any], name: str, times: float = 1.0) -> float | None:
    return max((times * p[name] for p in record["plans"].values()), default=None)


def _least(record: dict[str, Any], name: str) -> float | None:
    return min((p[name] for p in record["plans"].values()), default=None)


def _replay_off(record: dict[str, Any]) -> float | None:
    """Returns the largest deviation of a replay from the estimate, %."""
    every = [100 * (v - 1) for p in record["plans"].values() for k, v in p.items() if k.startswith("replay")]
    return max(every, key=abs, default=None)


def show(records: list[dict[str, Any]]) -> None:
    """Prints the tables."""
    failed = [r for r in records if r["failure"]]
    for kind, title in (("refused", "Refused with a sentence"), ("fault", "Failed without a sentence")):
        mine = [r for r in failed if r["failure"]["kind"] == kind]
        print(f"\n{title}: {len(mine)}")
        for r in mine:
            failure = r["failure"]
            print(f"  {r['file']} ({failure['stage']}, {failure['pens']} pens): {failure['text']}")
            if failure["trace"]:
                print("    " + failure["trace"].rstrip().replace("\n", "\n    "))
    bad = [r for r in records if r["wrong"]]
    print(f"\nAbsurd, or replay apart from the estimate: {len(bad)}")
    for r in bad:
        print(f"  {r['file']}: {'; '.join(r['wrong'])}")
    rows = []
    for name, (meaning, value) in COLUMNS.items():
        values = sorted((v for r in records if (v := value(r)) is not None and math.isfinite(v)), key=abs)
        if values:
            rows.append(
                {
                    "figure": name + (f" ({meaning})" if meaning else ""),
                    "median": float(values[len(values) // 2]),
                    "90 %": float(values[int(0.9 * (len(values) - 1))]),
                    "largest": float(values[-1]),
                    "smallest": float(values[0]),
                }
            )
    if rows:
        table(f"{len(records)} drawings", rows)
    seconds: Counter[str] = Counter()
    for r in records:
        seconds.update(r["seconds"])
    if seconds:
        table(
            "Seconds of each stage, on the clock",
            [{"stage": k, "s": float(v), "a drawing": v / len(records)} for k, v in seconds.most_common()],
        )
    for name, (_, value) in COLUMNS.items():
        most = sorted(
            ((v, r["file"]) for r in records if (v := value(r)) is not None and math.isfinite(v)),
            key=lambda pair: pair[0] if name == "least feed" else -abs(pair[0]),
        )
        print(f"\nWorst by {name}")
        for value_, file in most[:WORST]:
            print(f"  {value_:12.3f}  {file}")


def main() -> int:
    parser = argparse.ArgumentParser(prog="bench drawings", description=__doc__.split("\n")[0], epilog=INSTALL)
    parser.add_argument("--count", type=int, default=100, help="how many drawings (100)")
    parser.add_argument("--all", action="store_true", help="all drawings of the folder")
    parser.add_argument("--light", action="store_true", help="half the time: a short search, files of one plan")
    parser.add_argument("--seed", type=int, default=1, help="of the order in which they are taken")
    parser.add_argument("--folder", type=Path, default=FOLDER, help=f"of SVG drawings ({FOLDER})")
    parser.add_argument("--resume", action="store_true", help="keep what this version has done already")
    parser.add_argument("--only", nargs="+", metavar="FILE", help="these files of the folder")
    parser.add_argument(
        "--pictures",
        type=Path,
        metavar="FOLDER",
        help="do not measure: paint what would be drawn beside the drawing, for the files of --only",
    )
    options = parser.parse_args()
    names = drawings_of(options.folder, options.seed) if options.folder.is_dir() else []
    if not names:
        print(INSTALL)
        return 0 if options.folder == FOLDER else 2
    if options.only:
        names = options.only
    elif not options.all:
        names = names[: options.count]
    if missing := [n for n in names if not (options.folder / n).is_file()]:
        print(f"There is no {missing[0]} in {options.folder}.")
        return 2
    if options.pictures:
        from tests.benchmarks.drawing_pictures import paint_drawings

        paint_drawings(options.folder, names, options.pictures)
        return 0
    print(machine())
    of_version = version() + ("-light" if options.light else "")
    done = known(of_version) if options.resume else {}
    records = [done[n] for n in names if n in done]
    start, todo = time.monotonic(), [n for n in names if n not in done]
    records += run(options.folder, todo, of_version, options.light)
    show(records)
    print(
        f"\n{len(todo)} drawings in {time.monotonic() - start:.0f} s, {len(names) - len(todo)} known before; records in {LOG}"
    )
    return 0


if __name__ == "__main__":
    sys.exit(main())
