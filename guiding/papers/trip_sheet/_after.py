"""The second page of the trip sheet: risks and rules, emergency, fish, health, money, minors."""

from reportlab.platypus import Flowable, KeepTogether

from guiding.papers.records import EmergencyFacts, FishFacts, MoneyFacts, TripSheet
from guiding.papers.setting import Typesetter
from guiding.papers.trip_sheet._before import names_fit_front

_TOP_RISKS = 8


def after_sections(setter: Typesetter, sheet: TripSheet, together: bool) -> list[Flowable]:
    """Sections 'main risks' to 'who comes'; `together` keeps the risks on one page."""
    risks = setter.across("trip.risks", _risks(setter, sheet))
    return [
        *([KeepTogether(risks)] if together else risks),
        setter.gap(0.5),
        setter.rules(sheet.rules, cast_only=sheet.strip.cast_only is not None),
        setter.gap(0.5),
        *setter.across("trip.emergency", _emergency(setter, sheet.emergency)),
        *setter.beside("trip.fish", _fish(setter, sheet.fish)),
        *setter.beside("trip.health", _health(setter, sheet)),
        *setter.beside("trip.money", _money(setter, sheet.money)),
        *setter.beside("trip.insurance", _insurance(setter, sheet)),
        *setter.beside("trip.minors", _minors(setter, sheet)),
        *_names(setter, sheet),
    ]


def _risks(setter: Typesetter, sheet: TripSheet) -> list[Flowable]:
    lead = setter.para(setter.word("trip.risks_lead"))
    rows = []
    for number, risk in enumerate(sheet.risks[:_TOP_RISKS], start=1):
        name = f"{number}. <b>{setter.safe(risk.name)}</b>"
        if risk.trigger:
            name += f" ({setter.safe(risk.trigger)})"
        rows.append([name, setter.safe(risk.measure)])
    if not rows:
        return [lead]
    return [lead, setter.table(rows, (0.4, 0.6), pad=0.2)]


def _emergency(setter: Typesetter, facts: EmergencyFacts) -> list[Flowable]:
    steps = list(facts.steps) or [
        setter.words.text(f"trip.step_{number}").format(number=facts.number)
        for number in range(1, 5)
    ]
    contact = " ".join(part for part in (facts.contact_name, facts.contact_phone) if part)
    if contact and facts.overdue_at:
        contact += " " + setter.words.text("trip.emergency_overdue").format(
            when=setter.when(facts.overdue_at)
        )
    place = facts.position
    where = (
        ", ".join(part for part in (place.name, setter.position(place)) if part) if place else ""
    )
    doubt = setter.words.text("card.unconfirmed") if facts.number_unconfirmed else ""
    known = [
        ("trip.emergency_number", " ".join(filter(None, (facts.number, doubt)))),
        ("trip.emergency_position", where),
        ("trip.emergency_access", facts.access),
        ("trip.emergency_hospital", setter.known(f"{facts.hospital} {facts.hospital_phone}")),
        ("trip.emergency_beacon", setter.known(facts.beacon)),
        ("trip.emergency_first_aid", setter.known(facts.first_aid)),
        ("trip.emergency_signal", facts.signal_point),
        ("trip.emergency_landing", facts.landing_site),
        ("trip.emergency_contact", contact),
    ]
    return [*setter.numbered(steps), setter.gap(0.5), *setter.pairs(known, setter.width)]


def _fish(setter: Typesetter, facts: FishFacts) -> list[Flowable]:
    found: list[Flowable] = []
    rows = []
    for limit in facts.limits:
        least = setter.fish_length(limit.min_length_mm) if limit.min_length_mm else "–"
        bag = "–" if limit.bag is None else str(limit.bag)
        if limit.bag == 0:
            bag = setter.word("trip.fish_release_all")
        rows.append([setter.safe(limit.species), setter.safe(least), bag, setter.safe(limit.note)])
    if rows:
        head = [setter.word(f"trip.fish_{name}") for name in ("species", "min", "bag", "note")]
        found.append(setter.table(rows, (3, 2, 2, 4), head, pad=0.15, width=setter.column))
    source = ""
    if facts.limits_source and facts.limits_checked_on:
        source = setter.word(
            "trip.fish_source",
            source=facts.limits_source,
            day=setter.short_day(facts.limits_checked_on),
        )
    elif facts.limits_source:
        source = setter.word("trip.fish_source_plain", source=facts.limits_source)
    found.append(setter.para(f"{source} {setter.word('trip.fish_check')}".strip(), "small"))
    release = setter.safe(facts.release) or setter.word("trip.fish_release")
    photos = setter.safe(facts.photos) or setter.word("trip.fish_photos")
    return [*found, setter.para(f"{release} {photos}", "tight")]


