"""Find a day: what is offered, what is refused and why, and a day held in one step."""

from __future__ import annotations

import datetime
from dataclasses import replace
from decimal import Decimal
from typing import Any

import pytest
from django.core.exceptions import ValidationError

from bookings.models import Booking, Business, Offer, Party, Quote, Trip
from equipment.models import Defect
from guiding.days.actions.closures import save_away, save_closure
from guiding.days.actions.wishes import hold_day, save_wish
from guiding.days.models import DayPlan, Spot
from guiding.days.queries.plans import spots
from guiding.days.rules.score import Gate, ScoreWeights
from guiding.days.sheets.find_days import DayOption, FoundDays, Search, find_days
from tests.days.made import at as hour
from tests.days.made import flying_plan, forecast
from tests.factories import BookingFactory, OfferFactory, PartyFactory, TripFactory
from tests.factories_days import DayPlanFactory, SpotFactory, TideSourceFactory
from tests.factories_equipment import CraftFactory, FlightPackFactory

NOW = datetime.datetime(2026, 6, 1, 12, tzinfo=datetime.UTC)
FIRST, LAST = datetime.date(2026, 6, 8), datetime.date(2026, 6, 21)
DAY = datetime.date(2026, 6, 13)


@pytest.fixture
def spot(business: Business) -> Spot:
    return SpotFactory(sill_m=None, sand_km=0, drive_min=60, walked_on=FIRST)


@pytest.fixture
def offer(business: Business) -> Offer:
    return OfferFactory(fishing_hours=Decimal(4), hours=Decimal(10), tide_wanted="high")


def search(*offers: Offer, **more: Any) -> Search:
    given: dict[str, Any] = {
        "first": FIRST, "last": LAST, "offers": offers, "spots": tuple(spots()), "heads": 3,
    }  # fmt: skip
    return Search(**given | more)


def find(*offers: Offer, at: datetime.datetime = NOW, **more: Any) -> FoundDays:
    return find_days(search=search(*offers, **more), business=Business.objects.get(), at=at)


def gates(found: FoundDays) -> dict[datetime.date, Gate]:
    return {each.day: each.refusal.gate for each in found.refused}


def why(found: FoundDays, day: datetime.date = DAY) -> str:
    return next(each.refusal.why for each in found.refused if each.day == day)


def test_every_day_is_either_offered_or_refused_with_a_reason(spot: Spot, offer: Offer) -> None:
    SpotFactory()
    other = OfferFactory(fishing_hours=Decimal(12), hours=Decimal(13))
    found = find(offer, other)
    assert found.tried == 14 * 2 * 2
    assert all(each.refusal.why for each in found.refused)
    seen = {(each.day, each.spot.pk, each.offer.pk) for each in (*found.options, *found.refused)}
    assert len(seen) == found.tried


def test_options_are_ranked_and_their_parts_add_up(spot: Spot, offer: Offer) -> None:
    found = find(offer)
    points = [option.score.points for option in found.options]
    assert points == sorted(points, reverse=True)
    for option in found.options:
        assert round(sum(part.points for part in option.score.parts), 1) == option.score.points


def test_what_is_offered_is_what_is_planned(spot: Spot, offer: Offer) -> None:
    """One rule for searching and for planning."""
    from guiding.days.actions.plans import propose_day

    for option in find(offer).options:
        times, _ = propose_day(
            offer=offer, spot=spot, day=option.day, business=Business.objects.get()
        )
        assert times == option.times


# ------------------------------------------------------------------ gates


def test_days_gone_by_are_refused(spot: Spot, offer: Offer) -> None:
    late = datetime.datetime(2026, 6, 12, 23, 30, tzinfo=datetime.UTC)  # the 13th in Dublin
    found = gates(find(offer, at=late))
    assert [day for day, gate in found.items() if gate is Gate.PAST] == [
        datetime.date(2026, 6, n) for n in range(8, 13)
    ]


def test_a_closure_and_days_away_refuse(spot: Spot, offer: Offer) -> None:
    save_closure(
        spot=spot, first_day=DAY, last_day=DAY, reason="a race on the strand", yearly=False
    )
    save_away(first_day=datetime.date(2026, 6, 15), last_day=datetime.date(2026, 6, 16),
              reason="a wedding")  # fmt: skip
    found = find(offer)
    assert gates(found)[DAY] is Gate.CLOSED
    assert why(found) == "a race on the strand"
    assert why(found, datetime.date(2026, 6, 16)) == "you are away: a wedding"


