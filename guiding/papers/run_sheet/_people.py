"""The people of the day, the headcounts, and where help is."""

from reportlab.platypus import Flowable, KeepTogether

from guiding.papers.records import RunPerson, RunSheet
from guiding.papers.setting import Typesetter

_USUAL_PARTY = 10


def people_sections(setter: Typesetter, sheet: RunSheet) -> list[Flowable]:
    """People with alerts, headcount boxes, help, places and fallback spots."""
    return [
        *_people_together(setter, sheet),
        KeepTogether(_headcounts(setter, sheet)),
        *setter.beside("run.help", _help(setter, sheet)),
        *setter.beside("run.fallbacks", _fallbacks(setter, sheet)),
        *setter.beside("run.stop_money", setter.text(sheet.stop_money, "tight")),
        *setter.beside("run.places", _places(setter, sheet)),
    ]


def _people_together(setter: Typesetter, sheet: RunSheet) -> list[Flowable]:
    """A usual party stays on one page; a large one flows."""
    section = setter.across("run.people", _people(setter, sheet))
    return [KeepTogether(section)] if len(sheet.people) <= _USUAL_PARTY else section


def _people(setter: Typesetter, sheet: RunSheet) -> list[Flowable]:
    rows = []
    for number, person in enumerate(sheet.people, start=1):
        reach = "<br/>".join(
            setter.safe(part)
            for part in (
                person.phone,
                setter.words.text("run.kin").format(phone=person.kin_phone)
                if person.kin_phone
                else "",
            )
            if part
        )
        alerts = " · ".join(f"<b>{setter.safe(alert)}</b>" for alert in person.alerts)
        owes = setter.safe(setter.money(person.due)) if person.due else "–"
        rows.append(
            [
                str(number),
                _who(setter, person),
                reach or "–",
                alerts or "–",
                _form(setter, person),
                owes,
            ]
        )
    head = [
        "",
        *(setter.word(f"run.{name}") for name in ("person", "reach", "alerts", "form", "owes")),
    ]
    sealed = setter.para(f"<b>{setter.word('run.sealed')}</b>", "small")
    return [sealed, setter.table(rows, (0.5, 4, 3.4, 4, 1.5, 1.8), head, right=(5,), pad=0.25)]


def _who(setter: Typesetter, person: RunPerson) -> str:
    """Name in bold, then age, guardian and swimming in a line below."""
    words = setter.words
    notes = []
    if person.minor:
        notes.append(words.text("run.minor"))
    if person.age is not None:
        notes.append(words.text("run.age").format(age=person.age))
    if person.guardian:
        notes.append(words.text("run.guardian").format(name=person.guardian))
    if person.swim_level:
        notes.append(words.text("run.swim").format(level=person.swim_level))
    name = f"<b>{setter.safe(person.name)}</b>"
    return f"{name}<br/>{setter.safe(', '.join(notes))}" if notes else name


def _form(setter: Typesetter, person: RunPerson) -> str:
    if person.form_signed is None:
        return setter.word("run.form_none")
    if person.form_signed:
        return setter.word("run.form_signed")
    return f"<b>{setter.word('run.form_open')}</b>"


def _headcounts(setter: Typesetter, sheet: RunSheet) -> list[Flowable]:
    """One box a moment: count people, write the number in."""
    moments = list(sheet.headcounts) or [
        setter.words.text(f"run.headcount_{number}") for number in range(1, 7)
    ]
    label = setter.para(f"<b>{setter.word('run.headcount', count=len(sheet.people))}</b>", "tight")
    cells = [[setter.box(1.7), setter.small(moment)] for moment in moments]
    count = 6
    rows = [cells[start : start + count] for start in range(0, len(cells), count)]
    for row in rows:
        row += [[] for _ in range(count - len(row))]
    return [setter.gap(0.8), label, setter.table(rows, [1] * count, pad=0.5, plain=True)]


def _help(setter: Typesetter, sheet: RunSheet) -> list[Flowable]:
    facts = sheet.emergency
    known = [
        ("run.help_number", facts.number),
        ("run.help_hospital", setter.known(f"{facts.hospital} {facts.hospital_phone}")),
        ("run.help_landing", facts.landing_site),
        ("run.help_signal", facts.signal_point),
        ("run.help_access", facts.access),
        ("run.help_contact", f"{facts.contact_name} {facts.contact_phone}".strip()),
        ("run.help_beacon", setter.known(facts.beacon)),
        ("run.help_first_aid", setter.known(facts.first_aid)),
    ]
    return setter.pairs(known)


def _places(setter: Typesetter, sheet: RunSheet) -> list[Flowable]:
    # The place for the emergency call first: where it is the spot itself, it has the grid as well.
    named = [
        sheet.meet,
        *([sheet.emergency.position] if sheet.emergency.position else []),
        sheet.spot,
    ]
    rows = []
    seen = set()
    for place in [*named, *sheet.places]:
        known = (place.name, place.lat, place.lon)
        if known in seen or (place.lat is None and not place.grid):
            continue
        seen.add(known)
        degrees = setter.degrees(place)
        rows.append(
            [setter.safe(place.name), setter.safe(degrees) or "–", setter.safe(place.grid) or "–"]
        )
    if not rows:
        return []
    head = [setter.word(f"run.{name}") for name in ("place", "place_degrees", "place_grid")]
    return [setter.table(rows, (4, 4, 4), head, pad=0.15, width=setter.column)]


def _fallbacks(setter: Typesetter, sheet: RunSheet) -> list[Flowable]:
    told: list[Flowable] = []
    for one in sheet.fallbacks:
        parts = [f"<b>{setter.safe(one.spot)}</b>"]
        if one.drive_min is not None:
            parts.append(setter.word("run.fallback_drive", minutes=one.drive_min))
        if one.when:
            parts.append(setter.safe(one.when))
        if one.place:
            parts.append(setter.safe(setter.position(one.place)))
        told.append(setter.para(" · ".join(part for part in parts if part), "tight"))
    return told
