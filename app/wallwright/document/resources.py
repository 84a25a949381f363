"""Data files that are installed with the program: demo artwork, catalogues of translations, schemas."""

from __future__ import annotations

from importlib.resources import files
from importlib.resources.abc import Traversable


def resource(*names: str) -> Traversable:
    """Returns a file or folder by its path below resources/, wherever the package is installed; it need not exist."""
    return files("wallwright.resources").joinpath(*names)
