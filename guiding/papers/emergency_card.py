"""The emergency card: found in seconds, read by somebody who is frightened."""

from dataclasses import fields, replace
from typing import Any

from reportlab.platypus import Flowable

from guiding.papers.document import Document
from guiding.papers.page import CARD_MM, Finished, Press
from guiding.papers.records import CardSize, EmergencyCard, PersonMedicine
from guiding.papers.setting import Typesetter
from guiding.papers.styles import Tint
from guiding.papers.words import put_in

# Sizes of the body in points, tried from the largest until everything stands on one page.
_A6_PT = (9.6, 9.0, 8.4, 7.8, 7.2)
_SHEET_PT = (15.5, 14.0, 13.0, 12.0, 11.0, 10.0, 9.0)
_NO_BREAK = "\u00a0"
_CLIP = 70  # letters a free text keeps where even the smallest type would need a second page


def emergency_card_pdf(card: EmergencyCard) -> bytes:
    """Builds the emergency card as a PDF: one page of A6 for the pocket, or one large sheet.

    Steps first, then the number and what to say, where it is, the beacon, and where help is, in
    black for any printer and in the largest type that lets it all stand on one page. Texts so long
    that no type does are cut, a dot row shows where; medicines never are: they run on to a second
    sheet. The same record gives the same bytes. Raises ValueError for a language the papers do not
    have.
    """
    sizes = _A6_PT if card.size is CardSize.A6 else _SHEET_PT
    for body_pt in sizes:
        found = _pressed(card, body_pt)
        if found.pages == 1:
            return found.data
    return _pressed(_shortened(card), sizes[-1]).data


def _pressed(card: EmergencyCard, body_pt: float) -> Finished:
    setter = Document(card.letterhead, body_pt, 1.2, 0.42, black=True)
    small = card.size is CardSize.A6
    if small:
        setter.width = Press.card_width(CARD_MM)
    story: list[Flowable] = [
        setter.banner(setter.word("card.name"), Tint.BLACK),
        setter.gap(),
        *setter.numbered(_steps(setter, card), "numbered_strong"),
        setter.gap(),
        *_call(setter, card),
        *_beacon(setter, card),
        *_facts(setter, card),
        *_medicines(setter, card),
    ]
    kind = setter.words.text("card.name")
    title = f"{kind}: {card.title}"
    if small:
        return setter.finish_card(story, title, card.title, CARD_MM)
    return setter.finish(story, title, card.title)


def _shortened(card: EmergencyCard) -> EmergencyCard:
    """The card with its free texts cut to a line or two."""
    facts = card.emergency
    texts: dict[str, Any] = {
        one.name: Typesetter.clipped(text, _CLIP)
        for one in fields(facts)
        if isinstance(text := getattr(facts, one.name), str)
    }
    steps = tuple(Typesetter.clipped(step, _CLIP) for step in facts.steps[:4])
    place = facts.position
    if place:
        place = replace(place, name=Typesetter.clipped(place.name, _CLIP))
    return replace(
        card,
        title=Typesetter.clipped(card.title, _CLIP),
        emergency=replace(facts, **texts, steps=steps, position=place),
        beacon_steps=tuple(Typesetter.clipped(step, _CLIP) for step in card.beacon_steps[:3]),
        vehicle=Typesetter.clipped(card.vehicle, _CLIP),
        keys=Typesetter.clipped(card.keys, _CLIP),
    )


def _steps(setter: Typesetter, card: EmergencyCard) -> list[str]:
    if card.emergency.steps:
        return list(card.emergency.steps)
    text = setter.words.text
    return [put_in(text(f"card.step_{number}"), count=card.people) for number in range(1, 5)]


def _call(setter: Typesetter, card: EmergencyCard) -> list[Flowable]:
    """The number as large as the card allows, the words to say, the place in three notations."""
    facts = card.emergency
    place = facts.position
    where = place.name if place else card.title
    told: list[Flowable] = [
        setter.para(f"{setter.word('card.call')} {setter.safe(facts.number)}", "large"),
        *(
            [setter.para(setter.word("card.unconfirmed"), "tight")]
            if facts.number_unconfirmed
            else []
        ),
        setter.para(setter.word("card.say", place=where, count=card.people), "tight"),
        *setter.labelled("card.decimal", setter.degrees(place) if place else "", "tight"),
        *setter.labelled("card.minutes", card.minutes, "tight"),
        *setter.labelled("card.mgrs", card.mgrs or (place.grid if place else ""), "tight"),
        *setter.labelled("card.way_in", facts.access, "tight"),
        *setter.labelled("card.signal", facts.signal_point, "tight"),
    ]
    return [setter.panel(told, Tint.BLACK, Tint.PAPER), setter.gap()]


def _beacon(setter: Typesetter, card: EmergencyCard) -> list[Flowable]:
    steps = list(card.beacon_steps)
    told: list[Flowable] = [setter.heading(setter.word("card.beacon"))]
    told += setter.labelled("card.beacon_where", setter.known(card.emergency.beacon), "tight")
    standard = [setter.words.text(f"card.beacon_{number}") for number in (1, 2, 3)]
    return [*told, *setter.numbered(steps or standard), setter.gap(0.5)]


def _facts(setter: Typesetter, card: EmergencyCard) -> list[Flowable]:
    facts = card.emergency
    overdue = setter.when(facts.overdue_at) if facts.overdue_at else ""
    known = [
        ("card.first_aid", setter.known(facts.first_aid)),
        ("card.hospital", setter.known(_reach(facts.hospital, facts.hospital_phone))),
        ("card.nearest_help", facts.nearest_help),
        ("card.landing", facts.landing_site),
        ("card.contact", _reach(facts.contact_name, facts.contact_phone)),
        ("card.overdue", overdue),
        ("card.vehicle", card.vehicle),
        ("card.keys", setter.known(card.keys)),
        ("card.guide", _reach(facts.guide_name, facts.guide_phone)),
        ("card.day", setter.day(card.day)),
    ]
    lines = [one for label, text in known for one in setter.labelled(label, text, "tight")]
    return [setter.heading(setter.word("card.help")), *lines]


def _reach(name: str, phone: str) -> str:
    """A name with its number, which no line may break in two."""
    return f"{name} {phone.replace(' ', _NO_BREAK)}".strip()


def _medicines(setter: Typesetter, card: EmergencyCard) -> list[Flowable]:
    """Who declared what, for the ambulance crew; only where the copy is the guide's own."""
    if card.medicines is None:
        return []
    head = [setter.gap(0.5), setter.heading(setter.word("card.medicines"))]
    if not card.medicines:
        return [*head, setter.para(setter.word("card.nothing_declared"), "tight")]
    lines = [setter.para(_declared(setter, person), "tight") for person in card.medicines]
    return [*head, *lines, setter.para(setter.word("card.guides_own"), "small")]


def _declared(setter: Typesetter, person: PersonMedicine) -> str:
    injector = setter.words.text("card.injector") if person.injector else ""
    known = [
        ("card.allergy", ", ".join(part for part in (person.allergy, injector) if part)),
        ("card.medicine", person.medicine),
        ("card.more", person.more),
        ("card.kin", person.call),
    ]
    told = [f"{setter.word(label)} {setter.safe(text)}" for label, text in known if text]
    return f"<b>{setter.safe(person.name)}</b> {'; '.join(told)}"
