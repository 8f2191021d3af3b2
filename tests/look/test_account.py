"""Signing in, the second factor and the refusals: in our look, in our words, by our rules."""

from __future__ import annotations

import pytest
from allauth.mfa.totp.internal.auth import TOTP, generate_totp_secret
from django.contrib.auth.models import User
from django.core import mail
from django.test import Client

from tests.look.markup import elements, every, one

PASSWORD = "sand and spike 26"  # as the factory of users sets it
OPEN = [
    "/account/login/", "/account/password/reset/", "/account/password/reset/done/",
    "/account/password/reset/key/1-abc/", "/account/signup/",
]  # fmt: skip
INSIDE = [
    "/account/logout/", "/account/password/change/", "/account/email/", "/account/2fa/",
    "/account/reauthenticate/",
]  # fmt: skip


def _page(client: Client, address: str) -> str:
    answer = client.get(address)
    assert answer.status_code == 200, address
    return answer.content.decode()


def _is_in_our_look(html: str) -> None:
    assert len(every(html, "h1")) == 1
    assert one(html, "main")
    assert "/static/sandspike/desk" in one(html, "link", rel="stylesheet").attrs["href"]
    assert not every(html, "script", src=None)
    for control in every(html, "input"):
        if control.attrs.get("type") != "hidden":
            labels = [e for e in every(html, "label") if e.attrs["for"] == control.attrs["id"]]
            assert labels, control
            assert "placeholder" not in control.attrs


@pytest.mark.parametrize("address", OPEN)
def test_pages_before_the_door(client: Client, business: object, address: str) -> None:
    html = _page(client, address)
    _is_in_our_look(html)
    assert not every(html, "nav")


@pytest.mark.parametrize("address", INSIDE)
def test_pages_behind_the_door(desk: Client, address: str) -> None:
    _is_in_our_look(_page(desk, address))


def test_signing_in(client: Client, owner: User) -> None:
    html = _page(client, "/account/login/")
    login = one(html, "input", name="login").attrs
    assert (login["type"], login["autocomplete"]) == ("email", "email")
    assert one(html, "input", name="password").attrs["autocomplete"] == "current-password"
    answer = client.post("/account/login/", {"login": owner.email, "password": PASSWORD})
    assert answer.status_code == 302


def test_a_wrong_password_keeps_the_address_and_not_the_password(
    client: Client, owner: User
) -> None:
    answer = client.post("/account/login/", {"login": owner.email, "password": "wrong one"})
    html = answer.content.decode()
    assert one(html, "div", class_="problems").attrs["role"] == "alert"
    assert one(html, "input", name="login").attrs["value"] == owner.email
    assert "value" not in one(html, "input", name="password").attrs


def test_the_second_factor_is_set_up_and_asked_for(
    desk: Client, owner: User, client: Client
) -> None:
    from allauth.account.models import EmailAddress

    EmailAddress.objects.update_or_create(
        user=owner, email=owner.email, defaults={"verified": True, "primary": True}
    )
    desk.post("/account/reauthenticate/", {"password": PASSWORD})
    html = _page(desk, "/account/2fa/totp/activate/")
    _is_in_our_look(html)
    assert one(html, "img").attrs["src"].startswith("data:image/svg+xml")
    refused = desk.post("/account/2fa/totp/activate/", {"code": "000000"}).content.decode()
    assert one(refused, "div", class_="problems")
    secret = generate_totp_secret()
    TOTP.activate(owner, secret)
    _is_in_our_look(_page(desk, "/account/2fa/"))
    _is_in_our_look(_page(desk, "/account/2fa/totp/deactivate/"))
    _is_in_our_look(_page(desk, "/account/2fa/recovery-codes/generate/"))
    desk.post("/account/2fa/recovery-codes/generate/")
    codes = _page(desk, "/account/2fa/recovery-codes/")
    _is_in_our_look(codes)
    assert len(every(codes, "li")) >= 10

    fresh = Client()
    answer = fresh.post(
        "/account/login/", {"login": owner.email, "password": PASSWORD}, follow=True
    )
    asked = answer.content.decode()
    _is_in_our_look(asked)
    assert one(asked, "input", name="code").attrs["autocomplete"] == "one-time-code"


def test_an_address_that_leads_nowhere_is_answered_in_words(
    client: Client, business: object
) -> None:
    answer = client.get("/no/such/page/")
    assert answer.status_code == 404
    html = answer.content.decode()
    assert one(html, "h1").text == "Nothing at this address"
    assert len([e for e in elements(html) if e.tag == "p"]) >= 2


def test_a_form_without_its_token_is_answered_in_words(business: object) -> None:
    answer = Client(enforce_csrf_checks=True).post("/account/login/", {"login": "x"})
    assert answer.status_code == 403
    assert one(answer.content.decode(), "h1").text == "The form had grown too old to be sent"


def test_the_mail_with_the_link_is_plain_and_ours(client: Client, owner: User) -> None:
    answer = client.post("/account/password/reset/", {"email": owner.email})
    assert answer.status_code == 302
    (message,) = mail.outbox
    assert message.subject.endswith("A new password for the desk")
    link = next(line for line in message.body.splitlines() if line.startswith("http"))
    assert "/account/password/reset/key/" in link
    assert "The link works once." in message.body
    page = client.get(link.removeprefix("http://testserver"), follow=True).content.decode()
    _is_in_our_look(page)
    assert len(every(page, "input", autocomplete="new-password")) == 2


def test_a_mail_to_an_unknown_address_invites_nobody(client: Client, business: object) -> None:
    client.post("/account/password/reset/", {"email": "stranger@example.org"})
    (message,) = mail.outbox
    assert "no login has this address" in message.body
    assert "http" not in message.body


def test_leaving_is_said_once(desk: Client) -> None:
    html = desk.post("/account/logout/", follow=True).content.decode()
    assert [e.text for e in every(html, "li")] == ["You are signed out."]
