"""Documents for tests, with planning and export."""

from __future__ import annotations

import json
from pathlib import Path

from tests.support.experienced import ExperiencedRunner
from wallwright.document import edits
from wallwright.document.document import Document, Fill, Pen
from wallwright.jobs.job import Job
from wallwright.planning.export import job_of
from wallwright.planning.plan import Goal, Request

SQUARE = (
    b'<svg xmlns="http://www.w3.org/2000/svg" width="100mm" height="100mm" viewBox="0 0 100 100">'
    b'<path d="M0 0H100V100H0Z" fill="none" stroke="#202020" stroke-width="0.1"/></svg>'
)


def document_of(
    svg: bytes, natural=(100.0, 100.0), centre=(1000.0, 900.0), width=1000.0, fill="none", **machine
) -> Document:
    """Returns a document with one artwork between anchors 2 m apart. machine: parts of the machine to replace."""
    document = Document()
    document = edits.replace(document, machine=edits.replace(document.machine, **machine))
    settings = edits.replace(document.settings, fill=Fill(fill, 5.0, 0.5))
    document = edits.replace(document, settings=settings, pens=(Pen("black", "Black", "#202020", 1.0),))
    return edits.add_artwork(document, "art.svg", "image/svg+xml", svg, natural, centre, width)[0]


def planned(document: Document):
    """Plans a document; returns the answer."""
    return ExperiencedRunner().run(Request(1, document, Goal.PLAN))


def exported(document: Document, folder: Path) -> tuple[dict[str, Path], dict]:
    """Exports; returns files by name and the report."""
    answer = ExperiencedRunner().run(Request(1, document, Goal.EXPORT, folder=str(folder)))
    files = {Path(f).name: Path(f) for f in answer.files}
    return files, json.loads(files["report.json"].read_text())


def planned_job(document: Document) -> Job:
    """Returns the job of the first hanging, not yet written."""
    return job_of(document, 0, planned(document).plan, lambda stage, done: None)
