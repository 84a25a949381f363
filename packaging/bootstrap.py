#!/usr/bin/env python3
"""Sets Wallwright up in a private environment and runs it. Standard library only, Python 3.11 or newer.

    python3 packaging/bootstrap.py run [ARGS]    the window with the demo job; ARGS: arguments for wallwright instead
    python3 packaging/bootstrap.py test [ARGS]   the tests; ARGS go to pytest
    python3 packaging/bootstrap.py bench [NAME] [OPTIONS]
                                                    the benchmarks; options go to the named one
    python3 packaging/bootstrap.py fuzz [READER] [--minutes M] [--seed S]
                                                 feeds changed inputs to the file readers; keeps those that break one
    python3 packaging/bootstrap.py coverage      the tests, and which lines of the program they reach
    python3 packaging/bootstrap.py desktop       menu entry and file type for this person (Linux desktops);
                                                 "desktop remove" removes them

The environment is .venv beside pyproject.toml. It is rebuilt only when pyproject.toml or the pins have changed.
"""

from __future__ import annotations

import hashlib
import os
import shutil
import subprocess
import sys
from pathlib import Path

PROJECT = Path(__file__).resolve().parent.parent
ENVIRONMENT = PROJECT / ".venv"
PINS = PROJECT / "packaging" / "pins.txt"
STAMP = ENVIRONMENT / "installed-for.txt"
OLDEST, NEWEST = (3, 11), (3, 14)
"""The oldest and newest Python versions that Wallwright was tested with."""

# Debian packages that the Qt libraries from PyPI need: first the graphics basics, needed by the offscreen platform too,
# then those for a real window under X11. A font, because Qt ships none.
DEBIAN_PACKAGES = [
    "libegl1",
    "libgl1",
    "libopengl0",
    "libxkbcommon0",
    "libdbus-1-3",
    "libfontconfig1",
    "libglib2.0-0",
    "fonts-dejavu-core",
    "libxcb-cursor0",
    "libxcb-icccm4",
    "libxcb-image0",
    "libxcb-keysyms1",
    "libxcb-randr0",
    "libxcb-render-util0",
    "libxcb-shape0",
    "libxcb-sync1",
    "libxcb-xfixes0",
    "libxcb-xinerama0",
    "libxcb-xkb1",
    "libxkbcommon-x11-0",
]


def main(arguments: list[str]) -> int:
    if sys.version_info < OLDEST:
        print(f"Wallwright needs Python 3.11 or newer; this is {sys.version.split()[0]}. Run it with a newer python3.")
        return 2
    what, rest = (arguments[0], arguments[1:]) if arguments else ("", [])
    if what == "run":
        return run(rest)
    if what == "test":
        return test(rest)
    if what == "coverage":
        return test(["--cov", "--cov-report", "term:skip-covered", *rest])
    if what == "bench":
        return bench(rest)
    if what == "fuzz":
        return fuzz(rest)
    if what == "desktop":
        return desktop(rest)
    print(__doc__.strip())
    return 0 if what in ("-h", "--help", "help") else 2


def run(arguments: list[str]) -> int:
    python = set_up(extras="")
    if arguments:
        return subprocess.call([python, "-m", "wallwright", *arguments])
    if has_display():
        return subprocess.call([python, "-m", "wallwright", "window", "--demo"])
    print("There is no display here, so the demo job is done without a window, into demo-job/.")
    return subprocess.call([python, "-m", "wallwright", "demo", "--folder", "demo-job"])


def desktop(arguments: list[str]) -> int:
    import desktop as files  # beside this script

    if arguments == ["remove"]:
        files.remove()
        return 0
    python = Path(set_up(extras=""))
    for file in files.install(python.with_name("wallwright")):
        print(file)
    return 0


def test(arguments: list[str]) -> int:
    python = set_up(extras="[test]")
    environment = {**os.environ, "QT_QPA_PLATFORM": "offscreen"}
    # One process per core; numerical libraries must not add threads on top.
    environment |= dict.fromkeys(("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS"), "1")
    workers = [] if any(a.startswith("-n") for a in arguments) else ["-n", "2", "--dist", "worksteal"]
    return subprocess.call([python, "-m", "pytest", *workers, *arguments], cwd=PROJECT, env=environment)


def bench(arguments: list[str]) -> int:
    python = set_up(extras="[test]")
    folder = PROJECT / "tests" / "benchmarks"
    first = next((i for i, a in enumerate(arguments) if a.startswith("-")), len(arguments))
    names, options = arguments[:first], arguments[first:]
    if options and len(names) != 1:
        print("Options belong to one benchmark: write its name before them.")
        return 2
    names = names or sorted(p.stem.removeprefix("bench_") for p in folder.glob("bench_*.py"))
    for name in names:
        script = folder / f"bench_{name}.py"
        if not script.exists():
            known = ", ".join(sorted(p.stem.removeprefix("bench_") for p in folder.glob("bench_*.py")))
            print(f"There is no benchmark '{name}'. There are: {known}.")
            return 2
        print(f"== {name}", flush=True)
        code = subprocess.call([python, str(script), *options], cwd=PROJECT)
        if code:
            return code
    return 0


def fuzz(arguments: list[str]) -> int:
    python = set_up(extras="[test]")
    return subprocess.call([python, "-m", "tests.fuzz", *arguments], cwd=PROJECT)