def test_a_day_that_is_taken_is_refused_with_what_takes_it(spot: Spot, offer: Offer) -> None:
    DayPlanFactory(spot=spot, trip=TripFactory(places_taken=2))
    found = find(offer)
    assert gates(found)[DAY] is Gate.TAKEN
    assert why(found).startswith("you are out already: Party day")


def test_an_empty_day_of_another_offer_says_what_to_do(spot: Spot, offer: Offer) -> None:
    DayPlanFactory(spot=spot)
    assert "call it off first" in why(find(offer))


def test_a_day_called_off_is_free_again(spot: Spot, offer: Offer) -> None:
    DayPlanFactory(spot=spot, trip=TripFactory(status="cancelled"))
    assert DAY not in gates(find(offer))


def test_too_little_rest_after_a_late_trip_refuses(spot: Spot, offer: Offer) -> None:
    TripFactory(starts_at=hour(-14), ends_at=hour(-2), places_taken=1)  # home at 22:00 UTC
    early = OfferFactory(fishing_hours=Decimal(4))  # any tide: the first light
    found = find(early, first=DAY, last=DAY)
    assert gates(found) == {DAY: Gate.REST}
    assert "your least is 10" in why(found)


def test_a_day_that_is_too_long_refuses(spot: Spot, offer: Offer) -> None:
    spot.drive_min = 330
    spot.save()
    assert set(gates(find(offer)).values()) == {Gate.DUTY}


def test_parties_that_do_not_fit_are_refused(spot: Spot, offer: Offer) -> None:
    assert set(gates(find(offer, heads=5)).values()) == {Gate.PLACES}
    spot.minors_welcome = False
    spot.save()
    assert set(gates(find(offer, minors=1)).values()) == {Gate.AGES}


def test_weekdays_and_hours_wished_for(spot: Spot, offer: Offer) -> None:
    weekend = find(offer, weekdays="56")
    assert {option.day.weekday() for option in weekend.options} <= {5, 6}
    early = find(offer, earliest=datetime.time(7))
    assert Gate.HOURS in gates(early).values()
    for option in early.options:
        assert option.times.pick_up.astimezone(Business.objects.get().tz).time().hour >= 7


def test_no_tide_where_the_tide_cuts_off_is_no_day(offer: Offer) -> None:
    SpotFactory(tide_source=TideSourceFactory(kind="table", constants={}), sill_m=3.0, sand_km=0)
    found = find(offer)
    assert set(gates(found).values()) == {Gate.SESSION}
    assert "import its constants or its table" in why(found)


def test_a_way_out_that_is_shut_too_long_is_no_day(spot: Spot, offer: Offer) -> None:
    spot.sill_m = 1.5
    spot.save()
    found = find(offer)
    assert set(gates(found).values()) == {Gate.SESSION}
    assert "with the way out open" in why(found)


def test_flown_bait_needs_both_papers_on_that_date(business: Business, offer: Offer) -> None:
    plan = flying_plan(trip=TripFactory(starts_at=hour(24 * 60), ends_at=hour(24 * 60 + 12)),
                       session_start=hour(24 * 60 + 2), session_end=hour(24 * 60 + 8))  # fmt: skip
    plan.spot.permits.filter(kind="fishery").update(valid_until=datetime.date(2026, 6, 14))
    found = gates(find(offer, flown=True))
    assert DAY not in found or found[DAY] is not Gate.DROP
    assert found[datetime.date(2026, 6, 15)] is Gate.DROP
    cast = find(offer)
    assert {o.day for o in cast.options if o.cast_only} == {
        o.day for o in cast.options if o.day > datetime.date(2026, 6, 14)
    }


def test_flown_bait_needs_fit_gear(business: Business, offer: Offer) -> None:
    plan = flying_plan(trip=TripFactory(starts_at=hour(24 * 60), ends_at=hour(24 * 60 + 12)),
                       session_start=hour(24 * 60 + 2), session_end=hour(24 * 60 + 8))  # fmt: skip
    assert Gate.GEAR not in gates(find(offer, flown=True)).values()
    Defect.objects.create(thing=plan.craft, found_at=NOW, what="A cracked arm")
    found = find(offer, flown=True)
    assert set(gates(found).values()) == {Gate.GEAR}
    assert "cracked arm" in why(found)
    CraftFactory()
    assert Gate.GEAR not in gates(find(offer, flown=True)).values()


