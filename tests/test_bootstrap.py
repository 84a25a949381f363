"""Setting up the environment: what bootstrap.py does when Pythons change or libraries cannot be installed."""

import importlib.util
import os
import subprocess
import sys
from pathlib import Path

import pytest

PACKAGING = Path(__file__).resolve().parents[1] / "packaging"


@pytest.fixture
def bootstrap(tmp_path, monkeypatch):
    """The script, with its environment below tmp_path; nothing is installed."""
    spec = importlib.util.spec_from_file_location("packaging_bootstrap", PACKAGING / "bootstrap.py")
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    environment = tmp_path / "environment"
    monkeypatch.setattr(module, "ENVIRONMENT", environment)
    monkeypatch.setattr(module, "STAMP", environment / "installed-for.txt")
    monkeypatch.setattr(module, "system_libraries", lambda: None)
    monkeypatch.setattr(module, "compile_loops", lambda python: None)
    return module


@pytest.fixture
def steps(bootstrap, monkeypatch):
    """The commands that were run, without running those that install."""
    made = []

    def step(command, trouble, environment=None):
        made.append(command[1:3])
        if command[1:3] == ["-m", "venv"]:
            subprocess.run([*command, "--without-pip"], check=True)

    monkeypatch.setattr(bootstrap, "step", step)
    return made


VERSION = "{}.{}".format(*sys.version_info)
ALL = [["-m", "venv"], ["-m", "pip"], ["-m", "wallwright.planning.warm_up"]]


def test_the_environment_is_made_once(bootstrap, steps):
    python = Path(bootstrap.set_up(extras=""))
    assert steps == ALL and python.exists()
    assert bootstrap.set_up(extras="") == str(python) and steps == ALL
    bootstrap.set_up(extras="[test]")
    assert steps == [*ALL, *ALL[1:]]


@pytest.mark.skipif(os.name == "nt", reason="Windows has copies of Python, not links")
def test_an_upgrade_of_python_makes_the_environment_anew(bootstrap, steps):
    # As an upgrade of Debian does: the environment's link leads to another Python then, which lacks the libraries.
    python = Path(bootstrap.set_up(extras=""))
    python.unlink()
    python.write_text("#!/bin/sh\necho 3 99\n")
    python.chmod(0o755)
    bootstrap.set_up(extras="")
    assert steps == ALL * 2
    bootstrap.set_up(extras="")
    assert steps == ALL * 2


def test_an_environment_that_another_python_began_is_made_anew(bootstrap, steps, monkeypatch):
    bootstrap.set_up(extras="")
    with monkeypatch.context() as other:
        other.setattr(sys, "version_info", (3, 99, 0))
        bootstrap.set_up(extras="")
    assert steps == ALL  # it was finished, so it has every library
    bootstrap.STAMP.unlink()
    settings = bootstrap.ENVIRONMENT / "pyvenv.cfg"
    settings.write_text(settings.read_text().replace(f"version = {VERSION}", "version = 3.99"))
    bootstrap.set_up(extras="")
    assert steps == ALL * 2


@pytest.mark.parametrize(
    ("version", "said"),
    [((3, 14, 8), "is the network up?"), ((3, 15, 0), "Use Python 3.11 to 3.14, for example: python3.14 packaging")],
)
def test_what_to_do_when_libraries_cannot_be_installed(bootstrap, monkeypatch, version, said):
    monkeypatch.setattr(sys, "version_info", version)
    assert said in bootstrap.not_installed()


def test_a_python_that_is_too_old_gets_a_sentence(bootstrap, monkeypatch, capsys):
    monkeypatch.setattr(sys, "version_info", (3, 10, 13))
    assert bootstrap.main(["run"]) == 2
    assert "needs Python 3.11 or newer" in capsys.readouterr().out


def test_the_workflow_tries_every_python_that_is_promised(bootstrap):
    text = (PACKAGING.parent / ".github" / "workflows" / "packages.yml").read_text(encoding="utf-8")
    promised = [f'"3.{minor}"' for minor in range(bootstrap.OLDEST[1], bootstrap.NEWEST[1] + 1)]
    assert f"python: [{', '.join(promised)}]" in text
