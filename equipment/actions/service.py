"""Service: the rules of a kind, and the record of what was done."""

from __future__ import annotations

import datetime
from collections.abc import Sequence
from decimal import Decimal
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone

from equipment.actions.sums import count_up_to
from equipment.actions.use import CLOCK_SLACK
from equipment.models import ServiceRecord, ServiceRule, Thing
from equipment.queries.service import MEASURES
from equipment.rules.service import GearKind, default_service_rules


@transaction.atomic
def adopt_default_rules(*, kind: str) -> list[ServiceRule]:
    """Enter the default rules of a kind, unless the kind has rules already."""
    if ServiceRule.objects.filter(kind=kind, thing=None).exists():
        return []
    defaults = default_service_rules(kind=GearKind(kind), has_printed_date=True)
    return ServiceRule.objects.bulk_create(
        ServiceRule(
            kind=kind,
            name=rule.name,
            **{f"every_{name}": getattr(rule, f"every_{name}") for name in MEASURES},
            by_printed_date=rule.by_printed_date,
            lead_days=rule.lead_days,
            lead_percent=round(rule.lead_share * 100),
            grounds=rule.grounds,
            mark=rule.mark.name.lower(),
        )
        for rule in defaults
    )


@transaction.atomic
def save_rule(*, rule: ServiceRule | None = None, **columns: Any) -> ServiceRule:
    """Enter or change a service rule; records kept under its old name move to the new one."""
    row = rule or ServiceRule()
    old_name = row.name
    for name, value in columns.items():
        setattr(row, name, value)
    row.name = row.name.strip()
    if row.thing is not None:
        row.kind = row.thing.kind
    if not row.by_printed_date and not any(getattr(row, f"every_{m}") for m in MEASURES):
        raise ValidationError("Set at least one limit: days, a count, or the printed date.")
    row.full_clean()
    row.save()
    if rule is not None and old_name != row.name:
        records = ServiceRecord.objects.filter(rule_name=old_name, thing__kind=row.kind)
        if row.thing is not None:
            records = records.filter(thing=row.thing)
        records.update(rule_name=row.name)
    return row


@transaction.atomic
def record_service(
    *,
    thing: Thing,
    rule_name: str,
    done_at: datetime.datetime | None = None,
    done_by: str = "",
    parts: str = "",
    cost: Decimal = Decimal(0),
    note: str = "",
    new_printed_date: datetime.date | None = None,
    now: datetime.datetime | None = None,
) -> ServiceRecord:
    """Record a service; what is counted towards the next one begins anew from here. The same one
    sent twice is recorded once."""
    Thing.objects.select_for_update().get(pk=thing.pk)
    now = now or timezone.now()
    done_at = done_at or now
    if done_at > now + CLOCK_SLACK:
        raise ValidationError({"done_at": "That time is still to come; record the service then."})
    if thing.bought_on and timezone.localdate(done_at) < thing.bought_on:
        raise ValidationError({"done_at": f"{thing.label} had not been bought by then."})
    row = ServiceRecord(
        thing=thing,
        rule_name=rule_name.strip(),
        done_at=done_at,
        done_by=done_by,
        parts=parts,
        cost=cost,
        note=note,
    )
    row.full_clean()
    before = ServiceRecord.objects.filter(
        thing=thing.pk, rule_name=row.rule_name, done_at=done_at, struck_out_reason=""
    ).first()
    if before is not None:
        return before
    row.save()
    count_up_to(record=row)
    if new_printed_date is not None:
        if new_printed_date <= timezone.localdate(done_at):
            raise ValidationError({"new_printed_date": "The new printed date has passed already."})
        thing.expires_on = new_printed_date
        thing.full_clean()
        thing.save()
    return row


@transaction.atomic
def record_services(
    *,
    done: Sequence[tuple[Thing, str]],
    done_at: datetime.datetime | None = None,
    done_by: str = "",
) -> list[ServiceRecord]:
    """Record the same visit to many things: all of them or none."""
    return [
        record_service(thing=thing, rule_name=name, done_at=done_at, done_by=done_by)
        for thing, name in done
    ]


@transaction.atomic
def strike_out_service(*, record: ServiceRecord, reason: str) -> ServiceRecord:
    """Say that a service record is wrong; it stays readable and counts no more."""
    if not reason.strip():
        raise ValidationError({"reason": "Say why the record is wrong."})
    record.struck_out_reason = reason.strip()
    record.save(update_fields=["struck_out_reason"])
    return record
