"""The example projects: valid, read without findings, and drawn where the machine can draw."""

import pytest

from tests.support.experienced import ExperiencedRunner
from wallwright.document.consistency import validate
from wallwright.document.project import decode_project, encode_project
from wallwright.planning.examples import EXAMPLES
from wallwright.planning.plan import Goal, Request


@pytest.mark.parametrize("example", EXAMPLES, ids=lambda e: e.id)
def test_examples_are_whole_projects(example):
    document = example.document()
    assert validate(document) == document
    assert decode_project(encode_project(document), example.id) == document
    assert document.placements


@pytest.mark.parametrize("example", [e for e in EXAMPLES if e.id != "portrait"], ids=lambda e: e.id)
def test_examples_lie_in_the_draw_zone(example):
    document = example.document()
    answer = ExperiencedRunner().run(Request(1, document, Goal.PREVIEW))
    assert answer.trouble == ""
    preview = answer.preview
    assert [finding for report in preview.reports for finding in report.findings] == []
    assert len(preview.strokes) > 5
    assert len(preview.outside.pieces) == 0
