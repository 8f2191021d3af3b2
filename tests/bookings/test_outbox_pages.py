"""The pages of mail: what is seen, what is done about it, what Today says."""

from __future__ import annotations

import pytest
from django.test import Client

from bookings.actions import outbox
from bookings.models import Message
from bookings.rules.mail import Enclosed
from tests.factories import NOON
from tests.factories_messages import queued

pytestmark = pytest.mark.django_db


def test_a_mail_is_shown_as_it_was_written_with_its_files(desk: Client) -> None:
    paper = Enclosed('tr"ip<.pdf', "application/pdf", b"%PDF-1.7 words")
    row = queued(subject="<script>alert(1)</script>", body="<b>Hello</b>", enclosed=[paper])
    listed = desk.get("/messages/").content.decode()
    assert "&lt;script&gt;alert(1)" in listed
    assert "<script>alert" not in listed
    shown = desk.get(f"/messages/{row.pk}/").content.decode()
    assert "&lt;b&gt;Hello" in shown
    file = desk.get(f"/messages/{row.pk}/files/1/")
    assert file.content == paper.content
    assert file["Content-Disposition"] == 'attachment; filename="tr_ip_.pdf"'
    assert desk.get(f"/messages/{row.pk}/files/2/").status_code == 404


def test_trouble_stands_on_today_until_it_is_settled(desk: Client) -> None:
    row = queued()
    claimed = outbox.claim_next(at=NOON)
    assert claimed is not None
    outbox.mark_failed(message=claimed, error="550 no such person", for_good=True, at=NOON)
    page = desk.get("/").content.decode()
    assert "550 no such person" in page
    assert "not delivered" in page
    desk.post(f"/messages/{row.pk}/again/")
    assert "550 no such person" not in desk.get("/").content.decode()
    assert Message.objects.get().state == "queued"


def test_what_cannot_be_done_is_refused_with_a_sentence(desk: Client) -> None:
    row = queued()
    for step, sentence in (
        ("again", "not delivered"),
        ("arrived", "not in doubt"),
        ("bounced", "Say what"),
    ):
        page = desk.post(f"/messages/{row.pk}/{step}/", follow=True).content.decode()
        assert sentence in page
    assert Message.objects.get().state == "queued"
    desk.post(f"/messages/{row.pk}/withdraw/")
    assert Message.objects.get().state == "withdrawn"


def test_a_list_of_a_thousand_asks_no_more_than_one_of_ten(
    desk: Client, django_assert_max_num_queries: object
) -> None:
    for n in range(60):
        queued(n)
    with django_assert_max_num_queries(12):  # type: ignore[operator]
        assert desk.get("/messages/?state=queued&party=x").status_code == 200


def test_the_count_over_the_mail_is_that_of_what_is_said(desk: Client) -> None:
    for n in range(3):
        queued(n)
    page = desk.get("/").content.decode()
    assert '<h2>Mail <span class="quiet">3</span></h2>' in page
    assert "3\N{NO-BREAK SPACE}mails are late" in page
