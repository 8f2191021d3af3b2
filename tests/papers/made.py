"""Invented papers of an invented business at Marram Head, for the tests of the papers."""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from math import cos, pi
from zoneinfo import ZoneInfo

from guiding.drawings.drop_plan import (
    DropPlanFacts,
    HeightPoint,
    MarkKind,
    ShoreMark,
    ShorePoint,
)
from guiding.drawings.rig import RigBranch, RigFacts, RigPiece
from guiding.drawings.strip import (
    BlockKind,
    MoonDay,
    PlanBlock,
    Span,
    StripFacts,
    TidePoint,
    TideTurn,
    Tone,
    ToneSpan,
    TurnKind,
    WaveSample,
    WindSample,
)
from guiding.papers.records import (
    AccountRow,
    AccountStatement,
    AlmanacPage,
    AlmanacRow,
    AlmanacTurn,
    BankDetails,
    Briefing,
    BriefingItem,
    Business,
    CheckRow,
    CheckVerdict,
    ChildPage,
    CostRow,
    CostSection,
    CostSheet,
    CreditNote,
    Decision,
    DropSheet,
    Due,
    EmergencyCard,
    EmergencyFacts,
    Fact,
    Fallback,
    Figure,
    FishFacts,
    FishLimit,
    FollowUpRow,
    GearLabel,
    GearReport,
    GearRow,
    GearSection,
    IncidentReport,
    InsuranceFacts,
    Invoice,
    LabelSheet,
    Letterhead,
    LimitRow,
    LoadItem,
    MinorsFacts,
    MoneyBody,
    MoneyFacts,
    MoneyLine,
    PackRow,
    Paid,
    PartyRow,
    PermitRow,
    Place,
    PlanStep,
    PrepList,
    PrepLists,
    PriceNote,
    Receipt,
    Recipient,
    RecordEntry,
    RiskLine,
    RiskMatrix,
    RodRow,
    RunPerson,
    RunSheet,
    Score,
    SeasonStatement,
    SignedForm,
    SpokenBlock,
    StatementRow,
    StatementTable,
    TallyTable,
    TaxRow,
    TripSheet,
    Verdict,
    WitnessWords,
)

ZONE = "Europe/Dublin"
DAY = date(2026, 6, 20)
BUSINESS = Business(
    name="Marram Head Shore Guiding",
    address_lines=("The Old Net Store", "Strand Lane", "Marram"),
    phone="+353 1 555 0142",
    mail="ask@marramhead.example",
    website="marramhead.example",
    registration_lines=("Registered business name 000000 (invented)", "VAT IE0000000X (invented)"),
)
LETTERHEAD = Letterhead(
    business=BUSINESS,
    number="2026-014",
    printed_at=datetime(2026, 6, 18, 13, 3, tzinfo=UTC),
    zone=ZONE,
)


def at(hour: float, day: date = DAY) -> datetime:
    """A local hour of the day as a UTC instant."""
    midnight = datetime(day.year, day.month, day.day, tzinfo=ZoneInfo(ZONE))
    return midnight.astimezone(UTC) + timedelta(hours=hour)


def strip(day: date = DAY, **changes: object) -> StripFacts:
    """A summer day with low water at nine."""
    low_h, half_h = 9.0, 6.2
    height = lambda h: 2.3 - 1.75 * cos(pi * (h - low_h) / half_h)  # noqa: E731
    turns = [low_h + n * half_h for n in (-1, 0, 1, 2)]
    marks = [0, 4.25, 5.0, 22.0, 22.8, 24]
    tones = (Tone.NIGHT, Tone.TWILIGHT, Tone.DAY, Tone.TWILIGHT, Tone.NIGHT)
    facts = StripFacts(
        day=day,
        zone=ZONE,
        day_start=at(0, day),
        day_end=at(24, day),
        title="Marram Head",
        tones=tuple(
            ToneSpan(at(a, day), at(b, day), tone)
            for a, b, tone in zip(marks, marks[1:], tones, strict=False)
        ),
        tide=tuple(TidePoint(at(q / 4, day), height(q / 4)) for q in range(97)),
        turns=tuple(
            TideTurn(at(h, day), height(h), TurnKind.LOW if n % 2 else TurnKind.HIGH)
            for n, h in enumerate(turns)
        ),
        tide_note="Harmonic constants of Marram Head (invented)",
        cut_off_m=3.4,
        unsafe=(Span(at(1.2, day), at(4.5, day)), Span(at(13.4, day), at(17.0, day))),
        moon=MoonDay(lit_share=0.31, waxing=True, rise=at(10.2, day), set=at(23.6, day)),
        winds=tuple(WindSample(at(h, day), 3 + h / 5, 220 + 2 * h, 5 + h / 4) for h in range(24)),
        wind_limit_ms=7.0,
        over_limit=(Span(at(20, day), at(24, day)),),
        waves=tuple(WaveSample(at(h, day), 0.6 + 0.02 * h) for h in range(0, 24, 3)),
        plan=(
            PlanBlock(at(5, day), at(7, day), BlockKind.DRIVE),
            PlanBlock(at(7, day), at(7.8, day), BlockKind.SET_UP),
            PlanBlock(at(7.8, day), at(13.5, day), BlockKind.SESSION),
            PlanBlock(at(13.5, day), at(14.25, day), BlockKind.PACK_DOWN),
            PlanBlock(at(14.25, day), at(16.25, day), BlockKind.DRIVE),
        ),
        may_fly=(Span(at(5.0, day), at(20, day)),),
    )
    return replace(facts, **changes)  # type: ignore[arg-type]


