"""The first page of the trip sheet: what a client needs to get there and be ready."""

from reportlab.lib.units import mm
from reportlab.platypus import Flowable, TableStyle

from guiding.papers.qr import QrCode
from guiding.papers.records import Place, TripSheet
from guiding.papers.sea_day import SeaDay
from guiding.papers.setting import Grid, Typesetter
from guiding.papers.styles import Tint

_NAMES_ON_FRONT = 300
_MAP_SIDE = 24 * mm


def before_sections(setter: Typesetter, sheet: TripSheet) -> list[Flowable]:
    """Sections 'at a glance' to 'sea, tide, wind, sun'."""
    sea = SeaDay(setter, sheet.strip)
    return [
        setter.para(setter.word("trip.name"), "kicker"),
        setter.heading(setter.safe(sheet.title), "title"),
        _glance(setter, sheet),
        setter.gap(),
        *setter.beside("trip.what", _what(setter, sheet)),
        *setter.beside("trip.kit", _kit(setter, sheet)),
        *setter.beside("trip.day", _steps(setter, sheet, sea)),
        *_sea(setter, sheet, sea),
    ]


def names_fit_front(sheet: TripSheet) -> bool:
    """Whether the party's names are few enough to stand in the panel at the top."""
    return sum(len(name) + 2 for name in sheet.first_names) <= _NAMES_ON_FRONT


def _glance(setter: Typesetter, sheet: TripSheet) -> Flowable:
    day = setter.local(sheet.starts_at).date()
    back = f"{setter.time(sheet.back_earliest_at)}–{setter.time_on(sheet.back_latest_at, day)}"
    top = [
        _fact(setter, "trip.date", setter.safe(setter.day(day)), "value"),
        _fact(setter, "trip.meet", setter.safe(setter.time(sheet.starts_at)), "value"),
        _fact(setter, "trip.back", setter.safe(back), "value"),
    ]
    place = [
        _fact(setter, "trip.place", f"<b>{setter.safe(sheet.meet.name)}</b>"),
        setter.text(sheet.meet.directions, "tight"),
        _position(setter, sheet.meet),
    ]
    people = [
        _fact(
            setter,
            "trip.guide",
            f"<b>{setter.safe(sheet.guide_name)}</b> {setter.safe(sheet.guide_phone)}",
        ),
        _decision(setter, sheet),
        _party(setter, sheet),
    ]
    map_code = _map(setter, sheet.meet)
    side = _MAP_SIDE if map_code else 0.0
    inner = setter.width - side
    upper = _grid([top], [inner * 0.46, inner * 0.2, inner * 0.34])
    middle = [one for part in place for one in part]
    lower = _grid(
        [[middle, [one for part in people for one in part]]], [inner * 0.46, inner * 0.54]
    )
    content: list[Flowable] = [upper, lower]
    body = [[content, map_code]] if map_code else [[content]]
    return Grid(
        body,
        colWidths=[inner, side] if map_code else [inner],
        splitInRow=1,
        style=TableStyle(
            [
                ("BACKGROUND", (0, 0), (-1, -1), Tint.SAND),
                ("BOX", (0, 0), (-1, -1), 0.6, Tint.SAND_LINE),
                ("LINEBEFORE", (0, 0), (0, -1), 3, Tint.KELP),
                ("VALIGN", (0, 0), (-1, -1), "TOP"),
                ("LEFTPADDING", (0, 0), (0, -1), setter.styles.step_pt * 2),
                ("LEFTPADDING", (1, 0), (1, -1), 0),
                ("RIGHTPADDING", (0, 0), (-1, -1), 3),
                ("TOPPADDING", (0, 0), (-1, -1), setter.styles.step_pt),
                ("BOTTOMPADDING", (0, 0), (-1, -1), setter.styles.step_pt),
            ]
        ),
    )


def _grid(rows: list[list[list[Flowable]]], widths: list[float]) -> Grid:
    return Grid(
        rows,
        colWidths=widths,
        hAlign="LEFT",
        splitInRow=1,
        style=TableStyle(
            [
                ("VALIGN", (0, 0), (-1, -1), "TOP"),
                ("LEFTPADDING", (0, 0), (-1, -1), 0),
                ("RIGHTPADDING", (0, 0), (-1, -1), 6),
                ("TOPPADDING", (0, 0), (-1, -1), 0),
                ("BOTTOMPADDING", (0, 0), (-1, -1), 4),
            ]
        ),
    )


