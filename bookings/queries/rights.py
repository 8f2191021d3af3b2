"""Everything that is kept of a person, found by their mail address, in one file.

The tables are walked along their foreign keys, so that a table added later is in the file too.
"""

from __future__ import annotations

import base64
import datetime
import re
from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Any

from django.apps import apps
from django.contrib.auth import get_user_model
from django.db import models
from django.db.models import Q, QuerySet

from bookings.models import (
    Client,
    EncryptedJSONField,
    Guardian,
    HealthNote,
    Participant,
    Party,
    Signature,
    ToldNote,
    Unreadable,
)
from bookings.queries.merges import one_person
from bookings.queries.records import read_content

HOUSES = ("bookings", "equipment", "days", "safety", "desk")

# Rows that hang on a person's row and are somebody else's. The walk does not enter them.
OTHERS: dict[tuple[type[models.Model], str], str] = {
    (Party, "participants"): "the others of the party; named in `people_of_my_parties`",
    (Participant, "wards"): "minors; what was signed for them comes with the guardian",
    (Participant, "guardians"): "the guardian's own particulars",
}
# Secrets, working figures, and bytes that another field says in words.
HIDDEN = re.compile(r"(token|_hash$|^own_hash|^claim|^mail$|^cost_estimate$|^once$|^salt$)")
# Rows that a row points to and that belong to it.
BESIDE = {"signature": ("trace", "sheet"), "moneyshare": ("entry",)}


@dataclass(slots=True)
class PersonFile:
    """What is kept of one person: rows by table, and sentences about what is not in it."""

    email: str
    made_at: datetime.datetime
    tables: dict[str, list[dict[str, Any]]] = field(default_factory=dict)
    labels: dict[str, str] = field(default_factory=dict)
    people_of_my_parties: list[str] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)
    health_notes: list[HealthNote | ToldNote] = field(default_factory=list)

    @property
    def rows(self) -> int:
        return sum(map(len, self.tables.values()))

    def as_json(self) -> dict[str, Any]:
        return {
            "person": self.email,
            "made_at": self.made_at.isoformat(),
            "notes": self.notes,
            "people_of_my_parties": self.people_of_my_parties,
            "tables": self.tables,
        }


def person_file(email: str, *, at: datetime.datetime) -> PersonFile:
    """Everything that is kept of the person with this mail address; empty when nothing is.

    Whoever gives the file away writes the look at its health notes into the log first.
    """
    email = email.strip()
    found: dict[type[models.Model], set[Any]] = defaultdict(set)
    for model, pks in roots(email).items():
        _walk(model, pks, found)
    file = PersonFile(email, at)
    for model in sorted(found, key=lambda each: each._meta.model_name or ""):
        rows = list(model._base_manager.filter(pk__in=found[model]).order_by("pk"))
        if not rows:
            continue
        file.labels[model._meta.model_name or ""] = str(model._meta.verbose_name_plural)
        file.tables[model._meta.model_name or ""] = [
            plain for row in rows for plain in _with_earlier(row)
        ]
        file.health_notes += [row for row in rows if isinstance(row, HealthNote | ToldNote)]
    parties = found.get(Party, set())
    named = Participant.objects.filter(party__in=parties).order_by("pk")
    file.people_of_my_parties = [str(person) for person in named]
    file.notes = _notes(file)
    return file


def roots(email: str) -> dict[type[models.Model], set[Any]]:
    """Rows that bear the address themselves, in any table of ours."""
    found: dict[type[models.Model], set[Any]] = {}
    for model in _tables():
        for name in mail_fields(model):
            pks = set(
                model._base_manager.filter(**{f"{name}__iexact": email})
                .order_by()
                .values_list("pk", flat=True)
            )
            if pks:
                found.setdefault(model, set()).update(pks)
    if Client in found:  # entries that were found to be the same person
        found[Client] = one_person(found[Client])
    if mine := set(participants_with(email).order_by().values_list("pk", flat=True)):
        found[Participant] = mine
    sealed = Signature.objects.filter(sealed__icontains=f'"signer_contact":"{email}"')
    signed = set(sealed.order_by().values_list("pk", flat=True))
    if signed:
        found.setdefault(Signature, set()).update(signed)
    return found


def mail_fields(model: type[models.Model]) -> list[str]:
    """The fields of a table that hold somebody's mail address."""
    return [
        each.name for each in model._meta.concrete_fields if isinstance(each, models.EmailField)
    ]