EMERGENCY = EmergencyFacts(
    number="112",
    guide_name="Nora Quill",
    guide_phone="+353 87 555 0199",
    position=Place(
        "Marram Head, north gutter", lat=53.61234, lon=-9.98765, grid="29U MV 34567 41234"
    ),
    access="Strand Lane to the high park, then on foot over the dune by the yellow posts",
    beacon="lid pocket of the guide's orange bag",
    first_aid="same bag, and behind the driver's seat",
    nearest_help="surf club at the slip, 2 km",
    hospital="Westport Road Hospital (invented), 42 km",
    hospital_phone="+353 98 555 0100",
    landing_site="hard sand below the high park, at low water only",
    signal_point="top of the dune by the yellow post, 250 m inland",
    contact_name="Tom Quill",
    contact_phone="+353 87 555 0166",
    overdue_at=at(18.5),
)

RISKS = (
    RiskLine(
        "Surge on the beach",
        "Rods stand above the wettest mark; the guide lands the fish.",
        "swell 0.9 m at 11 s",
    ),
    RiskLine(
        "Cut off by the tide",
        "An alarm is set; when the guide says reels up, we walk.",
        "way out shuts 13:24",
    ),
    RiskLine(
        "Rotor and falling load",
        "Nobody below the rods in flight; stand still till it stops.",
        "every flight",
    ),
    RiskLine("Hooks", "Glasses on, hooks in tubes; never grab a line with a fish on."),
    RiskLine(
        "Cold water", "Buoyancy at the edge; in the water, float first, then call.", "water 13 °C"
    ),
    RiskLine("Sun and wind", "Hat, long sleeves, cream at every rebait.", "UV index 6"),
    RiskLine("Slips on rock and weed", "Two hands free, no running, the route the guide walks."),
    RiskLine("Driving on sand", "Belts on; passengers out when the guide says so."),
    RiskLine("A ninth risk", "It must not be printed."),
)

MINORS = MinorsFacts(
    responsible="Anna Byrne for Ciara; at the water's edge Nora, within arm's reach.",
    second_adult="Tom Quill joins the day as second adult.",
    collection="Anna Byrne, nobody else",
    seats="one booster, fitted by us, middle row",
    swim_level="Ciara: 25 m without help",
    consents=("sun cream yes", "own snacks yes", "photographs no"),
    contacts=("at the shore Nora +353 87 555 0199", "at home Paul Byrne +353 87 555 0123"),
    child_page=True,
)


