"""Service: what is due, what was done, and the rules that say so."""

from __future__ import annotations

from django.contrib.auth.decorators import permission_required
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from equipment.actions.service import (
    record_service,
    record_services,
    save_rule,
    strike_out_service,
)
from equipment.forms.service import DoneForm, RuleForm, ServiceForm
from equipment.forms.things import ReasonForm
from equipment.models import ServiceRecord, ServiceRule, Thing
from equipment.queries.booked import booked_days
from equipment.queries.due import due_groups, due_list
from equipment.queries.service import RuleBook
from equipment.views.shape import (
    asked_day,
    bound,
    carried_out,
    fetch,
    form_page,
    lead_on,
    turned_down,
    who,
)


@require_safe
@permission_required("equipment.view_thing", raise_exception=True)
def gear_due(request: HttpRequest) -> HttpResponse:
    """What has to be done, soonest first, and before which booked trip."""
    on = asked_day(request)
    booked = booked_days(on=on)
    items = due_list(on=on, booked=booked)
    return render(
        request,
        "equipment/due.html",
        {
            "title": "Due",
            "on": on,
            "items": items,
            "groups": due_groups(items, booked=booked),
            "booked": booked,
            "asks_day": "on" in request.GET,
            # What is due on another day cannot be ticked off as done now.
            "may_tick": "on" not in request.GET
            and request.user.has_perm("equipment.add_servicerecord"),
        },
    )


@require_POST
@permission_required("equipment.add_servicerecord", raise_exception=True)
def gear_due_done(request: HttpRequest) -> HttpResponse:
    """Record the ticked services as done now."""
    to = reverse("gear_due")
    today = timezone.localdate()
    items = due_list(on=today, booked=booked_days(on=today))
    form = DoneForm(
        request.POST, open_items=[(item.thing_id, item.rule) for item in items if item.rule]
    )
    if not form.is_valid():
        said = "Tick what was done, then press again; what is done already is off the list."
        return turned_down(request, to, ValidationError(said))
    things = Thing.objects.in_bulk([pk for pk, _ in form.ticked()])
    try:
        done = record_services(
            done=[(things[pk], rule) for pk, rule in form.ticked()],
            done_by=form.cleaned_data["done_by"],
        )
    except ValidationError as error:
        return turned_down(request, to, error)
    return lead_on(request, to, f"{len(done)} recorded as done.")


@require_http_methods(["GET", "POST"])
@permission_required("equipment.add_servicerecord", raise_exception=True)
def service_new(request: HttpRequest, pk: int) -> HttpResponse:
    row = fetch(pk)
    rules = [rule.name for rule in RuleBook().rules_of(row)]
    first = {
        "done_at": timezone.localtime(),
        "done_by": who(request),
        "rule_name": request.GET.get("rule", ""),
    }
    form = bound(request, ServiceForm, thing=row, rules=rules, initial=first)
    if carried_out(form, lambda: record_service(thing=row, **form.cleaned_data)):
        return lead_on(request, row.get_absolute_url(), "The service is recorded.")
    return form_page(request, form, title=f"A service of {row.label}", back=row.get_absolute_url())


@require_http_methods(["GET", "POST"])
@permission_required("equipment.change_servicerecord", raise_exception=True)
def service_strike_out(request: HttpRequest, pk: int) -> HttpResponse:
    record = get_object_or_404(ServiceRecord.objects.select_related("thing"), pk=pk)
    to = record.thing.get_absolute_url()
    form = bound(request, ReasonForm, button="Strike it out")
    if carried_out(form, lambda: strike_out_service(record=record, **form.cleaned_data)):
        return lead_on(request, to, "Struck out; the record stays readable.")
    return form_page(
        request, form, title="Strike out a service", back=to, lead=f"{record.thing}: {record}"
    )


@require_safe
@permission_required("equipment.view_servicerule", raise_exception=True)
def rule_list(request: HttpRequest) -> HttpResponse:
    by_kind: dict[str, list[ServiceRule]] = {kind: [] for kind in Thing.Kind.values}
    for rule in ServiceRule.objects.select_related("thing").order_by("name", "pk"):
        by_kind[rule.kind].append(rule)
    groups = [(Thing.Kind(kind).label, rules) for kind, rules in by_kind.items() if rules]
    return render(
        request,
        "equipment/rules.html",
        {"title": "Service rules", "groups": groups, "count": sum(map(len, by_kind.values()))},
    )


@require_http_methods(["GET", "POST"])
@permission_required("equipment.change_servicerule", raise_exception=True)
def rule_edit(request: HttpRequest, pk: int | None = None) -> HttpResponse:
    """A new service rule, or a change of one."""
    row = get_object_or_404(ServiceRule, pk=pk) if pk else None
    form = bound(request, RuleForm, instance=row, initial={"kind": request.GET.get("kind", "")})

    def save() -> None:
        save_rule(rule=ServiceRule.objects.get(pk=pk) if pk else None, **form.cleaned_data)

    to = reverse("rule_list")
    if carried_out(form, save):
        return lead_on(request, to, "The rule is set.")
    title = f"Change the rule: {ServiceRule.objects.get(pk=pk).name}" if pk else "New service rule"
    return form_page(request, form, title=title, back=to)
