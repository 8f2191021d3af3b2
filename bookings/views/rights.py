"""What a person may ask for, and what the rules erase by themselves."""

from __future__ import annotations

import json

from django.contrib import messages
from django.contrib.auth.decorators import permission_required
from django.contrib.auth.models import User
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.text import slugify
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods, require_POST

from bookings.actions.retention import carry_out, set_rule
from bookings.actions.rights import Erasure, erase_person, give_person_file
from bookings.forms.rights import EmailForm, RulesForm
from bookings.queries.retention import due_by_kind, last_run
from bookings.queries.rights import person_file
from bookings.views.form_page import typed
from bookings.views.private import not_stored
from bookings.views.records import download


@sensitive_post_parameters()
@require_http_methods(["GET", "HEAD", "POST"])
@permission_required("bookings.answer_rights", raise_exception=True)
def rights(request: HttpRequest) -> HttpResponse:
    """Find a person by their mail address: how much is kept, and where."""
    form = EmailForm(typed(request))
    context: dict[str, object] = {"title": "What we keep of a person", "form": form}
    if request.method == "POST" and form.is_valid():
        file = person_file(form.cleaned_data["email"], at=timezone.now())
        context |= {
            "email": file.email,
            "tables": [(file.labels[name], len(rows)) for name, rows in file.tables.items()],
            "rows": file.rows,
        }
    return not_stored(render(request, "bookings/rights_person.html", context))


@sensitive_post_parameters()
@require_POST
@permission_required("bookings.answer_rights", raise_exception=True)
def rights_file(request: HttpRequest) -> HttpResponse:
    """Everything in one file, for the person who asked."""
    form = EmailForm(request.POST)
    if not form.is_valid():
        return redirect("rights")
    user = request.user if isinstance(request.user, User) else None
    try:
        file = give_person_file(email=form.cleaned_data["email"], user=user)
    except ValidationError as refusal:
        messages.error(request, " ".join(refusal.messages))
        return redirect("rights")
    content = json.dumps(file.as_json(), ensure_ascii=False, indent=2)
    name = slugify(file.email.replace("@", " at ").replace(".", " ")) or "person"
    return download(content.encode(), f"person-{name}.json", "application/json")


@sensitive_post_parameters()
@require_POST
@permission_required("bookings.answer_rights", raise_exception=True)
def rights_erase(request: HttpRequest) -> HttpResponse:
    """Forget a person, and say what stays and why."""
    form = EmailForm(request.POST)
    if not form.is_valid():
        return redirect("rights")
    done: Erasure | None = None
    try:
        done = erase_person(email=form.cleaned_data["email"], by=str(request.user))
    except ValidationError as refusal:
        messages.error(request, " ".join(refusal.messages))
        return redirect("rights")
    return not_stored(
        render(request, "bookings/rights_erased.html", {"title": "Forgotten", "done": done})
    )


@require_http_methods(["GET", "HEAD", "POST"])
@permission_required("bookings.answer_rights", raise_exception=True)
def retention(request: HttpRequest) -> HttpResponse:
    """How long what is kept, and what would go today."""
    due = due_by_kind(at=timezone.now())
    form = RulesForm(typed(request), rules=[each.rule for each in due])
    if request.method == "POST" and form.is_valid():
        for kind, days in form.changed():
            set_rule(kind=kind, days=days)
        messages.success(request, "The rules are set.")
        return redirect("retention")
    rows = [(each, form[each.rule.kind.value]) for each in due]
    context = {"title": "How long we keep things", "form": form, "rows": rows, "last": last_run()}
    status = 422 if request.method == "POST" else 200
    return render(request, "bookings/rights_retention.html", context, status=status)


@require_POST
@permission_required("bookings.answer_rights", raise_exception=True)
def retention_run(request: HttpRequest) -> HttpResponse:
    """Erase now what the rules say."""
    erased = carry_out(by=str(request.user))
    count = sum(erased.values())
    entries = "1 entry" if count == 1 else f"{count} entries"
    messages.success(request, f"{entries} erased by rule.")
    return redirect("retention")