def trip_sheet(**changes: object) -> TripSheet:
    """A full trip sheet for a party of four; `changes` replace fields."""
    sheet = TripSheet(
        letterhead=LETTERHEAD,
        title="A long low at Marram Head",
        starts_at=at(5),
        meet=Place(
            "Car park of the Old Net Store",
            directions="Strand Lane, 300 m past the bridge; leave a gap for the tractor.",
            lat=53.60111,
            lon=-9.94222,
        ),
        back_earliest_at=at(16),
        back_latest_at=at(17),
        guide_name="Nora Quill",
        guide_phone="+353 87 555 0199",
        first_names=("Anna", "Ciara", "Zoë", "Miloš"),
        strip=strip(),
        emergency=EMERGENCY,
        decision_at=at(-6),
        spot_name="Marram Head, north gutter",
        method="flown: permission SAC-0000 (invented) covers this beach on this day.",
        what_we_do=(
            "We drive the inland track to the high park, walk over the dune and set four rods "
            "in the north gutter. Baits are flown out past the bank and dropped; you tend the "
            "rods, strike and play the fish, the guide lands it."
        ),
        effort="moderate, most of the day on your feet.",
        walking="900 m each way, the last 200 m soft sand.",
        toilets="at the car park only.",
        signal="none on the beach.",
        bring=(
            "Warm layer and rain jacket",
            "Food and two litres of water",
            "Your medicine, on you",
            "Cash or card for the shop",
        ),
        wear=("Boots that may get wet", "Hat and long sleeves", "Sunglasses against hooks"),
        supplied=(
            "Rods, reels, bait",
            "Lifejackets and wading belts",
            "Gloves, tools, first aid",
            "Cream for the sun",
        ),
        steps=(
            PlanStep(at(5), "Meet, headcount, seats, first talk"),
            PlanStep(at(7), "On the sand, air down, watch the water together"),
            PlanStep(at(7.33), "Second talk: edges, exits, aircraft"),
            PlanStep(at(7.83), "Fishing", until=at(13.5)),
            PlanStep(at(11), "Vehicle off the sand; lunch on the dune"),
            PlanStep(at(13.5), "Reels up, litter, headcount, walk out", until=at(14.25)),
            PlanStep(at(16.25), "Back at the car park"),
        ),
        tide_source="harmonic constants of Marram Head (invented)",
        forecast_source="national weather service, coast sheet",
        forecast_issued_at=at(-12),
        sea_notes=(),
        risks=RISKS,
        fish=FishFacts(
            limits=(
                FishLimit("Bass", min_length_mm=420, bag=2, note="closed in spring (invented)"),
                FishLimit("Tope", bag=0),
                FishLimit("Flounder", min_length_mm=230),
            ),
            limits_source="guide's table",
            limits_checked_on=date(2026, 6, 1),
        ),
        money=MoneyFacts(
            price=Decimal("1160.00"),
            paid=Decimal("348.00"),
            due=Decimal("812.00"),
            due_on=date(2026, 6, 13),
            how_to_pay="By transfer, reference RF18 5390 0754 7034.",
            ladder=(
                "30 days or more before: all back",
                "29 to 14 days: the deposit moves once",
                "13 to 7 days: the deposit is kept",
                "Less than 7 days: the price is due",
            ),
        ),
        insurance=InsuranceFacts(
            cover="public liability and aircraft liability, each to 6.5 million euro (invented).",
        ),
    )
    return replace(sheet, **changes)  # type: ignore[arg-type]


DECISION = Decision(
    verdict=Verdict.GO,
    taken_at=at(-6),
    taken_by="Nora Quill",
    reason="Swell eases overnight; wind below the limit until 20:00.",
    limits=(
        LimitRow("Wind, mean", "7 m/s", "5 m/s", Verdict.GO),
        LimitRow("Gusts", "11 m/s", "8 m/s", Verdict.GO),
        LimitRow("Swell", "1.5 m", "0.9 m", Verdict.GO),
        LimitRow("Way out", "13:24", "pack by 13:00", Verdict.HOLD, "watch the clock"),
    ),
    forecast_source="national weather service, coast sheet",
    forecast_issued_at=at(-7),
)
PEOPLE = (
    RunPerson(
        "Anna Byrne",
        age=41,
        phone="+353 87 555 0111",
        kin_phone="+353 87 555 0123",
        swim_level="well",
        form_signed=True,
        due=Decimal("812.00"),
    ),
    RunPerson(
        "Ciara Byrne",
        age=11,
        minor=True,
        guardian="Anna Byrne",
        swim_level="25 m",
        alerts=("bee stings: two pens on her", "car sick: front seat"),
        form_signed=True,
    ),
    RunPerson("Zoë Łukasiewicz", phone="+48 555 010 203", form_signed=False),
    RunPerson(
        "Miloš Παπαδόπουλος", phone="+30 555 0104", alerts=("insulin, cool bag",), form_signed=True
    ),
)


