"""What holds for every paper of the family."""

import shutil
import subprocess
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

import pytest
from pydantic import TypeAdapter

from guiding.papers.records import PageSize
from tests.papers import family, made, reading

NO_FURNITURE = {"labels", "emergency card"}


@pytest.mark.parametrize("name", family.NAMES)
def test_says_in_its_file_what_it_is(name: str) -> None:
    said = reading.facts(family.built(name))
    assert said["author"] == "Marram Head Shore Guiding"
    assert said["language"] == "en-IE"
    assert said["title"].endswith(made_number(name))
    assert said["subject"]


def made_number(name: str) -> str:
    paper = family.record(name)
    return str((paper.body if hasattr(paper, "body") else paper).letterhead.number)


@pytest.mark.parametrize("name", family.NAMES)
def test_embeds_every_font(name: str) -> None:
    assert reading.loose_fonts(family.built(name)) == []


@pytest.mark.parametrize("name", family.NAMES)
def test_same_record_gives_the_same_bytes(name: str) -> None:
    first = family.built(name)
    family.built("run sheet")  # another paper in between changes nothing
    assert family.built(name) == first


@pytest.mark.parametrize("name", family.NAMES)
def test_printing_time_is_an_input(name: str) -> None:
    later = family.built(name, printed_at=datetime(2026, 6, 19, 8, 30, tzinfo=UTC))
    if name != "labels":
        assert "printed Fri 19 Jun 2026, 09:30" in reading.text(later)
        assert later != family.built(name)


@pytest.mark.parametrize("name", sorted(set(family.NAMES) - NO_FURNITURE))
def test_numbers_its_pages_and_names_the_business(name: str) -> None:
    pages = reading.pages(family.built(name))
    for number, page in enumerate(pages, start=1):
        assert f"page {number} of {len(pages)}" in page
        assert "Marram Head Shore Guiding" in page
        assert made_number(name) in page


@pytest.mark.parametrize("name", sorted(set(family.NAMES) - {"labels"}))
def test_has_bookmarks_in_page_order(name: str) -> None:
    found = reading.outline(family.built(name))
    assert found
    assert all(title.strip() for title, _page in found)
    assert [page for _title, page in found] == sorted(page for _title, page in found)


@pytest.mark.parametrize("name", family.NAMES)
def test_prints_on_letter_paper(name: str) -> None:
    import pikepdf

    data = family.built(name, page_size=PageSize.LETTER)
    with pikepdf.open(reading.BytesIO(data)) as pdf:
        boxes = {tuple(float(side) for side in page.mediabox) for page in pdf.pages}
    expected = (0.0, 0.0, 612.0, 792.0)
    if name == "emergency card":
        assert all(width < 300 for _left, _low, width, _height in boxes)
    else:
        assert boxes == {expected}


@pytest.mark.parametrize("name", family.NAMES)
@pytest.mark.skipif(not shutil.which("qpdf"), reason="qpdf is not installed")
def test_an_independent_checker_finds_nothing_wrong(name: str, tmp_path: Path) -> None:
    file = tmp_path / "paper.pdf"
    file.write_bytes(family.built(name))
    checked = subprocess.run(["qpdf", "--check", str(file)], capture_output=True, text=True)
    assert checked.returncode == 0, checked.stdout + checked.stderr


def test_an_unknown_language_is_refused_by_name() -> None:
    with pytest.raises(ValueError, match="no papers in the language 'tlh'"):
        family.built("trip sheet", language="tlh")


def test_an_unknown_locale_and_zone_are_refused() -> None:
    with pytest.raises(ValueError, match="locale 'xx_YY'"):
        replace(made.LETTERHEAD, locale="xx_YY")
    with pytest.raises(ValueError, match="zone 'Mars/Base'"):
        replace(made.LETTERHEAD, zone="Mars/Base")
    with pytest.raises(ValueError, match="aware"):
        replace(made.LETTERHEAD, printed_at=datetime(2026, 1, 1))  # noqa: DTZ001


def test_money_and_dates_follow_the_locale() -> None:
    told = reading.text(family.built("invoice", locale="en_US", currency="USD"))
    assert "$1,200.00" in told
    assert "Monday, May 11, 2026" in told
    told = reading.text(family.built("invoice", locale="fr_FR"))
    assert "1 200,00 €" in told
    assert "lundi 11 mai 2026" in told


def test_a_currency_without_minor_units_has_no_decimals() -> None:
    assert "¥1,200" in reading.text(family.built("invoice", locale="en_US", currency="JPY"))
    assert "¥1,200.00" not in reading.text(family.built("invoice", locale="en_US", currency="JPY"))


def test_times_are_told_in_the_zone_of_the_business() -> None:
    told = reading.text(family.built("almanac page", zone="Atlantic/Azores"))
    assert "04:03" in told
    assert "Atlantic/Azores" in told


def test_a_long_title_gives_way_to_number_time_and_page() -> None:
    sheet = replace(made.trip_sheet(), title="A very long title " * 12)
    lines = made_lines(family.FAMILY["trip sheet"][1](sheet))
    foot = next(line for line in lines if "printed" in line)
    assert "…" in foot
    assert "No. 2026-014" in foot
    assert foot.endswith("14:03")


def made_lines(data: bytes) -> list[str]:
    import pypdf

    return pypdf.PdfReader(reading.BytesIO(data)).pages[0].extract_text().splitlines()


@pytest.mark.parametrize("name", family.NAMES)
def test_a_record_given_as_json_makes_the_same_paper(name: str) -> None:
    paper = family.record(name)
    adapter = TypeAdapter(type(paper))
    again = adapter.validate_json(adapter.dump_json(paper))
    assert again == paper
    assert family.FAMILY[name][1](again) == family.built(name)
