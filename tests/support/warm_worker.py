"""Imported by the process that tests fork their workers from: all is imported and compiled, no thread is left, and the
documents that most windows of tests show are planned."""

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
    kept._plans._last = None  # the first plan of a worker mends no other

runner.Runner = ExperiencedRunner  # in this process and its forks alone
gc.collect()
gc.freeze()  # a collection in a fork would write to, and so copy, every page