def run_sheet(**changes: object) -> RunSheet:
    """A full run sheet for a party of four; `changes` replace fields."""
    sheet = RunSheet(
        letterhead=replace(LETTERHEAD, number="2026-014-R"),
        title="A long low at Marram Head",
        starts_at=at(5),
        back_latest_at=at(17),
        spot=Place(
            "Marram Head, north gutter", lat=53.61234, lon=-9.98765, grid="29U MV 34567 41234"
        ),
        meet=Place("Car park of the Old Net Store", lat=53.60111, lon=-9.94222),
        guide_name="Nora Quill",
        people=PEOPLE,
        strip=strip(),
        decision=DECISION,
        emergency=EMERGENCY,
        method="Flown: SAC-0000 (invented) holds for this beach; cast only after 20:00.",
        leave_by_at=at(12.9),
        leave_by_reason="way out shuts 13:24",
        last_drive_out_at=at(10.5),
        last_drive_out_reason="low water + 2 h - 30 min",
        limits=("Fly up to 7 m/s mean, 11 m/s gusts", "Nobody below the rods in flight"),
        checks=("Reel 3: 430 m left, 475 m wanted: keep rod 3 to 260 m.",),
        craft="Craft 1 (invented), 2.2 kg, bait up to 400 g in 5 m/s",
        packs=tuple(
            PackRow(f"P{number}", "fit" if number < 5 else "watch", 0.97 - number / 50, 1.0, 3)
            for number in range(1, 7)
        ),
        rods=tuple(
            RodRow(
                f"Rod {number}",
                f"Reel {number}",
                "braid 0.30 mm",
                600 - 40 * number,
                "two hooks, 5 m trace",
                "1.4 kg",
                300,
            )
            for number in range(1, 5)
        ),
        drop_rows=24,
        drop_plan=DROP_PLAN,
        permits=(
            PermitRow(
                "Permission to drop",
                "SAC-0000",
                "aviation authority (invented)",
                date(2026, 12, 31),
                "this beach, by day",
            ),
            PermitRow("Beach driving", "BD-77", "county (invented)", date(2026, 5, 31)),
        ),
        fallbacks=(Fallback("Scarra Strand", "wind from the west over 7 m/s", 25),),
        stop_money="Stopped by us before half the session: half the price back, or a new date.",
        load=tuple(
            LoadItem(group, text, count)
            for group, text, count in (
                ("People first", "First aid kit", 1),
                ("People first", "Beacon", 1),
                ("People first", "Throw line", 2),
                ("People first", "Lifejackets", 6),
                ("People first", "Water, litres", 10),
                ("Flying", "Packs, boxed and numbered", 6),
                ("Flying", "Craft", 1),
                ("Flying", "Release clips", 3),
                ("Fishing", "Rods", 4),
                ("Fishing", "Rigs, two hooks", 14),
                ("Fishing", "Bait, kg", 6),
                ("Vehicle", "Boards, shovel, strap", 1),
            )
        ),
    )
    return replace(sheet, **changes)  # type: ignore[arg-type]


def _cost_row(
    name: str,
    driver: str,
    amount: str,
    quantity: str = "",
    unit: str = "",
    rate: str = "",
    basis: str = "",
    provision: bool = False,
) -> CostRow:
    return CostRow(
        name,
        driver,
        Decimal(amount),
        Decimal(quantity) if quantity else None,
        unit,
        Decimal(rate) if rate else None,
        basis,
        provision,
    )


def cost_sheet(**changes: object) -> CostSheet:
    """The cost of a day with invented rates; `changes` replace fields."""
    sheet = CostSheet(
        letterhead=replace(LETTERHEAD, number="2026-014-C"),
        title="A long low at Marram Head",
        day=DAY,
        spot_name="Marram Head, north gutter",
        heads=4,
        sections=(
            CostSection(
                "The trip",
                (
                    _cost_row("Road", "km road", "126.00", "300", "km", "0.42"),
                    _cost_row("Bait", "kg of bait", "49.50", "5.5", "kg", "9.00"),
                    _cost_row(
                        "Loss of craft",
                        "flight",
                        "65.00",
                        "30",
                        "flights",
                        "",
                        "1,300 once in 600 flights",
                        True,
                    ),
                ),
                "Trip, direct",
                Decimal("240.50"),
            ),
            CostSection(
                "Time and house",
                (
                    _cost_row("Guide time", "hour", "374.00", "17", "h", "22.00"),
                    _cost_row("Overhead", "share", "152.08", basis="7,300 over 48 days"),
                ),
                "Before heads",
                Decimal("766.58"),
            ),
        ),
        results=(
            Figure(
                "A head brings",
                amount=Decimal("269.20"),
                detail="price less lunch, licence and card fee",
            ),
            Figure("Break-even, paying yourself", count=3, detail="766.58 / 269.20 = 2.85"),
            Figure("Break-even, cash only", count=2),
            Figure("Wished margin", share=Decimal("0.15")),
        ),
        parties=tuple(
            PartyRow(
                heads,
                income=Decimal(290 * heads),
                after_costs=Decimal("269.20") * heads - Decimal("766.58"),
                earned_per_hour=Decimal("12.34") * heads,
                margin_share=Decimal("0.05") * heads,
            )
            for heads in (2, 3, 4)
        ),
        compared=(("Bait", Decimal("49.50"), Decimal("54.10")),),
        notes=("Rates of the season 2026, all invented.",),
    )
    return replace(sheet, **changes)  # type: ignore[arg-type]


RECIPIENT = Recipient("Anna Byrne", ("12 Harbour Row", "Castle Green", "Ireland"))
PAYLOAD = (
    "BCD\n002\n1\nSCT\n\nMarram Head Shore Guiding\nIE29AIBK93115212345678\nEUR812\n\n"
    "RF18539007547034"
)
BANK = BankDetails(
    account_name="Marram Head Shore Guiding",
    numbers=(("IBAN", "IE29 AIBK 9311 5212 3456 78"),),
    reference="RF18 5390 0754 7034",
    qr_payload=PAYLOAD,
)


