"""Wallwright: composes drawing jobs for a hanging drawing machine."""

__version__ = "0.1.0"
