"""A wall longer than one hanging, composed on the command line."""

from pathlib import Path

from wallwright.commands.main import main


def compose_covered(project: Path, artwork: Path) -> int:
    """Writes a project in which several hangings cover one wide artwork; returns the command's exit code."""
    options = ["--wall", "6000x2500", "--right-anchor", "2100,0", "--artwork", str(artwork)]
    options += ["--width", "2000", "--height", "500", "--at", "1900,900", "--cover"]
    return main(["compose", str(project), *options])