def money_body(number: str, **changes: object) -> MoneyBody:
    """A body of three lines at two rates (invented); `changes` replace fields."""
    body = MoneyBody(
        letterhead=replace(LETTERHEAD, number=number),
        recipient=RECIPIENT,
        issued_on=date(2026, 5, 11),
        lines=(
            MoneyLine(
                "Guided day, a head",
                Decimal("1160.00"),
                Decimal(4),
                "heads",
                Decimal("290.00"),
                Decimal("13.5"),
                "rods, bait and lunch",
            ),
            MoneyLine(
                "Child seat", Decimal("0.00"), Decimal(1), "", Decimal("0.00"), Decimal("13.5")
            ),
            MoneyLine("Licence, passed on", Decimal("40.00"), Decimal(4), "", Decimal("10.00")),
        ),
        total=Decimal("1200.00"),
        taxes=(
            TaxRow(Decimal("13.5"), Decimal("1022.03"), Decimal("137.97"), Decimal("1160.00")),
            TaxRow(None, Decimal("40.00"), Decimal("0.00"), Decimal("40.00")),
        ),
        trip_title="A long low at Marram Head",
        trip_day=DAY,
        trip_number="2026-014",
        notes=("Rates are invented.",),
    )
    return replace(body, **changes)  # type: ignore[arg-type]


def price_note(**changes: object) -> PriceNote:
    """A price note for a party of four."""
    note = PriceNote(
        body=money_body("2026-P-031", opening="Thank you for asking. This is what the day costs."),
        valid_until=date(2026, 5, 25),
        yours_when="The day is yours once you have said yes.",
        party="3 adults, 1 child",
        included=("Rods, reels, rigs and bait", "Lunch on the dune", "Licence for the day"),
        not_included=("Travel to Marram", "Your own insurance"),
        instalments=(
            Due("Deposit, 30 %", Decimal("360.00"), date(2026, 5, 25)),
            Due("Balance", Decimal("840.00"), date(2026, 6, 13)),
        ),
        ladder=("30 days or more before: all back", "29 to 14 days: the deposit moves once"),
        accept_at="https://desk.marramhead.example/p/…",
    )
    return replace(note, **changes)  # type: ignore[arg-type]


def invoice(**changes: object) -> Invoice:
    """An invoice with the deposit paid."""
    paper = Invoice(
        body=money_body("2026-I-022"),
        due=Decimal("840.00"),
        due_on=date(2026, 6, 13),
        supplied_on=DAY,
        payments=(Paid(date(2026, 5, 20), Decimal("360.00"), "transfer", "RF18 5390 0754 7034"),),
        bank=BANK,
    )
    return replace(paper, **changes)  # type: ignore[arg-type]


def receipt(**changes: object) -> Receipt:
    """A receipt for the deposit."""
    paper = Receipt(
        body=money_body(
            "2026-R-040",
            lines=(MoneyLine("Deposit for the day", Decimal("360.00")),),
            total=Decimal("360.00"),
            taxes=(),
            tax_note="Tax is charged on the invoice (invented).",
        ),
        payments=(Paid(date(2026, 5, 20), Decimal("360.00"), "card"),),
        received=Decimal("360.00"),
        left=Decimal("840.00"),
        invoice_number="2026-I-022",
    )
    return replace(paper, **changes)  # type: ignore[arg-type]


def credit_note(**changes: object) -> CreditNote:
    """A credit note after a day called off."""
    paper = CreditNote(
        body=money_body("2026-K-003"),
        invoice_number="2026-I-022",
        invoice_on=date(2026, 5, 11),
        reason="The day was called off for swell.",
        settled="The money goes back to the account it came from within five days.",
    )
    return replace(paper, **changes)  # type: ignore[arg-type]


MATRIX = RiskMatrix(
    likelihoods=("rare", "unlikely", "possible", "likely", "almost certain"),
    consequences=("insignificant", "minor", "moderate", "major", "catastrophic"),
    bands=tuple(
        tuple(
            "low" if row * column <= 4 else "medium" if row * column <= 10 else "high"
            for column in range(1, 6)
        )
        for row in range(1, 6)
    ),
    source="three bands: low 1 to 4, medium 5 to 10, high 12 and more",
)


