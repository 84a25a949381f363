"""A runner with shared caches, for tests that need a plan but do not test planning.

Runners cache by content, and a plan is a pure function of the document, so earlier plans do not affect it
(tests/planning/test_edits_of_plans.py, tests/strokes/test_drawn_again.py). Tests of the runner, of ending a search and of
provisional plans use separate runners.
"""

from __future__ import annotations

from typing import Any, ClassVar

from wallwright.document.language import Language, current_language
from wallwright.planning.runner import Runner


class ExperiencedRunner(Runner):
    """Shares its cache within this process, by language, since results contain sentences."""

    _shared: ClassVar[dict[Language, dict[str, Any]]] = {}

    def __init__(self) -> None:
        super().__init__()
        self.__dict__ = self._shared.setdefault(current_language(), self.__dict__)