def _tables() -> list[type[models.Model]]:
    return [
        model
        for house in HOUSES
        if house in apps.app_configs
        for model in apps.get_app_config(house).get_models()
        if not model.__name__.startswith("Historical") and model._meta.model_name != "business"
    ]


def _walk(
    model: type[models.Model], pks: Iterable[Any], found: dict[type[models.Model], set[Any]]
) -> None:
    """Add rows and all that hangs on them."""
    fresh = set(pks) - found[model]
    if not fresh:
        return
    found[model] |= fresh
    for relation in model._meta.related_objects:
        child = relation.related_model
        name = relation.get_accessor_name() or ""
        if (model, name) in OTHERS or name.endswith("+") or relation.many_to_many:
            continue
        if relation.hidden or not isinstance(child, type):
            continue
        rows = child._base_manager.filter(**{f"{relation.field.name}__in": fresh})
        _walk(child, rows.order_by().values_list("pk", flat=True), found)
    for name in BESIDE.get(model._meta.model_name or "", ()):
        target = model._meta.get_field(name).related_model
        rows = model._base_manager.filter(pk__in=fresh).exclude(**{name: None})
        _walk(target, rows.order_by().values_list(name, flat=True), found)  # type: ignore[arg-type]


def _with_earlier(row: models.Model) -> list[dict[str, Any]]:
    """The row, and how it read before where its table keeps that."""
    plain = [_plain_row(row)]
    history = getattr(row, "history", None)
    if history is not None:
        for was in history.order_by("history_date")[:200]:
            told = _plain_row(was)
            if {key: told.get(key) for key in plain[0]} != plain[0]:
                plain.append({"earlier": told})
    return plain


def _plain_row(row: models.Model) -> dict[str, Any]:
    told: dict[str, Any] = {}
    for each in row._meta.concrete_fields:
        if HIDDEN.search(each.name) or isinstance(each, models.BinaryField):
            continue
        told[each.name] = _plain(row, each)
    if isinstance(row, Signature):
        told["sealed"] = _unsealed(row)
    if row._meta.model_name == "papersheet":
        told["photograph_jpeg_base64"] = _file(row)
    return told


def _plain(row: models.Model, each: models.Field[Any, Any]) -> Any:
    value = getattr(row, each.attname)
    if isinstance(each, EncryptedJSONField):
        if isinstance(value, Unreadable):
            return f"cannot be read: {value.reason}"
        return {name: told for name, told in value.items() if name != "salt"}
    if each.is_relation and value is not None:
        return {"number": value, "is": str(getattr(row, each.name, ""))}
    if isinstance(value, datetime.datetime | datetime.date | datetime.time):
        return value.isoformat()
    if isinstance(value, Decimal):
        return str(value)
    if value is None or isinstance(value, bool | int | float | str | list | dict):
        return value
    return str(value)


def _unsealed(row: Signature) -> Any:
    if not row.sealed:
        return "erased when its time was up"
    facts = read_content(row.sealed)
    return {
        name: value.isoformat() if isinstance(value, datetime.date) else value
        for name, value in facts.items()
        if name != "salt"
    }


def _file(row: models.Model) -> str:
    try:
        with row.file.open("rb") as stream:  # type: ignore[attr-defined]
            return base64.b64encode(stream.read()).decode("ascii")
    except OSError:
        return "the file is missing"


def _notes(file: PersonFile) -> list[str]:
    notes = ["Health notes and signed records are given in full; keep this file to yourself."]
    if "client" not in file.tables and "participant" in file.tables:
        notes.append("The bookings and the money are the booker's and not in this file.")
    if get_user_model().objects.filter(email__iexact=file.email).exists():
        notes.append("Somebody signs in to the desk with this address; the login is not in it.")
    return notes if file.tables else []


def participants_with(email: str) -> QuerySet[Participant]:
    """People of parties with this address: their own, or that of the client who they are."""
    client = Q(is_client=True, email="", party__client__email__iexact=email)
    return Participant.objects.filter(Q(email__iexact=email) | client)


def people_with(email: str) -> tuple[list[Client], list[Participant], list[Guardian]]:
    """Bookers, people of parties and guardians with this address."""
    return (
        list(Client.objects.filter(email__iexact=email)),
        list(participants_with(email).select_related("party")),
        list(Guardian.objects.filter(email__iexact=email).select_related("ward")),
    )