def account_statement(**changes: object) -> AccountStatement:
    """A deposit billed and paid, then the balance billed."""
    d = Decimal
    paper = AccountStatement(
        letterhead=replace(LETTERHEAD, number="2026-A-7"),
        recipient=money_body("2026-A-7").recipient,
        until=date(2026, 6, 12),
        rows=(
            AccountRow(date(2026, 5, 4), "Deposit, 2026-0011", d("360.00"), billed=d("360.00")),
            AccountRow(date(2026, 5, 6), "Bank transfer, 2026-0009", d("0.00"), paid=d("360.00")),
            AccountRow(date(2026, 6, 10), "Balance, 2026-0019", d("840.00"), billed=d("840.00")),
        ),
        balance=d("840.00"),
    )
    return replace(paper, **changes)  # type: ignore[arg-type]


def child_page(**changes: object) -> ChildPage:
    """The child's page of the day."""
    page = ChildPage(replace(LETTERHEAD, number="2026-014-C"), "A long low at Marram Head")
    return replace(page, **changes)  # type: ignore[arg-type]


def briefing(**changes: object) -> Briefing:
    """A briefing of four hazards."""
    items = (
        BriefingItem(
            "Surge on the beach",
            "swell 0.9 m at 11 s",
            ("Rods above the wettest mark", "Guide lands the fish", "Buoyancy at the edge"),
            "Nobody walks below the rods without me.",
            "Float, throw line, nobody swims in, beacon.",
            Score(3, 5, 15, "high"),
            Score(2, 4, 8, "medium"),
        ),
        BriefingItem(
            "Cut off by the tide",
            "way out shuts 13:24",
            ("Alarm", "Marker stick"),
            "Reels up means we go.",
            "Highest dry ground, stay out, call.",
        ),
        BriefingItem(
            "Rotor",
            "every flight",
            ("Pad of 10 m", "No catching by hand"),
            "Stand still till the blades stop.",
            "Press on the wound, raise it.",
        ),
        BriefingItem(
            "Hooks",
            "",
            ("Glasses", "Hooks in tubes"),
            "Leave a line with a fish to me.",
            "Pad it, leave it in, go to the doctor.",
        ),
    )
    paper = Briefing(
        letterhead=replace(LETTERHEAD, number="2026-014-B"),
        title="Marram Head, north gutter",
        day=DAY,
        spot_name="Marram Head, north gutter",
        guide_name="Nora Quill",
        items=items,
        first_names=("Anna", "Ciara", "Zoë", "Miloš"),
        matrix=MATRIX,
        spoken=(
            SpokenBlock("When we arrive", ("I count 6 of you.", "Anybody may say no.")),
            SpokenBlock("The water", ("Nobody walks below the rods without me.",)),
        ),
        spoken_minutes=2.5,
        child_lines=("Hold a grown-up's hand at the water.", "Lost? Sit by the truck."),
        child_names=("Ciara", "Zoë"),
    )
    return replace(paper, **changes)  # type: ignore[arg-type]


def emergency_card(**changes: object) -> EmergencyCard:
    """The card of the day in A6."""
    card = EmergencyCard(
        letterhead=replace(LETTERHEAD, number="2026-014-E"),
        title="Marram Head, north gutter",
        day=DAY,
        emergency=EMERGENCY,
        people=6,
        vehicle="grey pick-up, registration 00-XX-0000 (invented), high park",
        keys="on the hook inside the rear bumper",
    )
    return replace(card, **changes)  # type: ignore[arg-type]


def incident_report(**changes: object) -> IncidentReport:
    """A hook in a hand, with a witness and two things to be done."""
    report = IncidentReport(
        letterhead=replace(LETTERHEAD, number="I00007"),
        title="Incident, Marram Head, north gutter",
        happened_at=at(10.6),
        kept_until=date(2029, 6, 20),
        what="A fish turned at the edge; the second hook of the rig went into Tom's left hand.",
        place="Marram Head, north gutter",
        facts=(Fact("Harm", "seen by a doctor"), Fact("Hazard", "Hook in a person")),
        story=(
            Fact("What was done at once", "Line cut, hook padded and left in, driven to Westport."),
            Fact("Why it happened", "The line was taken by hand with a fish on."),
        ),
        conditions=(Fact("Tide", "0.9 m"), Fact("Wind", "6 m/s"), Fact("People", "6")),
        witnesses=(WitnessWords("Anna Byrne", "+353 87 555 0123", "He took the line.", at(12)),),
        follow_ups=(
            FollowUpRow("Tell the insurer", date(2026, 6, 22), date(2026, 6, 21), "by telephone"),
            FollowUpRow("Order a longer tool", date(2026, 7, 1)),
        ),
        entries=(
            RecordEntry(at(11), "guide@marramhead.example", "what happened", "A fish turned."),
            RecordEntry(at(19), "guide@marramhead.example", "harm", "seen by a doctor"),
        ),
    )
    return replace(report, **changes)  # type: ignore[arg-type]