def _fact(setter: Typesetter, label: str, markup: str, style: str = "tight") -> list[Flowable]:
    return [setter.para(setter.word(label), "label"), setter.para(markup, style)]


def _decision(setter: Typesetter, sheet: TripSheet) -> list[Flowable]:
    if sheet.decision_at is None:
        return []
    how = setter.safe(sheet.decision_how) or setter.word("trip.decision_how")
    return _fact(
        setter, "trip.decision", f"<b>{setter.safe(setter.when(sheet.decision_at))}.</b> {how}"
    )


def _party(setter: Typesetter, sheet: TripSheet) -> list[Flowable]:
    """The first names, or their number where they stand at the end of the sheet."""
    if not sheet.first_names:
        return []
    count = setter.word("trip.party_count", count=len(sheet.first_names))
    if not names_fit_front(sheet):
        return _fact(setter, "trip.party", count)
    names = ", ".join(setter.safe(name) for name in sheet.first_names)
    return _fact(setter, "trip.party", f"{names} ({count})")


def _position(setter: Typesetter, place: Place) -> list[Flowable]:
    told = setter.position(place)
    return [setter.para(setter.safe(told), "small")] if told else []


def _map(setter: Typesetter, place: Place) -> list[Flowable]:
    """A code that opens the meeting place in the client's own map."""
    if place.lat is None or place.lon is None:
        return []
    code = QrCode(f"geo:{place.lat:.6f},{place.lon:.6f}", _MAP_SIDE - 4)
    return [code, setter.para(setter.word("trip.map"), "caption")]


def _what(setter: Typesetter, sheet: TripSheet) -> list[Flowable]:
    told = [
        " ".join(
            f"<b>{setter.word(label)}</b> {setter.safe(setter.stopped(text))}"
            for label, text in facts
            if text
        )
        for facts in (
            (("trip.spot", sheet.spot_name), ("trip.method", sheet.method)),
            (
                ("trip.effort", sheet.effort),
                ("trip.walking", sheet.walking),
                ("trip.toilets", sheet.toilets),
                ("trip.signal", sheet.signal),
            ),
        )
    ]
    return [
        *setter.text(sheet.what_we_do, "tight"),
        *(setter.para(line, "tight") for line in told if line),
    ]


def _kit(setter: Typesetter, sheet: TripSheet) -> list[Flowable]:
    columns = [
        [setter.para(setter.word(label), "label"), *setter.bullets(texts)]
        for label, texts in (
            ("trip.bring", sheet.bring),
            ("trip.wear", sheet.wear),
            ("trip.supplied", sheet.supplied),
        )
        if texts
    ]
    if not columns:
        return []
    widths = [setter.column / len(columns)] * len(columns)
    return [_grid([columns], widths)]


def _steps(setter: Typesetter, sheet: TripSheet, sea: SeaDay) -> list[Flowable]:
    if not sheet.steps:
        return []
    day = setter.local(sheet.starts_at).date()
    rows = []
    for step in sheet.steps:
        time = setter.time_on(step.at, day)
        if step.until:
            time += f"–{setter.time_on(step.until, day)}"
        rows.append(
            [f"<b>{setter.safe(time)}</b>", setter.safe(step.text), sea.by_the_tide(step.at)]
        )
    time_share = 0.2 if setter.halves else 0.155
    table = setter.table(
        rows, (time_share, 0.675 - time_share, 0.325), pad=0.2, width=setter.column
    )
    return [table, setter.para(setter.word("trip.day_note"), "small")]


def _sea(setter: Typesetter, sheet: TripSheet, sea: SeaDay) -> list[Flowable]:
    strip = sea.drawing()
    told = [
        strip,
        setter.gap(0.5),
        *sea.twin(plan_told=bool(sheet.steps)),
        *setter.bullets(sheet.sea_notes),
        sea.sources(sheet.tide_source, sheet.forecast_source, sheet.forecast_issued_at),
    ]
    return setter.across("trip.sea", told, lead_pt=strip.height)
