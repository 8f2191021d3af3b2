"""What published lists ask of an information sheet, a signed form and a risk matrix.

Sources stand in the headers of fixtures/reference/doc_*.csv. A row that a paper does not answer
fails here by its own words.
"""

from dataclasses import replace

import pytest

from guiding.papers.briefing import briefing_pdf
from guiding.papers.qr import QrCode
from guiding.papers.records import RiskMatrix
from guiding.papers.signed_form import signed_form_pdf
from guiding.papers.trip_sheet import trip_sheet_pdf
from tests.papers import made, reading
from tests.reference import published

# Each item of the list, and the words by which the paper answers it.
SHEET_ANSWERS = {
    "who runs it, contact": ("Marram Head Shore Guiding", "+353 1 555 0142"),
    "date, place, meeting point": ("Saturday 20 June 2026", "Meeting place", "Where:"),
    "what happens": ("What we do", "The day"),
    "level of difficulty": ("Effort:", "Walking:"),
    "hazards named (sea, slips, hooks, drone blades, battery fire, weather)": (
        "Surge on the beach",
        "Slips on rock",
        "Hooks",
        "Rotor",
        "Battery fire",
        "Sun and wind",
    ),
    "clothing and gear, who supplies": ("Bring", "Wear", "We supply"),
    "health questions": ("Keep your own medicine on you", "Ask your doctor"),
    "minors": ("For those under age", "Second adult:"),
    "what is expected of you": ("Three rules",),
    "who decides to stop": ("the guide's word on the day goes before this paper",),
    "insurance": ("Covered:", "Not covered:"),
    "emergency plan": ("In an emergency", "Nearest hospital"),
    "price, cancellation, refund": ("Price €", "If plans change:", "money back"),
    "privacy": ("We show pictures of you only if you agreed",),
    "how to complain": ("Something wrong?",),
}
FORM_ANSWERS = {
    "named activity and date": ("Acknowledgement of risk", "10 Jun 2026"),
    "risks accepted in plain words": ("The sea can knock me over.",),
    "statement read and understood": ("I have read",),
    "participant's own duties": ("I will follow the three rules",),
    "guardian block for minors with relationship": ("as mother of Ciara, aged 11",),
    "version of the text": ("Text version 3",),
    "signature evidence": ("What was recorded",),
    "copy given": ("Copy given yes",),
}
EVIDENCE_ANSWERS = {
    "exact text shown, with version and hash": (
        "Text version 3",
        "Fingerprint of the text (SHA-256)",
        "3f3f3f3f 3f3f3f3f",
    ),
    "name of the signer and how identified": ("Anna Byrne", "Signer identified by link sent"),
    "means under the signer's sole control (own link or code)": ("Signed with own link",),
    "mark used to sign (typed name, tick, drawn)": ("Kind of mark drawn by hand",),
    "time, with zone": ("19:05 (Europe/Dublin)", "2026-06-10 18:05:09 UTC"),
    "consent to sign electronically and not withdrawn; shown how to keep and get a copy": (
        "Agreed to sign electronically yes",
        "Copy given yes",
    ),
    "record kept accurate and accessible, reproducible": (
        "Fingerprint of the record a1a1a1a1",
        "Fingerprint of the record before b2b2b2b2",
    ),
    "intent to sign": ("With this mark I sign the text above.",),
    "signer identified and approval shown; as reliable as appropriate": ("Signature",),
    "not refused only because electronic": ("A record of what was said and agreed.",),
    "guardian: own name, relationship, minor's name and age": ("as mother of Ciara, aged 11",),
}


def _own_list(topic: str) -> list[str]:
    row = next(row for row in published.rows("doc_topics") if row["topic"] == topic)
    return [item.strip() for item in row["what_stands_there"].split(";")]


@pytest.fixture(scope="module")
def sheet() -> str:
    risks = (
        *made.RISKS[:7],
        replace(made.RISKS[7], name="Battery fire", measure="Boxed, vented, kept in the shade."),
    )
    return reading.text(trip_sheet_pdf(made.trip_sheet(risks=risks, minors=made.MINORS)))


@pytest.fixture(scope="module")
def form() -> str:
    return reading.text(signed_form_pdf(made.signed_form()))


@pytest.mark.parametrize("item", _own_list("information sheet, own list"))
def test_the_trip_sheet_answers(item: str, sheet: str) -> None:
    assert [words for words in SHEET_ANSWERS[item] if words not in sheet] == []


@pytest.mark.parametrize("item", _own_list("waiver, own list"))
def test_the_signed_form_answers(item: str, form: str) -> None:
    assert [words for words in FORM_ANSWERS[item] if words not in form] == []


@pytest.mark.parametrize(
    "item", [row["item_to_record"] for row in published.rows("doc_signature_evidence")]
)
def test_the_signed_form_bears_the_evidence(item: str, form: str) -> None:
    assert [words for words in EVIDENCE_ANSWERS[item] if words not in form] == []


@pytest.mark.parametrize("bands", ["three_band_published", "four_band"])
def test_the_printed_matrix_is_the_published_one(bands: str) -> None:
    cells = {
        (int(row["likelihood"]), int(row["consequence"])): row
        for row in published.rows("doc_risk_matrix")
    }
    words = {
        scale: tuple(
            row["word"] for row in published.rows("doc_risk_scales") if row["scale"] == scale
        )
        for scale in ("likelihood", "consequence")
    }
    matrix = RiskMatrix(
        words["likelihood"],
        words["consequence"],
        tuple(
            tuple(
                cells[level, weight][bands] if (level, weight) in cells else "unpublished"
                for weight in range(1, 6)
            )
            for level in range(1, 6)
        ),
    )
    told = reading.text(briefing_pdf(made.briefing(matrix=matrix, items=())))
    told = told[told.index("The matrix used") :]
    for level in range(1, 6):
        row = " ".join(
            f"{level * weight} {matrix.bands[level - 1][weight - 1]}" for weight in range(1, 6)
        )
        assert f"{level} {words['likelihood'][level - 1]} {row}" in told
    assert all(int(cells[at]["score"]) == at[0] * at[1] for at in cells)


def test_the_payment_code_keeps_to_the_published_limits() -> None:
    """EPC069-12: error correction M, at most version 13 (69 modules), 331 bytes."""
    rules = " ".join(row["rule"] for row in published.rows("money_epc_qr_rules"))
    assert "error correction level M; QR version at most 13" in rules
    head = "BCD\n002\n1\nSCT\n\n"
    longest = head + "N" * (331 - len(head))
    assert len(QrCode(longest, 96.0).rows) <= 69
