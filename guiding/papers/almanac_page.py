"""The almanac page: light, moon and tide of each day, set like a tide table."""

from collections.abc import Sequence
from datetime import date, datetime
from itertools import groupby

from babel import dates
from reportlab.platypus import Flowable, PageBreak

from guiding.papers.document import Document
from guiding.papers.records import AlmanacPage, AlmanacRow, AlmanacTurn, Place, Units
from guiding.papers.setting import Cell, Command, Typesetter
from guiding.papers.styles import Tint

_TURNS = 4
_SATURDAY = 5
_EVENTS = ("civil_dawn", "sunrise", "sunset", "civil_dusk", "moonrise", "moonset")


def almanac_page_pdf(page: AlmanacPage) -> bytes:
    """Builds an almanac page as a PDF: a row a day, high waters in bold, springs and neaps named;
    days of more than one month stand on a page a month.

    The same record gives the same bytes. Raises ValueError for a language the papers do not have.
    """
    setter = Document(page.letterhead, 9.5, 1.2, 0.45)
    story: list[Flowable] = [
        setter.para(setter.word("almanac.name"), "kicker"),
        setter.heading(setter.safe(page.title), "title"),
        setter.para(setter.safe(_where(setter, page)), "tight"),
        setter.gap(0.5),
    ]
    if not page.rows:
        story.append(setter.para(setter.word("almanac.empty")))
    months = [list(rows) for _, rows in groupby(page.rows, key=lambda row: row.day.replace(day=1))]
    for number, rows in enumerate(months):
        if len(months) > 1:
            # A month a page: it is looked up, torn off, hung up by itself.
            story += [PageBreak()] if number else []
            story.append(setter.heading(setter.safe(_month(setter, rows[0].day))))
        story.append(_table(setter, rows, any(row.turns for row in page.rows)))
    story += [setter.gap(0.5), *_below(setter, page)]
    kind = setter.words.text("almanac.name")
    return setter.finish(story, f"{kind}: {page.title}", page.place).data


def _where(setter: Typesetter, page: AlmanacPage) -> str:
    degrees = setter.degrees(Place(page.place, lat=page.lat, lon=page.lon))
    return "  ·  ".join(part for part in (page.place, degrees) if part)


def _month(setter: Typesetter, day: date) -> str:
    return str(dates.format_skeleton("yMMMM", day, locale=setter.locale))


def _table(setter: Typesetter, days: Sequence[AlmanacRow], tides: bool) -> Flowable:
    rows = [_row(setter, row, tides) for row in days]
    names = ["day", *_EVENTS[:4], "moon", *_EVENTS[4:]]
    head = [setter.word(f"almanac.{name}") for name in names]
    widths = [1.6, 1.2, 1.2, 1.2, 1.3, 1.05, 1.2, 1.2]
    if tides:
        unit = setter.height_unit
        head += [setter.word("almanac.tide", unit=unit), *[""] * (_TURNS - 1), ""]
        widths += [1.75] * _TURNS + [1.4]
    weekends: list[Command] = [
        ("BACKGROUND", (0, number), (-1, number), Tint.SAND)
        for number, row in enumerate(days, start=1)
        if row.day.weekday() >= _SATURDAY
    ]
    return setter.table(rows, widths, head, pad=0.4, extra=weekends)


def _row(setter: Typesetter, row: AlmanacRow, tides: bool) -> list[Cell]:
    cells: list[Cell] = [f"<b>{setter.safe(setter.brief_day(row.day))}</b>"]
    events = [_time(setter, getattr(row, name)) for name in _EVENTS]
    moon = f"{setter.number(round(row.moon_share * 100))}\u00a0{'+' if row.moon_waxing else '−'}"
    cells += [*events[:4], setter.safe(moon), *events[4:]]
    if not tides:
        return cells
    turns = [_turn(setter, turn) for turn in sorted(row.turns, key=lambda turn: turn.at)]
    last = "<br/>".join(turns[_TURNS - 1 :])
    shown = [*turns[: _TURNS - 1], *([last] if last else [])]
    # Feet have a digit more than metres.
    wide = setter.letterhead.units is Units.IMPERIAL
    cells += [setter.para(turn, "small") if wide else turn for turn in shown]
    cells += [""] * (_TURNS - len(shown))
    mark = "" if row.springs is None else "almanac.springs" if row.springs else "almanac.neaps"
    cells.append(setter.para(setter.word(mark), "small") if mark else "")
    return cells


def _time(setter: Typesetter, instant: datetime | None) -> str:
    return "–" if instant is None else setter.safe(setter.time(instant))


def _turn(setter: Typesetter, turn: AlmanacTurn) -> str:
    told = setter.safe(f"{setter.time(turn.at)} {setter.height(turn.height_m)}")
    return f"<b>{told}</b>" if turn.high else told


def _below(setter: Typesetter, page: AlmanacPage) -> list[Flowable]:
    told = [setter.word("almanac.key")]
    if page.tide_source:
        told.append(setter.word("trip.tide_source", source=page.tide_source))
    if page.tide_datum:
        told.append(setter.word("almanac.datum", datum=page.tide_datum))
    if page.light_source:
        told.append(setter.word("almanac.light_source", source=page.light_source))
    told.append(setter.word("trip.not_for_navigation"))
    told.append(setter.word("trip.clock", zone=setter.letterhead.zone))
    whys = [
        setter.small(f"{setter.brief_day(row.day)}: {row.note}") for row in page.rows if row.note
    ]
    return [setter.para(" ".join(told), "small"), *whys, *setter.bullets(page.notes)]
