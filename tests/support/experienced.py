"""A runner that has planned before, for tests that need a plan and do not test how it comes about.

What a runner keeps is kept by content, and a plan is a pure function of the document: it is the same whoever has planned
before (tests/planning/test_edits_of_plans.py, tests/strokes/test_drawn_again.py). Tests of the runner itself, of ending a
search and of provisional plans make their own.
"""

from __future__ import annotations

from typing import Any, ClassVar

from wallwright.document.language import Language, current_language
from wallwright.planning.runner import Runner


class ExperiencedRunner(Runner):
    """Keeps its results together with all others of this process; they hold sentences of one language."""

    _shared: ClassVar[dict[Language, dict[str, Any]]] = {}

    def __init__(self) -> None:
        super().__init__()
        self.__dict__ = self._shared.setdefault(current_language(), self.__dict__)
