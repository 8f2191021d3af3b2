"""What goes out when a page breaks: lines of code, and nothing that a person typed or we hold."""

from __future__ import annotations

import inspect
from collections.abc import Iterator
from typing import Any
from unittest.mock import patch

import pytest
import time_machine
from django.core import mail
from django.db import IntegrityError
from django.forms import BaseForm
from django.http import QueryDict
from django.test import Client, RequestFactory
from django.urls import URLPattern, URLResolver, get_resolver
from django.views.debug import get_exception_reporter_class

from bookings.actions.party_links import make_party_link
from bookings.models import Participant, TextVersion
from bookings.queries.signers import of_person
from tests.factories_signing import NOON, booked_trip, link_of, on_board

pytestmark = pytest.mark.once

SECRET = "penicillin-1961-04-30"
# Fields that hold health words, birth dates, signatures, secrets, or free words about a person.
PERSONAL = {
    *("born_on", "youngest_born_on", "drawn", "typed", "signer_name", "told", "wishes", "harm"),
    *("statement", "people", "password", "keys", "relation", "contact_phone", "comment"),
}


class BrokenError(Exception):
    pass


def _clean_and_break(form: BaseForm) -> None:
    """A page that breaks at the worst moment, with everything in its variables and its words."""
    cleaned, data = {name: form.data.get(name) for name in form.fields}, form.data
    try:
        raise IntegrityError(f"no such row\nDETAIL: Failing row contains ({data} {cleaned}).")
    except IntegrityError as error:
        broken = BrokenError(f"cannot read {data}")
        broken.add_note(str(data))
        raise broken from error


@pytest.fixture
def broken(settings: Any) -> Iterator[None]:
    settings.ADMINS = [("The guide", "guide@example.org")]
    with patch.object(BaseForm, "full_clean", _clean_and_break):
        yield


def _views() -> Iterator[tuple[str, Any]]:
    def walk(rows: list[Any]) -> Iterator[URLPattern]:
        for row in rows:
            if isinstance(row, URLResolver):
                yield from walk(row.url_patterns)
            else:
                yield row

    for pattern in walk(get_resolver().url_patterns):
        if pattern.callback.__module__.split(".")[0] in {"guiding", "bookings", "equipment"}:
            yield str(pattern.name), pattern.callback


def _marked(view: Any) -> bool:
    while view is not None:
        if view.__code__.co_name == "sensitive_post_parameters_wrapper":
            return True
        view = getattr(view, "__wrapped__", None)
    return False


def _field_names(form: type[BaseForm]) -> set[str]:
    """The fields of a form, those too that it makes when it is made."""
    made = {
        word
        for each in form.__mro__
        if "__init__" in vars(each) and hasattr(each.__init__, "__code__")
        for word in each.__init__.__code__.co_consts
        if isinstance(word, str)
    }
    return made | set(form.base_fields)  # type: ignore[attr-defined]


def test_every_view_with_a_personal_field_is_marked() -> None:
    asking, left_open = set(), set()
    for name, view in _views():
        plain = inspect.unwrap(view)
        used = set(plain.__code__.co_names)
        for helper in used & set(plain.__globals__):  # `ask` leaves its form to `_ask`
            inner = plain.__globals__[helper]
            if helper.startswith("_") and inspect.isfunction(inner):
                used |= set(inner.__code__.co_names)
        for known in used & set(plain.__globals__):
            form = plain.__globals__[known]
            if not (inspect.isclass(form) and issubclass(form, BaseForm)):
                continue
            if PERSONAL & _field_names(form):
                asking.add(name)
                if not _marked(view):
                    left_open.add(f"{name}: {known}")
    assert left_open == set()
    assert asking >= {
        *("sign_form", "sign_birthday", "signing_paper", "client_person_new", "client_person"),
        *("ask", "person", "person_new", "party_new", "incident_new", "incident", "first_run"),
    }


# Words about a person under field names that say nothing: marked by hand.
@pytest.mark.parametrize("name", ["client_ask", "party_paste", "health_open", "rights_file"])
def test_free_words_about_a_person_are_marked(name: str) -> None:
    assert _marked(dict(_views())[name])


def _addresses() -> dict[str, str]:
    trip = booked_trip()
    person = on_board(trip, "Maeve")
    _, token = link_of(of_person(person), trip)
    unborn = on_board(trip, "Nora", born_on=None)
    party = Participant.objects.get(pk=person.pk).party
    return {
        "sign": f"/sign/{token}/{person.pk}/",
        "born": f"/sign/{link_of(of_person(unborn), trip)[1]}/{unborn.pk}/born/",
        "client": f"/my/{make_party_link(party=party)}/people/{person.pk}/",
        "told": f"/parties/{party.pk}/people/{person.pk}/",
        "incident": "/safety/incidents/new/",
        "paste": "/parties/paste/",
    }


@pytest.mark.parametrize("name", ["sign", "born", "client", "told", "incident", "paste"])
@pytest.mark.parametrize("debug", [False, True], ids=["mail", "technical page"])
def test_no_report_carries_what_was_typed(
    desk: Client, broken: None, settings: Any, name: str, debug: bool
) -> None:
    with time_machine.travel(NOON, tick=False):
        address = _addresses()[name]
        settings.DEBUG = debug
        desk.raise_request_exception = False
        # One field's name is read by every form; a list holds the words twice.
        fields = ("born_on", "told", "allergy_note", "drawn", "typed", "what", "text", "more")
        typed: dict[str, Any] = {field: [f"{SECRET} a", f"{SECRET} b"] for field in fields}
        answer = desk.post(address, typed | {"texts": str(TextVersion.objects.earliest("pk").pk)})
    assert answer.status_code == 500
    if debug:
        report = answer.content.decode()
    else:
        (sent,) = mail.outbox
        report = str(sent.body) + str(sent.alternatives)
        assert SECRET not in answer.content.decode()
    assert "BrokenError" in report, "the report still says what broke"
    assert "_clean_and_break" in report, "and where"
    assert "IntegrityError" in report
    assert "born_on" in report, "the names of the fields may be told"
    assert SECRET not in report


def test_an_unmarked_page_tells_no_values_either_unless_it_is_a_developers(settings: Any) -> None:
    request = RequestFactory().post("/setup/", {"name": SECRET})
    try:
        _clean_and_break(_Form(request.POST))
    except BrokenError as error:
        raised = error
    for debug in (False, True):
        settings.DEBUG = debug
        report = get_exception_reporter_class(request)(
            request, type(raised), raised, raised.__traceback__
        )
        data = report.get_traceback_data()
        causes, shown = (
            [frame["exc_cause"] for frame in data["frames"]],
            data["filtered_POST_items"],
        )
        assert "no such row" in str(causes)
        assert (SECRET in str(causes)) is debug, "the row that the database would not take"
        assert (SECRET in str(shown)) is debug


class _Form(BaseForm):
    base_fields: dict[str, Any] = {}

    def __init__(self, data: QueryDict) -> None:
        self.data, self.fields = data, {}
