"""Imported by the process from which tests fork their workers: imports and compiles everything, leaves no thread, and plans
the documents that most window tests show."""

import gc

from tests.support.drawings import yard_document
from tests.support.experienced import ExperiencedRunner
from wallwright.document.language import Language, set_language
from wallwright.planning import artwork_reader, runner
from wallwright.planning.demo import demo_document
from wallwright.planning.plan import Goal, Request

__all__ = ["artwork_reader"]

for language in (Language("de", ","), Language()):
    set_language(language)
    kept = ExperiencedRunner()
    for document in (yard_document(), demo_document()):
        kept.run(Request(0, document, Goal.PLAN))
    kept._plans._last = None  # a worker's first plan must not repair another

runner.Runner = ExperiencedRunner  # in this process and its forks alone
gc.collect()
gc.freeze()  # a collection in a fork would write to every page, and so copy it
