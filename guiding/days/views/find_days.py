"""Find a day: a party's wishes, the days that serve them, and the one that is held."""

from __future__ import annotations

import datetime
from itertools import groupby

from django.contrib import messages
from django.contrib.auth.decorators import permission_required
from django.core.exceptions import ValidationError
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from bookings.models import Business, Offer, Party
from guiding.days.actions.wishes import hold_day, save_wish
from guiding.days.forms.find_days import WISH_FIELDS, SearchForm
from guiding.days.models import PartyWish, Spot
from guiding.days.queries.plans import spots
from guiding.days.sheets.find_days import FoundDays, RefusedDay, Search, find_days
from guiding.papers.formats import clock

_BEST = 24
_REACH = datetime.timedelta(days=59)
_WIDER = datetime.timedelta(days=7)  # around the days that were wished for


@require_safe
@permission_required("days.view_dayplan", raise_exception=True)
def find(request: HttpRequest) -> HttpResponse:
    """The form, and once it says from when, the days; `?party=` begins with what they wish for."""
    party = _party(request.GET.get("party", ""))
    sent = "first" in request.GET
    started = _wishes(party)
    form = SearchForm(request.GET if sent else started)
    context: dict[str, object] = {"title": "Find a day", "form": form, "party": party}
    if form.is_valid() and (sent or party):
        try:
            found = find_days(
                search=_search(form, party), business=Business.objects.get(), at=timezone.now()
            )
        except ValueError as refusal:
            form.add_error(None, str(refusal))
        else:
            context |= {
                "found": found,
                "best": found.options[:_BEST],
                "refused": _refused(found),
                "kept": form.as_hidden(),
            }
    elif not sent:
        context["form"] = SearchForm(initial=started)
    status = 422 if sent and form.errors else 200
    return render(request, "days/find_days.html", context, status=status)


def _party(typed: str) -> Party | None:
    if not typed:
        return None
    if not typed.isdigit():
        raise Http404("There is no such party.")
    return get_object_or_404(Party.objects.select_related("client", "offer"), pk=int(typed[:9]))


def _wishes(party: Party | None) -> dict[str, object]:
    """Where a search begins: the party's dates with a week to either side, or two months."""
    today = timezone.localdate()
    if party is None:
        return {"first": today, "last": today + _REACH, "heads": 2, "minors": 0}
    first = party.day_from or today
    last = party.day_until or party.day_from
    begun: dict[str, object] = {
        "first": max(first - _WIDER, today) if party.day_from else today,
        "last": max(last + _WIDER, today) if last else today + _REACH,
        "heads": party.heads,
        "minors": party.minors,
        "offer": party.offer_id,
        "party": party.pk,
    }
    wish = PartyWish.objects.filter(party=party).first()
    if wish is not None:
        kept = {name: getattr(wish, name) for name in WISH_FIELDS}
        begun |= kept | {"weekdays": list(wish.weekdays), "spot": wish.spot_id}
    return begun


def _search(form: SearchForm, party: Party | None) -> Search:
    found = form.cleaned_data
    offers = [found["offer"]] if found["offer"] else list(Offer.objects.all())
    days = (party.day_from, party.day_until or party.day_from) if party else (None, None)
    return Search(
        first=found["first"],
        last=found["last"],
        offers=tuple(offers),
        spots=tuple(spots()),
        heads=found["heads"],
        minors=found["minors"] or 0,
        youngest=found["youngest"],
        weekdays="".join(found["weekdays"]),
        earliest=found["earliest"],
        latest=found["latest"],
        flown=found["bait"] == PartyWish.Bait.FLOWN,
        moon=found["moon"] or "any",
        wished_spot=found["spot"].pk if found["spot"] else None,
        wished_offer=party.offer_id if party else None,
        wished_days=(days[0], days[1]) if days[0] and days[1] else None,
    )


def _refused(found: FoundDays) -> list[tuple[datetime.date, list[tuple[str, str]]]]:
    """The days without any option, each with its reasons: what they hold for, and why."""
    open_days = {option.day for option in found.options}
    rows = [row for row in found.refused if row.day not in open_days]
    return [(day, _reasons(list(group))) for day, group in groupby(rows, key=lambda row: row.day)]


def _reasons(rows: list[RefusedDay]) -> list[tuple[str, str]]:
    """Each reason once, with the spots it holds for where it is not all of them."""
    by_why: dict[tuple[str, str], list[str]] = {}
    for row in rows:
        key = (row.refusal.gate.value, row.refusal.why)
        names = by_why.setdefault(key, [])
        if row.spot.name not in names:
            names.append(row.spot.name)
    spots_here = {row.spot.name for row in rows}
    return [
        (gate if len(names) == len(spots_here) else f"{gate}, {', '.join(names)}", why)
        for (gate, why), names in by_why.items()
    ]


@require_POST
@permission_required("bookings.add_booking", raise_exception=True)
def hold(request: HttpRequest) -> HttpResponse:
    """Hold a day for a party: one click, and it ends by itself."""
    party = _party(request.POST.get("party", ""))
    if party is None:
        messages.error(request, "Choose a party first: a day is held for somebody.")
        return redirect("find_days")
    form = SearchForm(request.POST)
    day, offer, spot = _chosen(request)
    if not form.is_valid() or day is None:
        messages.error(request, "That search cannot be read any more. Search again.")
        return redirect("party", party.pk)
    try:
        booking = hold_day(
            party=party, offer=offer, spot=spot, day=day, search=_search(form, party)
        )
    except ValidationError as refusal:
        messages.error(request, " ".join(refusal.messages))
        return redirect(f"{request.path.removesuffix('hold/')}?party={party.pk}")
    until, business = timezone.localtime(booking.hold_until), Business.objects.get()
    at = clock(until, business.tz, business.locale)
    messages.success(
        request,
        f"{day:%-d %B} at {spot} is held for {party.client} until {until:%-d %B}, {at}, with a "
        "price note to send.",
    )
    return redirect("party", party.pk)


def _chosen(request: HttpRequest) -> tuple[datetime.date | None, Offer, Spot]:
    typed = [request.POST.get(name, "") for name in ("chosen_offer", "chosen_spot")]
    offer_pk, spot_pk = (int(one[:9]) if one.isdigit() else 0 for one in typed)
    try:
        day = datetime.date.fromisoformat(request.POST.get("chosen_day", ""))
    except ValueError:
        day = None
    return day, get_object_or_404(Offer, pk=offer_pk), get_object_or_404(Spot, pk=spot_pk)


@require_POST
@permission_required("days.change_partywish", raise_exception=True)
def wish(request: HttpRequest) -> HttpResponse:
    """Keep what was searched for as what the party wishes for."""
    party = _party(request.POST.get("party", ""))
    form = SearchForm(request.POST)
    if party is None or not form.is_valid():
        messages.error(request, "These wishes cannot be kept: search with them first.")
        return redirect("find_days")
    try:
        save_wish(party=party, **form.wish())
    except ValidationError as refusal:
        messages.error(request, " ".join(refusal.messages))
    else:
        messages.success(request, f"Kept as the wishes of {party.client}.")
    return redirect("party", party.pk)
