"""A paper of a trip that does not go ahead for certain says so on every one of its pages."""

import pypdf
import pytest

from guiding.papers.records import PageSize, Standing
from guiding.papers.words import Words
from tests.papers import family, reading

WORDS = {
    ("en", Standing.TENTATIVE): "NOT YET CONFIRMED",
    ("en", Standing.CALLED_OFF): "CALLED OFF",
    ("de", Standing.TENTATIVE): "NOCH NICHT BESTÄTIGT",
    ("de", Standing.CALLED_OFF): "ABGESAGT",
}


# One of each for every paper; that the words are right in both languages is asked of the words.
BUILT = (("en", Standing.CALLED_OFF), ("de", Standing.TENTATIVE))


def test_every_language_of_the_papers_has_its_words() -> None:
    for language in Words.languages():
        words = Words.of(language)
        assert words.band(Standing.FIRM) == ""
        for standing in (Standing.TENTATIVE, Standing.CALLED_OFF):
            assert words.band(standing) == WORDS[language, standing]


@pytest.mark.parametrize("name", family.NAMES)
@pytest.mark.parametrize(("language", "standing"), BUILT)
def test_every_page_of_every_paper_says_how_the_trip_stands(
    name: str, language: str, standing: Standing
) -> None:
    size = PageSize.LETTER if language == "en" else PageSize.A4
    paper = family.built(name, language=language, standing=standing, page_size=size)
    others = set(WORDS.values()) - {WORDS[language, standing]}
    found = reading.pages(paper)
    assert found
    for page in found:
        assert page.count(WORDS[language, standing]) == 1
        assert not any(other in page for other in others)
    assert reading.facts(paper)["title"].startswith(f"{WORDS[language, standing]}: ")


@pytest.mark.parametrize("name", ["run sheet", "emergency card", "labels"])
def test_a_firm_trip_has_no_band_and_a_band_moves_nothing(name: str) -> None:
    firm = family.built(name)
    assert not any(words in reading.text(firm) for words in WORDS.values())
    banded = reading.pages(family.built(name, standing=Standing.CALLED_OFF))
    assert [page.replace("CALLED OFF", "").split() for page in banded] == [
        page.split() for page in reading.pages(firm)
    ]


def test_the_band_stands_where_nothing_else_does() -> None:
    """Within the margin above the head, on sheets that every printer can still reach."""
    places: dict[str, float] = {}

    def look(text: str, page: list[float], line: list[float], _font: object, _pt: float) -> None:
        if text.strip():
            places[text.strip()] = page[5] + line[5]

    (page, *_rest) = pypdf.PdfReader(
        reading.BytesIO(family.built("run sheet", standing=Standing.CALLED_OFF))
    ).pages
    page.extract_text(visitor_text=look)
    band = places.pop("CALLED OFF")
    assert 842 - 9 * 72 / 25.4 < band < 842 - 4 * 72 / 25.4
    assert max(places.values()) < band
