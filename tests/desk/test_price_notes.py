"""A price note goes by mail with its paper and a link that opens, by rule or by hand, once."""

from __future__ import annotations

import datetime
import re
import uuid
from collections.abc import Iterator
from typing import Any

import pytest
import time_machine
from django.core.exceptions import ValidationError
from django.test import Client as Browser

from bookings.actions.party_links import make_party_link
from bookings.actions.quotes import accept_quote, send_quote
from bookings.actions.sending import send_due
from bookings.models import Message, MessageKind, PartyLink, Quote
from bookings.rules.mail import enclosed_files
from guiding.desk.actions.messages import run_scheduler
from guiding.desk.actions.price_notes import send_price_note
from guiding.desk.sheets.money import full_quotes, quote_paper
from tests.bookings.mail_server import Server
from tests.factories import NOON
from tests.factories_bookings import quoted, sent
from tests.papers import reading

pytestmark = pytest.mark.django_db
MINUTE = datetime.timedelta(minutes=1)


@pytest.fixture
def server(settings: Any) -> Iterator[Server]:
    with Server().open() as opened:
        settings.EMAIL_BACKEND = "django.core.mail.backends.smtp.EmailBackend"
        settings.EMAIL_HOST, settings.EMAIL_PORT = "127.0.0.1", opened.port
        settings.EMAIL_USE_TLS = False
        settings.EMAIL_HOST_USER = settings.EMAIL_HOST_PASSWORD = ""
        yield opened


@pytest.fixture
def draft(business: Any) -> Quote:
    return quoted(starts_at=NOON + 30 * DAY, ends_at=NOON + 30.4 * DAY)


DAY = datetime.timedelta(days=1)


def mails() -> Any:
    return Message.objects.filter(kind=MessageKind.PRICE_NOTE)


def a_round(minutes: int) -> None:
    at = NOON + minutes * MINUTE
    run_scheduler(at=at)
    send_due(at=lambda: at)


def test_by_hand_a_draft_is_sent_with_its_paper_and_a_link_that_opens(
    server: Server, draft: Quote, client: Browser
) -> None:
    once = uuid.uuid4()
    assert send_price_note(quote=draft, once=once, at=NOON) is not None
    assert send_price_note(quote=draft, once=once, at=NOON) is None
    draft.refresh_from_db()
    assert (draft.status, draft.sent_at) == (Quote.Status.SENT, NOON)
    assert PartyLink.objects.count() == 1
    for minutes in (1, 2, 3):  # the rule knows that it has gone
        a_round(minutes)
    ((to, raw),) = server.taken
    assert to == draft.party.client.email
    words = server.mails[0].get_body().get_content()  # type: ignore[union-attr]
    (path,) = re.findall(r"/my/[\w-]+/", words)
    (file,) = enclosed_files(raw)
    assert file.name == f"price-note-{draft.pk:05d}.pdf"
    assert path.strip("/").split("/")[1] in "".join(reading.text(file.content).split())
    with time_machine.travel(NOON + 5 * MINUTE, tick=False):
        page = client.get(path)
    assert page.status_code == 200
    assert draft.offer_name in page.content.decode()


def test_what_the_rule_has_mailed_goes_again_only_by_hand(server: Server, draft: Quote) -> None:
    send_quote(quote=draft, at=NOON)
    a_round(1)
    a_round(2)
    assert mails().count() == 1
    assert send_price_note(quote=draft, once=uuid.uuid4(), at=NOON + 3 * MINUTE) is not None
    a_round(4)
    assert mails().count() == 2
    assert len({row.body for row in mails()}) == 2  # each has a link of its own


def test_a_price_that_is_agreed_or_has_run_out_is_not_mailed(draft: Quote) -> None:
    send_quote(quote=draft, at=NOON)
    with pytest.raises(ValidationError, match="no longer open"):
        send_price_note(quote=draft, once=uuid.uuid4(), at=draft.valid_until)
    accept_quote(quote=draft, at=NOON)
    with pytest.raises(ValidationError, match="no longer open"):
        send_price_note(quote=draft, once=uuid.uuid4(), at=NOON)
    assert not mails().exists()


def test_a_price_ten_days_before_lists_only_the_terms_that_can_still_happen(
    business: Any, client: Browser
) -> None:
    quote = sent(starts_at=NOON + 10 * DAY, ends_at=NOON + 10.4 * DAY)
    paper = reading.text(quote_paper(full_quotes().get(pk=quote.pk)))
    with time_machine.travel(NOON, tick=False):
        own = client.get(f"/my/{make_party_link(party=quote.party)}/").content.decode()
    for said in (paper, own):
        assert "The deposit is kept." in said
        assert "The whole price is charged;" in said
        for over in ("Nothing is charged", "The deposit moves to another date"):
            assert over not in said


def test_without_an_address_nothing_is_sent_and_the_draft_stays_one(draft: Quote) -> None:
    type(draft.party.client).objects.filter(pk=draft.party.client_id).update(email="")
    with pytest.raises(ValidationError, match="has no mail address"):
        send_price_note(quote=draft, once=uuid.uuid4(), at=NOON)
    draft.refresh_from_db()
    assert draft.status == Quote.Status.DRAFT
    assert not PartyLink.objects.exists()


def test_the_page_shows_the_words_first_and_says_what_went(desk: Browser, draft: Quote) -> None:
    address = f"/money/quotes/{draft.pk}/"
    type(draft.party.client).objects.filter(pk=draft.party.client_id).update(language="de")
    with time_machine.travel(NOON, tick=False):
        assert f"{address}send/" in desk.get(address).content.decode()
        given = desk.get(f"{address}send/").context["form"].initial
        assert given["subject"].startswith("Ihr Preis")
        seen = desk.post(f"{address}send/", given | {"look": "1"}).content.decode()
        assert "/my/…/" in seen
        assert not PartyLink.objects.exists()
        given["body"] += "\nBis bald!"
        for _ in range(2):
            assert desk.post(f"{address}send/", given | {"send": "1"}).status_code == 302
        assert mails().get().body.rstrip().endswith("Bis bald!")
        assert "queued" in desk.get(address).content.decode()
        again = " ".join(desk.get(f"{address}send/").content.decode().split())
        assert "Mailed before" in again
    accept_quote(quote=Quote.objects.get(pk=draft.pk), at=NOON)
    with time_machine.travel(NOON, tick=False):
        assert f"{address}send/" not in desk.get(address).content.decode()
        assert desk.get(f"{address}send/").status_code == 302