def signed_form(**changes: object) -> SignedForm:
    """A guardian's signature, drawn."""
    wave = tuple((n / 20, 0.5 + 0.4 * cos(n)) for n in range(21))
    form = SignedForm(
        letterhead=replace(LETTERHEAD, number="2026-014-F2"),
        title="Acknowledgement of risk",
        text=(
            "I have read what a day of fishing from the shore brings with it.\n\n"
            "1. The sea can knock me over.\n2. Hooks, lines and rotors can cut.\n\n"
            "I will follow the three rules, and I may sit out any part of the day."
        ),
        text_version="3",
        text_language="en",
        text_sha256="3f" * 32,
        signer_name="Anna Byrne",
        identified_by="link sent to the mail address in the booking",
        means="own link, single use",
        signed_at=datetime(2026, 6, 10, 18, 5, 9, tzinfo=UTC),
        signed_zone=ZONE,
        intent="With this mark I sign the text above.",
        strokes=(wave, ((0.5, 0.2),)),
        relationship="mother",
        minor_name="Ciara",
        minor_age=11,
        record_number=41,
        record_sha256="a1" * 32,
        previous_sha256="b2" * 32,
        verify="41:" + "a1" * 32,
    )
    return replace(form, **changes)  # type: ignore[arg-type]


def labels(**changes: object) -> LabelSheet:
    """Labels of eight packs and one long name."""
    sheet = LabelSheet(
        letterhead=replace(LETTERHEAD, number="2026-L-1"),
        labels=(
            *(
                GearLabel(f"PACK-{n}", f"P{n}", ("flight pack, 74 Wh", "bought 2025"))
                for n in range(8)
            ),
            GearLabel(
                "REEL-9",
                "A reel with a very long name that must be set smaller to fit",
                ("braid 0.30 mm, 600 m", "spooled 12 May 2026", "third line", "fourth line"),
            ),
        ),
    )
    return replace(sheet, **changes)  # type: ignore[arg-type]


def gear_report(**changes: object) -> GearReport:
    """Packs and reels, one of them grounded."""
    report = GearReport(
        letterhead=replace(LETTERHEAD, number="2026-G-6"),
        title="Before the June low waters",
        on=date(2026, 6, 15),
        summary=(Fact("fit", "9"), Fact("watch", "2"), Fact("grounded", "1")),
        sections=(
            GearSection(
                "Flight packs",
                (
                    GearRow("P1", "fit", "95 % ± 2", "retire", "about Mar 2027", "at 80 %"),
                    GearRow(
                        "P6",
                        "grounded",
                        "78 %",
                        "recycle",
                        "15 Jun 2026",
                        "swollen: do not charge",
                        True,
                    ),
                ),
            ),
            GearSection(
                "Reels",
                (GearRow("Reel 3", "watch", "430 m left", "respool", "6 trips", "475 m wanted"),),
            ),
            GearSection("Flares", ()),
        ),
    )
    return replace(report, **changes)  # type: ignore[arg-type]


def prep_lists(**changes: object) -> PrepLists:
    """Two lists of a day."""
    paper = PrepLists(
        letterhead=replace(LETTERHEAD, number="2026-014-L"),
        title="A long low at Marram Head",
        starts_at=at(5),
        spot_name="Marram Head, north gutter",
        lists=(
            PrepList(
                "The evening before",
                (LoadItem("Bait", "Thaw bait, kg", 6), LoadItem("Packs", "Charge P1 to P6", 1)),
                by=at(-6),
            ),
            PrepList("On the truck", run_sheet().load, note="Count out, count back."),
        ),
        count_back=True,
    )
    return replace(paper, **changes)  # type: ignore[arg-type]


DROP_PLAN = DropPlanFacts(
    title="Marram Head, 300 m",
    seaward_deg=285,
    path_out=(ShorePoint(-30, -15), ShorePoint(-30, 285)),
    path_home=(ShorePoint(-30, 285), ShorePoint(-18, 135), ShorePoint(-30, -15)),
    fall_radius_m=30,
    wind_ms=5,
    wind_from_deg=200,
    gust_ms=7,
    marks=(
        ShoreMark(MarkKind.ROD, ShorePoint(-5, -4), "rod 1"),
        ShoreMark(MarkKind.ROD, ShorePoint(5, -4), "rod 2"),
        ShoreMark(MarkKind.PAD, ShorePoint(-30, -15), "pad and pilot"),
        ShoreMark(MarkKind.PEOPLE, ShorePoint(-75, -20), "people, while it flies"),
    ),
    keep_behind_m=-8,
    heights=(HeightPoint(-15, 0.8), HeightPoint(-15, 11), HeightPoint(285, 11)),
    ground=(HeightPoint(-60, 3), HeightPoint(0, 0)),
    hang_m=5,
    wave_height_m=0.8,
    least_height_m=10.8,
    ceiling_m=50,
    clear_m=45,
    clear_needed_m=30,
)
RIG = RigFacts(
    "Two droppers",
    main=RigPiece("main line", 1, 222),
    trace=RigPiece("trace line", 4.5, 189),
    weak_link=RigPiece("weak-link line", 0.15, 14),
    branches=tuple(
        RigBranch(at_m, RigPiece("dropper line", 0.45, 156), "hook 6/0", "80 g squid strip")
        for at_m in (1.2, 2.7)
    ),
    sinker_link=RigPiece("sinker-link line", 0.35, 78),
    sinker="sinker 150 g",
)


