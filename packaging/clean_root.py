"""Tests a package in a clean Debian root, as root, with debootstrap; the root is deleted afterwards.

    sudo python3 packaging/clean_root.py FORM PACKAGE... [--suite NAME] [--python DIR] [--root DIR --keep]
    sudo python3 packaging/clean_root.py checkout --tests "PATHS" [--suite NAME] [--python DIR]

FORM and PACKAGE:
    deb FILE      the Debian package: apt installs it with its dependencies
    folder DIR    the self-contained folder
    single FILE   the single file
    wheel FILE    with pipx, as a person installs it
    sdist FILE    with pip into an environment, built there
    checkout      this checkout, by packaging/bootstrap.py, with the Python of the suite or of --python; --tests runs tests
                  there before the program is tried

The package is started under Xvfb, the demo is exported and the window rendered to a picture; then everything is removed and
the files of the root are compared with those before. Prints sizes, seconds and files left behind.
"""

from __future__ import annotations

import argparse
import os
import shutil
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import bootstrap  # beside this script
import folder as self_contained

PROJECT = Path(__file__).resolve().parent.parent
SOURCES = Path("/etc/apt/sources.list.d/debian.sources")
MIRROR = "http://deb.debian.org/debian"
SCRIPTS = Path("/usr/share/debootstrap/scripts")
CHECKOUT = ("app", "resources", "packaging", "pyproject.toml", "README.md")
"""Parts of the checkout that the program needs."""
FOR_TESTS = (".ci", ".github", "DEVELOPERS.md", "tests")
"""Further parts that its tests need."""
CHANGING = ("/proc", "/sys", "/dev", "/run", "/tmp", "/var/cache", "/var/lib/apt", "/var/lib/dpkg", "/var/log")
"""Paths that any installation changes, ignored in the comparison."""
ALSO_CHANGED = ("/etc/ld.so.cache", "/etc/mailcap", "/var/lib/fontconfig", "/var/lib/ucf")
TRIED_AS = "maker"
"""User in the root who starts the program."""
ENVIRONMENT = "environment"
"""That user's folder with a Python environment."""
VARIABLES = ("http_proxy", "https_proxy", "no_proxy", "PIP_INDEX_URL")
"""Network settings copied from this system."""
CERTIFICATES = Path("/usr/local/share/certificates-of-the-host.crt")
"""Path in the root for this system's certificates, for networks that need their own."""


def mirror() -> str:
    """Returns this system's mirror, else Debian's own."""
    if SOURCES.is_file():
        for line in SOURCES.read_text(encoding="utf-8").splitlines():
            if line.startswith("URIs:"):
                return line.split()[1]
    return MIRROR


class Root:
    """A clean root."""

    def __init__(self, path: Path, suite: str) -> None:
        self.path, self.suite = path, suite

    def make(self) -> None:
        """Creates the root, unless it exists."""
        if (self.path / "home" / TRIED_AS).is_dir():
            return
        self.path.mkdir(parents=True, exist_ok=True)
        self.path.chmod(0o755)  # temporary folders are private to their owner; the program is tested as another user
        # debootstrap has no script for a suite newer than itself; that of unstable works.
        script = SCRIPTS / (self.suite if (SCRIPTS / self.suite).exists() else "sid")
        command = ["debootstrap", "--variant=minbase", "--include=ca-certificates", self.suite, str(self.path)]
        run([*command, mirror(), str(script)])
        for kind, place in (("proc", "proc"), ("tmpfs", "dev/shm")):
            (self.path / place).mkdir(parents=True, exist_ok=True)
            run(["mount", "-t", kind, kind, str(self.path / place)])
        for file in ("/etc/resolv.conf", "/etc/hosts"):
            shutil.copy(file, self.path / file[1:])
        shutil.copy(
            os.environ.get("SSL_CERT_FILE", "/etc/ssl/certs/ca-certificates.crt"), self.path / str(CERTIFICATES)[1:]
        )
        settings = self.path / "etc" / "apt" / "apt.conf.d" / "99clean-root"
        settings.write_text('Acquire::Check-Valid-Until "false";\n')  # mirrors of testing may be some weeks behind
        self.do(f"useradd -m {TRIED_AS}")

    def do(self, line: str, person: str = "root", fails: bool = False) -> str:
        """Runs a shell line in the root; returns its output. Exits on failure unless fails is True."""
        home = "/root" if person == "root" else f"/home/{person}"
        kept = [f"{name}={os.environ[name]}" for name in VARIABLES if name in os.environ]
        kept += [f"{name}={CERTIFICATES}" for name in ("PIP_CERT", "SSL_CERT_FILE")]
        plain = [f"HOME={home}", f"PATH={home}/.local/bin:/usr/sbin:/usr/bin:/sbin:/bin", "LANG=C.UTF-8"]
        command = ["chroot", f"--userspec={person}", str(self.path), "/usr/bin/env", "-i", *plain, *kept]
        line = f"cd {home}; export DEBIAN_FRONTEND=noninteractive; {line}"
        done = subprocess.run([*command, "/bin/sh", "-c", line], stdout=subprocess.PIPE, stderr=subprocess.STDOUT)
        text = done.stdout.decode(errors="replace")
        if done.returncode and not fails:
            print(text)
            sys.exit(f"This failed in the clean root: {line}")
        return text

    def files(self) -> set[str]:
        """Returns every file and link, as paths in the root, except those that any installation changes."""
        found = set()
        for place, folders, names in os.walk(self.path):
            inside = "/" + os.path.relpath(place, self.path).removeprefix(".").lstrip("/")
            folders[:] = [f for f in folders if os.path.join(inside, f) not in CHANGING]
            found |= {os.path.join(inside, name) for name in names}
        return {f for f in found if not f.startswith(ALSO_CHANGED)}

    def delete(self) -> None:
        for place in ("proc", "dev/shm"):
            subprocess.run(["umount", "-l", str(self.path / place)], capture_output=True)
        if not os.path.ismount(self.path / "proc"):
            shutil.rmtree(self.path, ignore_errors=True)


