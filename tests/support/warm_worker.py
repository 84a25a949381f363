"""Imported by the process that tests fork their workers from: all is imported and compiled, and no thread is left."""

from wallwright.planning import artwork_reader
from wallwright.planning.demo import demo_document
from wallwright.planning.plan import Goal, Request
from wallwright.planning.runner import Runner

__all__ = ["artwork_reader"]

Runner().run(Request(0, demo_document(), Goal.PLAN))