def drop_sheet(**changes: object) -> DropSheet:
    """The drops of a day with one check that stops and one that cautions."""
    paper = DropSheet(
        letterhead=replace(LETTERHEAD, number="2026-014-D"),
        title="A long low at Marram Head",
        starts_at=at(5),
        spot_name="Marram Head, north gutter",
        facts=(
            Fact("One drop", "22 % of a pack"),
            Fact("Turn back at", "42 %"),
            Fact("Weak link", "1.1 to 1.8 kgf"),
        ),
        checks=(
            CheckRow(
                "spool",
                CheckVerdict.STOP,
                "Rod 1: The reel holds 450 m of line and the drop needs 475 m.",
                "Respool the reel, or drop at 276 m or nearer.",
            ),
            CheckRow(
                "hooks",
                CheckVerdict.CAUTION,
                "The rig has 2 hooks, and no legal number is entered.",
                "Enter it.",
            ),
            CheckRow("wind", CheckVerdict.GO, "Mean wind 5.0 of 7.2 m/s."),
        ),
        plan=DROP_PLAN,
        rigs=((RIG, ("2 three-way swivels", "4.7 m trace line")),),
        notes=("Nobody below the rods while it flies.",),
    )
    return replace(paper, **changes)  # type: ignore[arg-type]


def season_statement(**changes: object) -> SeasonStatement:
    """A season of three months, all invented."""
    d = Decimal
    paper = SeasonStatement(
        letterhead=replace(LETTERHEAD, number="2026-S"),
        title="Season 2026",
        first_day=date(2026, 4, 1),
        last_day=date(2026, 6, 30),
        results=(
            Figure("Income", amount=d("11200.00")),
            Figure("Days run", count=11, detail="of 14 sold; three called off"),
            Figure("Margin", share=d("0.174")),
        ),
        money=(
            StatementTable(
                "By month",
                ("Income", "Costs", "Left"),
                (
                    StatementRow("April", (d("2400.00"), d("1900.00"), d("500.00"))),
                    StatementRow("May", (d("3600.00"), d("3900.00"), d("-300.00")), "craft lost"),
                    StatementRow("June", (d("5200.00"), None, d("5200.00"))),
                ),
                (d("11200.00"), d("5800.00"), d("5400.00")),
            ),
            StatementTable("Refunds", ("Amount",), ()),
        ),
        tallies=(
            TallyTable(
                "Fish by species",
                ("Species", "Caught", "Kept"),
                (("Bass", "31", "12"), ("Tope", "4", "0")),
            ),
        ),
    )
    return replace(paper, **changes)  # type: ignore[arg-type]


def almanac_page(**changes: object) -> AlmanacPage:
    """June at Marram Head; heights are made from a cosine."""
    rows = []
    for n in range(30):
        day = date(2026, 6, 1) + timedelta(days=n)
        first_h = (1.1 + 0.83 * n) % 6.2
        turns = tuple(
            AlmanacTurn(at(first_h + 6.2 * k, day), 0.6 if k % 2 else 3.9, k % 2 == 0)
            for k in range(4)
            if first_h + 6.2 * k < 24
        )
        rows.append(
            AlmanacRow(
                day=day,
                civil_dawn=at(4.3, day),
                sunrise=at(5.05, day),
                sunset=at(22.0, day),
                civil_dusk=at(22.75, day),
                moonrise=at((20.5 + 0.8 * n) % 24, day) if n != 13 else None,
                moonset=at((5.5 + 0.8 * n) % 24, day),
                moon_share=(1 + cos(2 * pi * n / 29.5)) / 2,
                moon_waxing=n > 14,
                turns=turns,
                springs={0: True, 8: False, 15: True, 22: False, 29: True}.get(n),
                note="the moon rises after midnight" if n == 13 else "",
            )
        )
    page = AlmanacPage(
        letterhead=replace(LETTERHEAD, number="2026-06-A"),
        title="June 2026",
        place="Marram Head",
        lat=53.61234,
        lon=-9.98765,
        rows=tuple(rows),
        tide_source="a made cosine",
        tide_datum="chart datum",
        light_source="computed",
    )
    return replace(page, **changes)  # type: ignore[arg-type]