def _health(setter: Typesetter, sheet: TripSheet) -> list[Flowable]:
    texts = [
        setter.safe(text) or setter.word(standard)
        for text, standard in (
            (sheet.medicines, "trip.health_medicines"),
            (sheet.food, "trip.health_food"),
            (sheet.alcohol, "trip.health_alcohol"),
        )
    ]
    return [setter.para(" ".join(texts), "tight")]


def _money(setter: Typesetter, facts: MoneyFacts | None) -> list[Flowable]:
    if facts is None:
        return []

    def money(amount: object) -> str:
        return setter.money(amount, facts.currency)  # type: ignore[arg-type]

    told = [setter.word("trip.money_price", price=money(facts.price), paid=money(facts.paid))]
    if facts.due <= 0:
        told.append(setter.word("trip.money_nothing"))
    elif facts.due_on:
        due = setter.word(
            "trip.money_due_on", due=money(facts.due), day=setter.short_day(facts.due_on)
        )
        told.append(f"<b>{due}</b>")
    else:
        told.append(f"<b>{setter.word('trip.money_due', due=money(facts.due))}</b>")
    if facts.how_to_pay and facts.due > 0:
        told.append(setter.safe(facts.how_to_pay))
    weather = setter.safe(facts.weather_rule) or setter.word("trip.money_weather")
    ladder = [f"<b>{setter.word('trip.money_ladder')}</b>"] if facts.ladder else []
    terms = " ".join(
        [*ladder, " ".join(setter.safe(setter.stopped(step)) for step in facts.ladder)]
    )
    return [
        setter.para(" ".join(told), "tight"),
        setter.para(f"{terms} {weather}".strip(), "tight"),
    ]


def _insurance(setter: Typesetter, sheet: TripSheet) -> list[Flowable]:
    facts = sheet.insurance
    parts = []
    if facts.cover:
        parts.append(("trip.insurance_cover", setter.safe(facts.cover)))
    for name, text in (
        ("gaps", facts.gaps),
        ("complaints", facts.complaints),
        ("after", facts.afterwards),
    ):
        told = setter.safe(text) or setter.word(f"trip.insurance_{name}_text")
        parts.append((f"trip.insurance_{name}", told))
    told = " ".join(f"<b>{setter.word(label)}</b> {text}" for label, text in parts)
    return [setter.para(told, "tight")]


def _minors(setter: Typesetter, sheet: TripSheet) -> list[Flowable]:
    facts = sheet.minors
    if facts is None:
        return []
    second = facts.second_adult or setter.words.text("trip.minors_second_text")
    known = (
        ("responsible", facts.responsible),
        ("second", second),
        ("collection", facts.collection),
        ("seats", facts.seats),
        ("swim", facts.swim_level),
        ("consents", " · ".join(facts.consents)),
        ("contacts", " · ".join(facts.contacts)),
    )
    told = " ".join(
        f"<b>{setter.word(f'trip.minors_{name}')}</b> {setter.safe(setter.stopped(text))}"
        for name, text in known
        if text
    )
    return [setter.para(told, "tight")]


def _names(setter: Typesetter, sheet: TripSheet) -> list[Flowable]:
    """The names of a large party, which did not fit at the top."""
    if names_fit_front(sheet):
        return []
    names = ", ".join(setter.safe(name) for name in sheet.first_names)
    return setter.beside("trip.names", [setter.para(names, "tight")])