def run(command: list[str]) -> None:
    done = subprocess.run(command, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True)
    if done.returncode:
        print(done.stdout[-3000:])
        sys.exit(f"This failed: {' '.join(command)}")


def install(root: Root, form: str, package: Path, python: Path | None, tests: str) -> str:
    """Installs the package and returns the command that starts it. python: folder of a Python to use instead of the suite's.
    tests: paths of the checkout's tests to run, separated by spaces."""
    inside = root.path / "opt"
    if form == "checkout":
        return _install_checkout(root, python, tests)
    if form == "folder":
        _install_debian(root, *system_libraries(root))
        shutil.copytree(package, inside / "wallwright", symlinks=True)
        return "/opt/wallwright/wallwright"
    copy = inside / package.name
    shutil.copy(package, copy)
    if form == "deb":
        _install_debian(root, f"/opt/{package.name}")
    elif form == "wheel":
        _install_debian(root, "pipx", *system_libraries(root))
        root.do(f"pipx install /opt/{package.name}", TRIED_AS)
    elif form == "sdist":
        _install_debian(root, "python3-venv", *system_libraries(root))
        root.do(f"python3 -m venv {ENVIRONMENT} && {ENVIRONMENT}/bin/pip install -q /opt/{package.name}", TRIED_AS)
    else:
        _install_debian(root, *system_libraries(root))
        copy.chmod(0o755)
        return str(Path("/opt") / copy.name)
    copy.unlink()
    return f"/home/{TRIED_AS}/{ENVIRONMENT}/bin/wallwright" if form == "sdist" else "wallwright"


def _install_debian(root: Root, *packages: str) -> None:
    root.do(f"apt-get install -y --no-install-recommends {' '.join(packages)}")


def _install_checkout(root: Root, python: Path | None, tests: str) -> str:
    if python is None:
        _install_debian(root, "python3")
    else:
        _install_debian(root, "libssl3", "libffi8", "libsqlite3-0", "zlib1g", "libbz2-1.0", "liblzma5")
        shutil.copytree(python, root.path / str(python)[1:], symlinks=True)
        root.do("chmod 755 /root")
    program = "python3" if python is None else f"{python}/bin/python3"
    place = f"/home/{TRIED_AS}/checkout"
    target = root.path / place[1:]
    for name in (*CHECKOUT, *(FOR_TESTS if tests else ())):
        source = PROJECT / name
        if source.is_dir():
            shutil.copytree(source, target / name, ignore=shutil.ignore_patterns("__pycache__", "*.egg-info"))
        else:
            shutil.copy(source, target / name)
    print(root.do(f"cd {place} && {program} packaging/bootstrap.py run --version").strip())
    print(root.do(f"{place}/.venv/bin/python --version").strip())
    if tests:
        said = root.do(f"cd {place} && {program} packaging/bootstrap.py test {tests}")
        print(f"tests: {said.strip().splitlines()[-1]}", flush=True)
    root.do(f"chown -R {TRIED_AS} {place}")
    return f"{place}/.venv/bin/wallwright"


def system_libraries(root: Root) -> list[str]:
    """Returns the libraries that Qt needs, with the suite's names: some were renamed in Debian 13."""
    found = []
    for name in bootstrap.DEBIAN_PACKAGES:
        known = root.do(f"apt-cache show {name} >/dev/null 2>&1 && echo yes", fails=True).strip() == "yes"
        found.append(name if known else f"{name}t64")
    return found


