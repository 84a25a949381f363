"""Imported by the process that tests fork their workers from: all is imported and compiled, no thread is left, and the
documents that most windows of tests show are planned. A worker keeps plans by content, as every worker does."""

import gc

from tests.support.drawings import yard_document
from wallwright.document.language import current_language
from wallwright.planning import artwork_reader, runner
from wallwright.planning.demo import demo_document
from wallwright.planning.plan import Goal, Request

__all__ = ["artwork_reader"]

LANGUAGE = current_language()
KEPT = runner.Runner()
for document in (yard_document(), demo_document()):
    KEPT.run(Request(0, document, Goal.PLAN))


class ExperiencedRunner(runner.Runner):
    """One that has planned before; what it keeps has sentences of one language in it."""

    def __init__(self) -> None:
        super().__init__()
        if current_language() == LANGUAGE:
            self.__dict__ |= KEPT.__dict__


runner.Runner = ExperiencedRunner  # in this process and its forks alone
gc.collect()
gc.freeze()  # a collection in a fork would write to, and so copy, every page
