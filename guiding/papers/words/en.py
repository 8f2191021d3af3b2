"""The papers in English, put together from one file a family of papers."""

from guiding.drawings.strip import StripWords
from guiding.papers.words.en_desk import EN_DESK
from guiding.papers.words.en_money import EN_MONEY
from guiding.papers.words.en_other import EN_OTHER
from guiding.papers.words.en_sheet import EN_SHEET
from guiding.papers.words.en_trip import EN_TRIP

EN: dict[str, str] = {**EN_TRIP, **EN_DESK, **EN_MONEY, **EN_OTHER, **EN_SHEET}

EN_STRIP = StripWords()