def remove(root: Root, form: str, packages: set[str], python: Path | None) -> None:
    """Removes everything. packages: Debian packages installed before."""
    if form == "deb":
        root.do("apt-get purge -y wallwright && apt-get autoremove --purge -y")
    elif form == "wheel":
        root.do("pipx uninstall wallwright", TRIED_AS)
        root.do("rm -rf .local/pipx .local/share/pipx .local/state/pipx .cache/pip .cache/pipx", TRIED_AS)
    elif form == "sdist":
        root.do(f"rm -rf {ENVIRONMENT} .cache/pip", TRIED_AS)
    elif form == "single":
        root.do("/opt/wallwright --delete-unpacked", TRIED_AS)
        root.do("rm /opt/wallwright")
    elif form == "checkout":
        root.do(f"rm -rf /home/{TRIED_AS}/checkout /root/.cache {python or ''}")
    else:
        root.do("rm -rf /opt/wallwright")
    if more := installed_packages(root) - packages:
        root.do(f"apt-get purge -y {' '.join(sorted(more))}")


def installed_packages(root: Root) -> set[str]:
    return set(root.do("dpkg-query -W -f '${db:Status-Abbrev}${Package}\\n' | sed -n 's/^ii //p'").split())


def tried(root: Root, command: str, pictures: Path, name: str) -> None:
    """Starts the program in three ways and prints the time of each."""
    for what, line in (
        ("version", f"{command} --version"),
        ("first plan and export of the demo", f"{command} demo --folder first"),
        ("again", f"{command} demo --folder second"),
    ):
        begin = time.monotonic()
        root.do(line, TRIED_AS)
        print(f"{what}: {time.monotonic() - begin:.1f} s", flush=True)
    begin = time.monotonic()
    line = f'xvfb-run -a -s "-screen 0 1366x768x24" {command} window --demo --picture window.png'
    root.do(f"export XDG_RUNTIME_DIR=/tmp; {line}", TRIED_AS)
    print(f"window with the demo, planned and painted: {time.monotonic() - begin:.1f} s")
    same = root.do("diff -r first second && ls first | wc -l", TRIED_AS, fails=True).strip()
    print(f"files of the demo job: {same}")
    sums = root.do("cat first/* | sha256sum", TRIED_AS)
    print(f"sha-256 of them together: {sums[:16]}")
    log = root.do("cat .local/state/wallwright/wallwright.log 2>/dev/null", TRIED_AS, fails=True)
    odd = [line for line in log.splitlines() if "WARNING" in line or "ERROR" in line]
    print("log: nothing odd" if not odd else "\n".join(["log:", *odd[:10]]))
    pictures.mkdir(parents=True, exist_ok=True)
    shutil.copy(root.path / "home" / TRIED_AS / "window.png", pictures / f"{name}.png")
    root.do("rm -rf first second window.png .local/state/wallwright .cache/fontconfig", TRIED_AS)  # user files


def main(arguments: list[str]) -> int:
    parser = argparse.ArgumentParser(description=(__doc__ or "").split("\n")[0])
    parser.add_argument("form", choices=("deb", "folder", "single", "wheel", "sdist", "checkout"))
    parser.add_argument("package", nargs="?", type=Path, default=PROJECT)
    parser.add_argument("--suite", default="bookworm")
    parser.add_argument("--pictures", type=Path, default=PROJECT / "build" / "pictures")
    parser.add_argument("--root", type=Path)
    parser.add_argument("--python", type=Path)
    parser.add_argument("--tests", default="")
    parser.add_argument("--keep", action="store_true")
    given = parser.parse_args(arguments)
    if os.geteuid() != 0 or not shutil.which("debootstrap"):
        sys.exit("Run this as root, with debootstrap installed.")
    root = Root(given.root or Path(tempfile.mkdtemp(prefix="clean-root-")), given.suite)
    try:
        root.make()
        root.do("apt-get update -qq && apt-get install -y --no-install-recommends xvfb xauth")
        before, packages = root.files(), installed_packages(root)
        print(f"{given.form} in a clean {given.suite}", flush=True)
        if given.package.exists() and given.form != "checkout":
            print(f"package: {self_contained.size(given.package) / 1e6:.0f} MB")
        space, begin = used(root.path), time.monotonic()
        command = install(root, given.form, given.package, given.python, given.tests)
        print(
            f"installed in {time.monotonic() - begin:.0f} s, {(used(root.path) - space) / 1e6:.0f} MB more", flush=True
        )
        tried(root, command, given.pictures, f"{given.form}-{given.suite}{given.python.name if given.python else ''}")
        remove(root, given.form, packages, given.python)
        root.do("rmdir .cache/wallwright .cache .local/state .local 2>/dev/null; true", TRIED_AS)
        left = sorted(root.files() - before)
        print(
            f"left behind: {', '.join(left[:20]) or 'nothing'}"
            + (f" and {len(left) - 20} more" if len(left) > 20 else "")
        )
        print(f"gone that was there before: {', '.join(sorted(before - root.files())[:20]) or 'nothing'}")
    finally:
        if not given.keep:
            root.delete()
    return 0


def used(path: Path) -> int:
    """Returns the disk usage of a folder in bytes, without /proc and the like."""
    return int(subprocess.run(["du", "-sxB1", str(path)], capture_output=True, text=True).stdout.split()[0])


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
