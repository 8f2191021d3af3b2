"""The guide's run sheet."""

from dataclasses import replace

import pytest

from guiding.papers.records import Decision, RunPerson, Verdict
from guiding.papers.run_sheet import run_sheet_pdf
from tests.papers import made, reading


def test_first_page_holds_times_decision_and_people() -> None:
    first = reading.pages(run_sheet_pdf(made.run_sheet()))[0]
    for words in (
        "Leave by",
        "12:54",
        "Last drive-out",
        "10:30",
        "Overdue at",
        "18:30",
        "GO, Fri 19 Jun 2026, 18:00, Nora Quill",
        "HOLD watch the clock",
        "bee stings: two pens on her",
        "minor, 11 y, guardian Anna Byrne",
        "kin +353 87 555 0123",
        "€812.00",
        "MISSING",
        "Headcount: 4",
        "off the sand",
        "Westport Road Hospital (invented), 42 km +353 98 555 0100",
        "29U MV 34567 41234",
        "Scarra Strand · 25 min drive",
        "half the price back",
    ):
        assert words in first


def test_names_in_greek_polish_and_czech_letters_are_whole() -> None:
    told = reading.text(run_sheet_pdf(made.run_sheet()))
    assert "Zoë Łukasiewicz" in told
    assert "Miloš Παπαδόπουλος" in told


def test_gear_in_order_with_lapsed_paper_named() -> None:
    told = reading.text(run_sheet_pdf(made.run_sheet()))
    assert "SAC-0000" in told
    assert "Sun 31 May 2026 LAPSED on the day" in told
    assert told.index("P1 fit 95 % 100 % 3") < told.index("P6 watch 85 % 100 % 3")
    assert "Rod 2 Reel 2, braid 0.30 mm 520 m 300 m" in told
    assert "14 × Rigs, two hooks" in told


def test_an_open_decision_is_a_box_to_fill_in() -> None:
    told = reading.text(run_sheet_pdf(made.run_sheet(decision=Decision())))
    assert "Not yet decided. Mark one, with time and name." in told
    assert "call off" in told


@pytest.mark.parametrize(
    ("verdict", "word"), [(Verdict.HOLD, "HOLD,"), (Verdict.CALL_OFF, "CALL OFF,")]
)
def test_a_decision_is_told_in_words(verdict: Verdict, word: str) -> None:
    decision = replace(made.DECISION, verdict=verdict)
    assert word in reading.text(run_sheet_pdf(made.run_sheet(decision=decision)))


def test_the_drop_table_has_as_many_rows_as_asked() -> None:
    last = reading.pages(run_sheet_pdf(made.run_sheet(drop_rows=24)))[-1]
    assert "Nobody below the rods while it flies." in last
    assert " 22 23 24" in last
    assert " 25" not in last


def test_no_drop_table_without_rows() -> None:
    told = reading.text(run_sheet_pdf(made.run_sheet(drop_rows=0)))
    assert "Nobody below the rods while it flies." not in told


def test_too_many_drop_rows_are_refused() -> None:
    with pytest.raises(ValueError, match="between 0 and 200"):
        made.run_sheet(drop_rows=201)


def test_sixty_people_flow_with_the_header_repeated() -> None:
    people = tuple(RunPerson(f"Person {n:02d}", alerts=("bees",)) for n in range(60))
    pages = reading.pages(run_sheet_pdf(made.run_sheet(people=people)))
    told = " ".join(pages)
    assert [one.name for one in people if one.name not in told] == []
    holding = [page for page in pages if "Person " in page]
    assert len(holding) > 1
    assert all("Alerts" in page for page in holding)
