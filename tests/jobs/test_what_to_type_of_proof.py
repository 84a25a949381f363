"""The sheet of a proof drawing promises nothing of a page that nobody knows, and has room for its four readings."""

from tests.support.jobs import planned_job
from wallwright.document import edits
from wallwright.document.controller import Controller
from wallwright.document.document import Document
from wallwright.document.drawing_page import DrawingPage
from wallwright.jobs.what_to_type import MEASURE_PROOF, remarks, what_to_type
from wallwright.planning.proof_drawing import proof_document
from wallwright.statics.calibration.proof import STAY, TAPE


def test_the_proof_says_what_to_measure_and_not_where_it_will_be():
    controller = Controller(takes="drawing", pacing="constant", page=DrawingPage(is_known=False))
    document = Document()
    document = edits.replace(document, machine=edits.replace(document.machine, controller=controller))
    what = what_to_type(planned_job(proof_document(document, 0)))
    assert what is not None and what.is_proof
    sentences = remarks(what)
    assert STAY in sentences and MEASURE_PROOF in sentences
    assert MEASURE_PROOF.count("________") == len(TAPE)
    assert not [
        text for text in sentences if "sits from" in text or "comes out straight" in text or "colours meet" in text
    ]
