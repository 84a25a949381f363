"""The layers of app/ hold, and the style of the code."""

import ast
import os
import re
import subprocess
import sys
from graphlib import TopologicalSorter
from pathlib import Path

PROJECT = Path(__file__).resolve().parents[1]
PACKAGE = PROJECT / "app" / "wallwright"


def run(*command: str) -> subprocess.CompletedProcess:
    environment = {**os.environ, "PYTHONPATH": str(PROJECT / "app")}
    return subprocess.run(
        [sys.executable, *command], cwd=PROJECT, capture_output=True, text=True, env=environment
    )


def test_imports_flow_down_the_layers():
    """The contracts stand in pyproject.toml."""
    code = "from importlinter.cli import lint_imports_command as c; c(['--no-cache'])"
    result = run("-c", code)
    assert result.returncode == 0, result.stdout + result.stderr
    assert "0 broken" in result.stdout


def test_qt_stays_where_it_is_needed():
    """Widgets in the window only; QtGui in artwork and jobs only where pictures and paper are made."""
    for path in PACKAGE.rglob("*.py"):
        name, text = path.relative_to(PACKAGE).as_posix(), path.read_text()
        if not name.startswith("window/"):
            assert "QtWidgets" not in text, name
        if "PySide6" in text:
            assert name.startswith(("window/", "jobs/sheet/", "artwork/rendering")), name


def imports_of(folder: Path) -> dict[str, set[str]]:
    """The modules of a package that each of them imports, in functions and for type checkers too."""
    names = {
        ".".join(p.relative_to(PACKAGE.parent).with_suffix("").parts).removesuffix(".__init__"): p
        for p in folder.rglob("*.py")
    }
    found: dict[str, set[str]] = {}
    for name, path in names.items():
        targets = found.setdefault(name, set())
        for node in ast.walk(ast.parse(path.read_text())):
            if isinstance(node, ast.Import):
                targets.update(alias.name for alias in node.names)
            elif isinstance(node, ast.ImportFrom) and node.module:
                inner = {f"{node.module}.{alias.name}" for alias in node.names}
                targets.update(inner & names.keys() or {node.module})
        targets &= names.keys() - {name}
    return found


def test_artwork_imports_in_no_circle():
    graph = TopologicalSorter(imports_of(PACKAGE / "artwork"))
    assert len(list(graph.static_order())) > 60  # raises CycleError


def test_the_contracts_can_fail(tmp_path):
    """A module that breaks a rule is found: the check is not blind."""
    folder = tmp_path / "wallwright"
    for name in ("document", "window"):
        (folder / name).mkdir(parents=True)
        (folder / name / "__init__.py").touch()
    (folder / "__init__.py").touch()
    (folder / "document" / "bad.py").write_text("import wallwright.window\n")
    (tmp_path / ".importlinter").write_text(
        "[importlinter]\nroot_package = wallwright\n[importlinter:contract:1]\nname = layers\ntype = layers\n"
        "layers =\n    wallwright.window\n    wallwright.document\n"
    )
    code = "from importlinter.cli import lint_imports_command as c; c(['--no-cache'])"
    result = subprocess.run([sys.executable, "-c", code], cwd=tmp_path, capture_output=True, text=True,
                            env={**os.environ, "PYTHONPATH": str(tmp_path)})  # fmt: skip
    assert result.returncode != 0


def test_style():
    result = run("-m", "ruff", "check", "app", "tests", "packaging")
    assert result.returncode == 0, result.stdout


def test_no_module_is_two_ideas():
    long = [p for p in PACKAGE.rglob("*.py") if len(p.read_text().splitlines()) > 400]
    assert not long


def test_the_window_starts_without_heavy_libraries():
    code = (
        "import sys, wallwright.window.application.main; "
        "heavy = [m for m in ('pyqtgraph', 'numba', 'scipy', 'mujoco') if m in sys.modules]; print(heavy); sys.exit(bool(heavy))"
    )
    result = run("-c", code)
    assert result.returncode == 0, result.stdout + result.stderr


def test_paths_in_the_developers_page_exist():
    text = (PROJECT / "DEVELOPERS.md").read_text()
    paths = set(re.findall(r"`([\w./-]*(?:/|\.py|\.txt|\.toml))`", text))
    assert len(paths) > 80
    missing = [p for p in paths if not ((PROJECT / p).exists() or (PACKAGE / p).exists())]
    assert not missing
