"""Compiles the loops that planning needs, once after installing: python -m app.planning.warm.

The compiled code is kept beside the sources; without this the first plan would wait for it.
"""

from __future__ import annotations

from app.planning.demo import demo_document
from app.planning.plan import Goal, Request
from app.planning.run import Runner


def main() -> None:
    Runner().run(Request(0, demo_document(), Goal.PLAN))


if __name__ == "__main__":
    main()