def test_gear_that_is_retired_within_the_search_is_grounded_from_that_day(
    business: Business, offer: Offer
) -> None:
    plan = flying_plan(trip=TripFactory(starts_at=hour(24 * 60), ends_at=hour(24 * 60 + 12)),
                       session_start=hour(24 * 60 + 2), session_end=hour(24 * 60 + 8))  # fmt: skip
    plan.craft.retired_on = datetime.date(2026, 6, 16)
    plan.craft.save()
    found = gates(find(offer, flown=True))
    grounded = sorted(day for day, gate in found.items() if gate is Gate.GEAR)
    assert grounded == [datetime.date(2026, 6, n) for n in range(16, 22)]
    FlightPackFactory()


def test_a_forecast_over_the_limit_refuses_its_own_days_only(spot: Spot, offer: Offer) -> None:
    forecast(spot, wave_m=3.0)
    at = datetime.datetime(2026, 6, 12, 19, tzinfo=datetime.UTC)
    found = find(offer, at=at)
    refused = [day for day, gate in gates(found).items() if gate is Gate.FORECAST]
    assert refused == [DAY]
    assert "waves 3 m forecast" in why(found)
    assert "stop from 2.5 m" in why(found)


def test_a_calm_forecast_refuses_nothing(spot: Spot, offer: Offer) -> None:
    forecast(spot)
    at = datetime.datetime(2026, 6, 12, 19, tzinfo=datetime.UTC)
    assert Gate.FORECAST not in gates(find(offer, at=at)).values()


@pytest.mark.parametrize("last", [datetime.date(2026, 6, 7), datetime.date(2028, 1, 1)])
def test_dates_out_of_order_or_out_of_reach_are_refused(
    spot: Spot, offer: Offer, last: datetime.date
) -> None:
    with pytest.raises(ValueError, match="search 1 to 400"):
        find(offer, last=last)


# ------------------------------------------------------------------ scores


def test_a_wish_that_is_met_ranks_higher(spot: Spot, offer: Offer) -> None:
    twin = SpotFactory(tide_source=spot.tide_source, sill_m=None, sand_km=0, drive_min=60)
    best = find(offer, wished_spot=twin.pk).options[0]
    assert best.spot == twin


def test_a_spot_fished_the_day_before_scores_lower_than_a_rested_one(
    spot: Spot, offer: Offer
) -> None:
    rested = SpotFactory(tide_source=spot.tide_source, sill_m=None, sand_km=0, drive_min=60)
    DayPlanFactory(spot=spot, trip=TripFactory(places_taken=1))
    found = find(offer, weights=ScoreWeights())
    next_day = {o.spot.pk: o for o in found.options if o.day == datetime.date(2026, 6, 14)}
    assert next_day[rested.pk].score.points > next_day[spot.pk].score.points


def test_the_season_s_own_results_count(spot: Spot, offer: Offer) -> None:
    for year, status in ((2024, "fished"), (2025, "cancelled"), (2025, "fished")):
        start = datetime.datetime(year, 6, 20, 6, tzinfo=datetime.UTC)
        trip = TripFactory(
            starts_at=start, ends_at=start + datetime.timedelta(hours=9), status=status
        )
        DayPlanFactory(
            spot=spot, trip=trip, session_start=start + datetime.timedelta(hours=2),
            session_end=start + datetime.timedelta(hours=7),
        )  # fmt: skip
    part = find(offer).options[0].score.parts[2]
    assert (part.points, part.why) == (
        10.0,
        "67% of the days planned here at this season were fished",
    )


def test_a_shared_day_can_be_joined_while_it_has_places(spot: Spot) -> None:
    shared = OfferFactory(shared=True, fishing_hours=Decimal(4), places=4)
    trip = TripFactory(offer=shared, places=4, places_taken=2)
    DayPlanFactory(spot=spot, trip=trip)
    assert [o.join for o in find(shared, heads=2).options if o.day == DAY] == [trip]
    found = find(shared, heads=3)
    assert why(found) == "2 places are left on it, 3 are asked for"


def test_a_search_takes_a_fixed_number_of_queries(
    business: Business, offer: Offer, django_assert_max_num_queries: Any
) -> None:
    for _ in range(5):
        SpotFactory()
    asked = search(offer)
    with django_assert_max_num_queries(14):
        find_days(search=asked, business=business, at=NOW)
    longer = replace(asked, last=FIRST + datetime.timedelta(days=59))
    with django_assert_max_num_queries(14):
        find_days(search=longer, business=business, at=NOW)


