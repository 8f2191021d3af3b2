"""The first page of Money."""

from __future__ import annotations

from django.contrib.auth.decorators import permission_required
from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from bookings.models import Quote


@require_safe
@permission_required("bookings.view_quote", raise_exception=True)
def money(request: HttpRequest) -> HttpResponse:
    quotes = Quote.objects.select_related("party__client")
    page = Paginator(quotes, 50).get_page(request.GET.get("page"))
    return render(request, "desk/money.html", {"title": "Money", "page": page})
