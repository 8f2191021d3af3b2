"""Private calendar feeds: read by calendar programs, made and ended in Setup."""

from __future__ import annotations

import hashlib

from django.conf import settings
from django.contrib import messages
from django.contrib.auth.decorators import login_not_required, permission_required
from django.contrib.auth.models import User
from django.core.exceptions import ValidationError
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.cache import get_conditional_response
from django.utils.http import quote_etag
from django.views.decorators.http import require_POST, require_safe

from bookings.actions.invites import make_feed_link, revoke_feed_link
from bookings.models import Business
from bookings.queries.invites import feed_owner, people_with_links
from guiding.desk.sheets.feed import feed_bytes, person_feed


@login_not_required
@require_safe
def feed(request: HttpRequest, token: str) -> HttpResponse:
    """The calendar behind a private address. The address is the key: whoever has it may read."""
    owner = feed_owner(token)
    if owner is None:
        raise Http404("There is no such calendar.")
    content = feed_bytes(person_feed(owner, business=Business.objects.get(), at=timezone.now()))
    etag = quote_etag(hashlib.sha256(content).hexdigest())
    response = HttpResponse(content, content_type="text/calendar; charset=utf-8")
    response["ETag"] = etag
    response["Cache-Control"] = "private, no-cache"
    response["Content-Disposition"] = 'inline; filename="trips.ics"'
    response["X-Robots-Tag"] = "noindex"
    return get_conditional_response(request, etag=etag, response=response) or response


@require_safe
@permission_required("bookings.change_business", raise_exception=True)
def feed_list(request: HttpRequest) -> HttpResponse:
    """Who has a calendar to subscribe to. A new address is shown once, right after it was made."""
    made = request.session.pop("feed_made", None)
    return render(
        request,
        "desk/feeds.html",
        {"title": "Calendars to subscribe to", "people": people_with_links(), "made": made},
    )


@require_POST
@permission_required("bookings.change_business", raise_exception=True)
def feed_new(request: HttpRequest, pk: int) -> HttpResponse:
    user = get_object_or_404(User, pk=pk, is_active=True)
    try:
        token = make_feed_link(user=user)
    except ValidationError as refusal:
        messages.error(request, " ".join(refusal.messages))
    else:
        address = settings.PUBLIC_URL + reverse("feed", args=[token])
        request.session["feed_made"] = {"who": str(user.first_name or user), "address": address}
    return redirect("feed_list")


@require_POST
@permission_required("bookings.change_business", raise_exception=True)
def feed_end(request: HttpRequest, pk: int) -> HttpResponse:
    user = get_object_or_404(User, pk=pk)
    if revoke_feed_link(user=user):
        messages.success(request, "The address is closed. Who subscribed to it reads no more.")
    return redirect("feed_list")