def has_display() -> bool:
    if sys.platform.startswith(("win", "darwin")):
        return True
    return bool(os.environ.get("DISPLAY") or os.environ.get("WAYLAND_DISPLAY"))


def set_up(extras: str) -> str:
    """Creates or updates the environment; returns its python. Exits with a sentence on failure."""
    python = ENVIRONMENT / ("Scripts/python.exe" if os.name == "nt" else "bin/python")
    wanted = hashlib.sha256((PROJECT / "pyproject.toml").read_bytes() + PINS.read_bytes()).hexdigest()
    if python.exists() and is_of_another_python(python):
        shutil.rmtree(ENVIRONMENT)
    stamp = STAMP.read_text().split() if STAMP.exists() and python.exists() else []
    if stamp[:1] == [wanted] and (extras == "" or extras in stamp[1:]):
        return str(python)
    system_libraries()
    if not python.exists():
        print("Setting up (once; a few minutes) ...", flush=True)
        make_environment(python)
    done = [wanted, *({extras} | set(stamp[1:] if stamp[:1] == [wanted] else []) - {""})]
    if STAMP.exists():
        STAMP.unlink()  # until the installation below has succeeded
    step(
        [
            str(python),
            "-m",
            "pip",
            "install",
            "--quiet",
            "--disable-pip-version-check",
            "-c",
            str(PINS),
            "-e",
            f"{PROJECT}{extras}",
        ],
        not_installed(),
    )
    compile_loops(str(python))
    step(
        [str(python), "-m", "wallwright.planning.warm_up"],
        "The program could not be prepared; what it said is above.",
    )
    STAMP.write_text(" ".join(d for d in done if d) + "\n")
    return str(python)


def is_of_another_python(python: Path) -> bool:
    """Whether the environment is unusable: its Python was replaced by a newer one (as by a system upgrade), or it was begun
    with another Python and never finished. pyvenv.cfg: documentation of the module venv."""
    file = ENVIRONMENT / "pyvenv.cfg"
    lines = file.read_text(encoding="utf-8").splitlines() if file.exists() else []
    settings = {name.strip(): value.strip() for name, _, value in (line.partition("=") for line in lines)}
    made_for = settings.get("version", "").split(".")[:2]
    if STAMP.exists():
        code = "import sys; print(*sys.version_info[:2])"
        now = subprocess.run([str(python), "-c", code], capture_output=True, text=True).stdout.split()
    else:
        now = [str(number) for number in sys.version_info[:2]]
    return now != made_for


def not_installed() -> str:
    """Returns advice for when pip could not install the libraries."""
    if sys.version_info[:2] <= NEWEST:
        return "The libraries could not be installed; is the network up? Then run the same command again."
    oldest, this, newest = (f"{major}.{minor}" for major, minor in (OLDEST, sys.version_info[:2], NEWEST))
    return (
        f"The libraries could not be installed; some may not exist for Python {this} yet. "
        f"Use Python {oldest} to {newest}, for example: python{newest} packaging/bootstrap.py run"
    )


def compile_loops(python: str) -> None:
    """Compiles every loop, so that the first plan and the test processes need not. Failures do not matter: loops not
    compiled here are compiled when first called."""
    subprocess.call([python, str(PROJECT / "packaging" / "kernels.py"), "prepare"])


def make_environment(python: Path) -> None:
    try:
        import ensurepip  # noqa: F401  Debian leaves it out of python3
    except ImportError:
        package = f"python3.{sys.version_info.minor}-venv"
        if is_debian_root():
            install_debian([package])
        else:
            sys.exit(f"This Python cannot make environments yet. Run: sudo apt-get install {package}")
    step(
        [sys.executable, "-m", "venv", str(ENVIRONMENT)],
        f"The environment could not be made in {ENVIRONMENT}.",
    )


def system_libraries() -> None:
    if not sys.platform.startswith("linux") or not shutil.which("dpkg-query"):
        return
    missing = [p for p in DEBIAN_PACKAGES if not installed(p)]
    if not missing:
        return
    if is_debian_root():
        print(f"Installing the system libraries that Qt needs: {' '.join(missing)}", flush=True)
        install_debian(missing)
    else:
        print(f"If no window opens, Qt misses system libraries. Run: sudo apt-get install {' '.join(missing)}")


def installed(package: str) -> bool:
    # Debian 13 renamed some libraries (libglib2.0-0t64); the new package then provides the old name.
    for name in (package, f"{package}t64"):
        answer = subprocess.run(["dpkg-query", "-W", "-f", "${Status}", name], capture_output=True, text=True)
        if answer.stdout.endswith("ok installed"):
            return True
    return False


def is_debian_root() -> bool:
    return hasattr(os, "geteuid") and os.geteuid() == 0 and shutil.which("apt-get") is not None


def install_debian(packages: list[str]) -> None:
    environment = {**os.environ, "DEBIAN_FRONTEND": "noninteractive"}
    subprocess.run(["apt-get", "update", "-qq"], env=environment, stdout=subprocess.DEVNULL)
    step(
        ["apt-get", "install", "-y", "-qq", "--no-install-recommends", *packages],
        f"System libraries could not be installed. Try: apt-get install {' '.join(packages)}",
        environment,
    )


def step(command: list[str], trouble: str, environment: dict[str, str] | None = None) -> None:
    """Runs a command quietly; shows its output only on failure."""
    result = subprocess.run(command, env=environment, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True)
    if result.returncode:
        print(result.stdout)
        sys.exit(trouble)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
