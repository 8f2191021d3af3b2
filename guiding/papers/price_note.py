"""The price note: what a day costs, what is in it, until when the price stands."""

from reportlab.platypus import Flowable

from guiding.papers._money_document import MoneyDocument
from guiding.papers.records import PriceNote


def price_note_pdf(note: PriceNote) -> bytes:
    """Builds a price note as a PDF: lines, what is and is not included, dates of payment, terms.

    The same record gives the same bytes. Raises ValueError for a language the papers do not have.
    """
    paper = MoneyDocument(note.body, "money.price_note")
    setter = paper.setter
    until = setter.word("money.stands_until", day=setter.day(note.valid_until))
    accept: list[str] = [until]
    story = [
        *paper.head([("money.party", note.party)]),
        *paper.lines(),
        *_included(paper, note),
        *_instalments(paper, note),
        *setter.beside("money.terms", _terms(paper, note)),
        *paper.notes(),
        *paper.due(accept, None),
    ]
    if note.accept_at:
        told = setter.word("money.accept_at", address=note.accept_at)
        story.append(setter.para(told, "tight"))
    story += setter.text(note.yours_when, "small")
    return paper.finish(story)


def _included(paper: MoneyDocument, note: PriceNote) -> list[Flowable]:
    setter = paper.setter
    columns = [
        [setter.para(setter.word(label), "label"), *setter.bullets(texts)]
        for label, texts in (
            ("money.included", note.included),
            ("money.not_included", note.not_included),
        )
        if texts
    ]
    if not columns:
        return []
    return [setter.gap(), setter.table([columns], [1] * len(columns), plain=True)]


def _instalments(paper: MoneyDocument, note: PriceNote) -> list[Flowable]:
    setter = paper.setter
    rows = [
        [
            setter.safe(part.label),
            setter.safe(setter.short_day(part.due_on)) if part.due_on else "–",
            paper.money(part.amount),
        ]
        for part in note.instalments
    ]
    if not rows:
        return []
    head = [setter.word(f"money.{name}") for name in ("part", "due_on", "amount")]
    table = setter.table(rows, (5, 2.4, 2), head, right=(2,), pad=0.25)
    return [*setter.part(setter.word("money.when_due")), table, setter.gap()]


def _terms(paper: MoneyDocument, note: PriceNote) -> list[Flowable]:
    setter = paper.setter
    weather = note.weather_rule or setter.words.text("trip.money_weather")
    return setter.bullets([*note.ladder, weather])