# ------------------------------------------------------------------ holding a day


@pytest.fixture
def party(offer: Offer) -> Party:
    return PartyFactory(offer=offer, heads=3)


def hold(party: Party, option: DayOption, at: datetime.datetime = NOW) -> Booking:
    return hold_day(
        party=party, offer=option.offer, spot=option.spot, day=option.day,
        search=search(option.offer), at=at,
    )  # fmt: skip


def test_a_day_is_held_in_one_step_and_the_hold_ends(
    spot: Spot, offer: Offer, party: Party
) -> None:
    option = find(offer).options[0]
    booking = hold(party, option)
    assert (booking.status, booking.heads) == ("tentative", 3)
    assert booking.hold_until == NOW + datetime.timedelta(hours=48)
    plan = DayPlan.objects.get(trip=booking.trip)
    assert (plan.spot, plan.session_start) == (spot, option.times.session_start)
    assert Quote.objects.get(booking=booking).status == "draft"
    assert gates(find(offer))[option.day] is Gate.TAKEN


def test_asked_twice_it_is_held_once(spot: Spot, offer: Offer, party: Party) -> None:
    option = find(offer).options[0]
    assert hold(party, option) == hold(party, option)
    assert (Trip.objects.count(), Quote.objects.count()) == (1, 1)


def test_a_day_taken_meanwhile_is_refused_and_nothing_is_written(
    spot: Spot, offer: Offer, party: Party
) -> None:
    option = find(offer).options[0]
    hold(PartyFactory(offer=offer, heads=2), option)
    with pytest.raises(ValidationError, match="cannot be held: you are out already"):
        hold(party, option)
    assert (Trip.objects.count(), Booking.objects.count()) == (1, 1)


def test_a_lapsed_hold_gives_the_day_to_the_next(spot: Spot, offer: Offer, party: Party) -> None:
    option = find(offer).options[0]
    first = hold(PartyFactory(offer=offer, heads=2), option)
    later = NOW + datetime.timedelta(hours=48)
    again = [o for o in find(offer, at=later).options if o.day == option.day]
    assert [o.join for o in again] == [first.trip]
    booking = hold(party, again[0], at=later)
    assert booking.trip == first.trip
    first.refresh_from_db()
    assert first.status == "cancelled"


def test_a_refusal_half_way_leaves_nothing_behind(spot: Spot, offer: Offer, party: Party) -> None:
    option = find(offer).options[0]
    party.state, party.closed_at = "closed", NOW
    party.save()
    with pytest.raises(ValidationError, match="closed"):
        hold(party, option)
    assert not Trip.objects.exists()


def test_places_held_for_one_party_are_not_sold_to_another(spot: Spot) -> None:
    shared = OfferFactory(shared=True, fishing_hours=Decimal(4), places=4)
    option = find(shared).options[0]
    hold(PartyFactory(offer=shared, heads=3), option)
    again = [o for o in find(shared, heads=1).options if o.day == option.day]
    booking = hold(PartyFactory(offer=shared, heads=1), again[0])
    assert Trip.objects.get().places_taken == 4
    assert booking.trip == Trip.objects.get()


# ------------------------------------------------------------------ wishes


def test_wishes_are_kept_with_the_party_and_replaced(party: Party, spot: Spot) -> None:
    save_wish(party=party, weekdays="56", bait="flown", spot=spot)
    wish = save_wish(party=party, weekdays="5", bait="cast", spot=None, youngest=9)
    assert party.wish == wish
    assert (wish.weekdays, wish.bait, wish.spot, wish.youngest) == ("5", "cast", None, 9)


@pytest.mark.parametrize(
    ("field", "value"),
    [("weekdays", "77"), ("bait", "thrown"), ("moon", "blue"), ("youngest", 200)],
)
def test_wishes_that_cannot_be_are_refused(party: Party, field: str, value: Any) -> None:
    with pytest.raises(ValidationError) as refusal:
        save_wish(party=party, **{field: value})
    assert field in refusal.value.message_dict


def test_bookings_by_hand_count_as_taken_too(spot: Spot, offer: Offer) -> None:
    trip = TripFactory(offer=offer, places_taken=2)
    BookingFactory(trip=trip)
    assert gates(find(offer))[DAY] is Gate.TAKEN
