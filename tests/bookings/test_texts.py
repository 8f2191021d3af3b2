"""Texts: drafts, numbered versions that stand, and who must sign again."""

from __future__ import annotations

import datetime
from typing import Any

import pytest
from django.contrib.auth.models import Permission
from django.core.exceptions import ValidationError
from django.test import Client as Browser

from bookings.actions.handed_in import by_link
from bookings.actions.signatures import sign
from bookings.actions.texts import (
    publish_starting_texts,
    publish_text,
    save_draft,
    take_starting_texts,
)
from bookings.models import Again, TextDraft, TextKind, TextVersion
from bookings.queries.signatures import outstanding
from bookings.queries.signers import of_person
from bookings.queries.texts import (
    signers_asked_again,
    starting_texts,
    text_states,
    texts_in,
)
from bookings.rules.evidence import text_fingerprint
from tests.bookings.reading import problems, told
from tests.factories import NOON, UserFactory
from tests.factories_signing import (
    CHILD,
    booked_trip,
    form_of,
    guardian_form,
    link_of,
    on_board,
    published,
    signed,
)

LATER = NOON + datetime.timedelta(hours=2)


def test_ten_texts_ship_in_two_languages_and_say_what_they_are() -> None:
    texts = starting_texts()
    assert {(text.kind, text.language) for text in texts} == {
        (kind, language) for kind in TextKind.values for language in ("en", "de")
    }
    for text in texts:
        first = text.body.split("\n", 1)[0]
        assert first.startswith("["), "each is marked as a start"
        assert "lawyer" in first or "Anw" in first
        assert text.title
        assert "#" not in text.title
    shields = {
        (text.kind, text.language)
        for text in texts
        if "not a shield" in text.body or "kein Schutzschild" in text.body
    }
    assert shields >= {("risks", "en"), ("risks", "de"), ("guardian", "en"), ("guardian", "de")}


@pytest.mark.django_db
def test_a_starting_text_is_not_published_while_its_mark_is_in_it() -> None:
    take_starting_texts(at=NOON)
    with pytest.raises(ValidationError, match="lawyer of the place"):
        publish_text(kind="risks", language="en", again="nobody", at=NOON)
    draft = TextDraft.objects.get(kind="risks", language="en")
    save_draft(
        kind="risks",
        language="en",
        title=draft.title,
        body=draft.body.split("\n", 1)[1],
        at=NOON,
    )
    version = publish_text(kind="risks", language="en", again="nobody", at=NOON)
    assert version.number == 1


@pytest.mark.django_db
def test_starting_texts_never_overwrite_a_draft() -> None:
    save_draft(kind="risks", language="en", title="Ours", body="Our own words.", at=NOON)
    assert len(take_starting_texts(at=NOON)) == 9
    assert TextDraft.objects.get(kind="risks", language="en").body == "Our own words."
    assert take_starting_texts(at=NOON) == []


@pytest.mark.django_db
def test_versions_count_per_language_and_the_old_one_stands() -> None:
    published()
    first = TextVersion.objects.get(kind="risks", language="en")
    words, mark = first.full_text, first.sha256
    save_draft(kind="risks", language="en", title="New", body="Other words.", at=LATER)
    second = publish_text(
        kind="risks", language="en", again=Again.EVERYBODY, change_note="rocks added", at=LATER
    )
    first.refresh_from_db()
    assert (first.number, second.number) == (1, 2)
    assert (first.full_text, first.sha256) == (words, mark) == (words, text_fingerprint(words))
    assert TextVersion.objects.filter(kind="risks", language="de").get().number == 1
    assert texts_in("en", ["risks"], at=LATER)["risks"] == second
    assert texts_in("en", ["risks"], at=NOON)["risks"] == first, "asked of an earlier moment"
    assert texts_in("de", ["risks"], at=LATER)["risks"].language == "de"


@pytest.mark.django_db
def test_a_language_that_is_not_out_falls_back_to_english() -> None:
    published()
    assert {text.language for text in texts_in("fr", ["risks", "terms"], at=NOON).values()} == {
        "en"
    }


@pytest.mark.django_db
def test_the_same_words_are_not_a_new_version() -> None:
    published()
    with pytest.raises(ValidationError, match="Version 1 says exactly this"):
        publish_text(kind="terms", language="en", again="everybody", at=LATER)
    with pytest.raises(ValidationError, match="There is no draft"):
        publish_text(kind="terms", language="fr", again="everybody", at=LATER)


@pytest.mark.django_db
def test_what_is_seen_is_what_is_signed() -> None:
    """Line ends of any system, blanks at the ends: one text."""
    draft = save_draft(
        kind="risks",
        language="en",
        title="  Two   words ",
        body="\r\nOne \r\n\r\nTwo\rThree  \n",
        at=NOON,
    )
    assert draft.full_text == "Two words\n\nOne\n\nTwo\nThree"


def _new_version(kind: str, again: str, language: str = "en") -> TextVersion:
    save_draft(kind=kind, language=language, title="New", body=f"New {again}.", at=LATER)
    return publish_text(kind=kind, language=language, again=again, at=LATER)


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("again", "adult", "child"),
    [("nobody", False, False), ("minors", False, True), ("everybody", True, True)],
)
def test_a_new_version_says_who_signs_again(again: str, adult: bool, child: bool) -> None:
    trip = booked_trip()
    maeve = on_board(trip, "Maeve")
    finn = on_board(trip, "Finn", born_on=CHILD, guardian=maeve)
    signed(trip, maeve)
    signed(trip, finn, signer=of_person(maeve), form=guardian_form("Maeve", responsible=maeve))
    assert outstanding(trip, at=LATER).ready
    counted = signers_asked_again("risks", "en", again, at=LATER)
    _new_version("risks", again)

    stand = outstanding(trip, at=LATER)
    missing = {state.person for state in stand.missing}
    assert missing == {person for person, asked in ((maeve, adult), (finn, child)) if asked}
    assert counted == (len(missing), 1 if missing else 0)
    for state in stand.missing:
        assert [need.why for need in state.needs] == [
            "risk acknowledgement signed in version 1, out is 2"
        ]
    assert outstanding(trip, at=NOON).ready, "as of an earlier moment nothing was missing"


@pytest.mark.django_db
def test_a_version_in_another_language_asks_nobody_who_signed_in_this_one() -> None:
    trip = booked_trip(heads=1)
    maeve = on_board(trip, "Maeve")
    signed(trip, maeve, language="de")
    _new_version("risks", "everybody", language="en")
    assert outstanding(trip, at=LATER).ready
    _new_version("risks", "everybody", language="de")
    assert not outstanding(trip, at=LATER).ready


@pytest.mark.django_db
def test_a_version_that_came_out_after_the_trip_asks_nobody() -> None:
    trip = booked_trip(heads=1)
    signed(trip, on_board(trip, "Maeve"))
    after = trip.ends_at + datetime.timedelta(days=1)
    save_draft(kind="risks", language="en", title="New", body="New.", at=after)
    publish_text(kind="risks", language="en", again="everybody", at=after)
    assert outstanding(trip, at=after).ready


@pytest.mark.django_db
def test_signing_again_after_a_new_version() -> None:
    trip = booked_trip(heads=1)
    maeve = on_board(trip, "Maeve")
    signed(trip, maeve)
    _new_version("risks", "everybody")
    records = signed(trip, maeve, at=LATER)
    assert [(each.text.kind, each.text.number) for each in records] == [("risks", 2)]
    assert outstanding(trip, at=LATER).ready


@pytest.mark.django_db
def test_reading_the_old_version_while_a_new_one_comes_out() -> None:
    trip = booked_trip(heads=1)
    maeve = on_board(trip, "Maeve")
    old = list(texts_in("en", ("risks",), at=NOON).values())
    _new_version("risks", "everybody")
    link, _ = link_of(of_person(maeve), trip)
    with pytest.raises(ValidationError, match="changed while you were reading"):
        sign(
            trip=trip,
            person=maeve,
            signer=of_person(maeve),
            texts=old,
            form=form_of(maeve),
            how=by_link(link, address="", agent=""),
            at=LATER,
        )


@pytest.mark.django_db
def test_the_setup_pages_from_start_to_a_version(desk: Browser) -> None:
    page = desk.get("/setup/texts/").content.decode()
    assert "record, not a shield" in page
    assert desk.post("/setup/texts/start/").status_code == 302
    assert len([state for state in text_states() if state.draft]) == 10

    answer = desk.post("/setup/texts/risks/en/out/", {"checked_by": ""})
    assert answer.status_code == 422
    assert "lawyer of the place" in problems(answer.content.decode())
    assert not TextVersion.objects.exists()

    body = "<script>alert(1)</script>\n\nSecond paragraph & more."
    answer = desk.post("/setup/texts/risks/en/draft/", {"title": "Risks", "body": body})
    assert answer.headers["Location"] == "/setup/texts/risks/en/"
    page = desk.get("/setup/texts/risks/en/").content.decode()
    assert "<script>alert" not in page
    assert "&lt;script&gt;alert(1)&lt;/script&gt;" in page

    answer = desk.post("/setup/texts/risks/en/out/", {"checked_by": "A. Lawyer, 2026"}, follow=True)
    assert "Version 1 is out." in told(answer.content.decode())
    version = TextVersion.objects.get()
    assert version.checked_by == "A. Lawyer, 2026"
    page = desk.get("/setup/texts/risks/en/1/").content.decode()
    assert version.sha256 in page
    assert "None" not in page


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("change", "sentence"),
    [
        ({"title": ""}, "This field is required."),
        ({"body": ""}, "This field is required."),
        ({"title": "T" * 300}, "at most 120 characters"),
        ({"body": "b" * 20001}, "at most 20000 characters"),
    ],
)
def test_a_wrong_draft_is_refused_and_kept(
    desk: Browser, change: dict[str, Any], sentence: str
) -> None:
    good = {"title": "Risks kept", "body": "Body kept."}
    answer = desk.post("/setup/texts/risks/en/draft/", good | change)
    page = answer.content.decode()
    assert answer.status_code == 422
    assert sentence in problems(page)
    assert "kept" in page
    assert not TextDraft.objects.exists()


@pytest.mark.django_db
def test_no_such_text(desk: Browser) -> None:
    for address in (
        "/setup/texts/poem/en/",
        "/setup/texts/risks/en/7/",
        "/setup/texts/poem/en/draft/",
    ):
        assert desk.get(address).status_code == 404
    answer = desk.post("/setup/texts/risks/EN US/draft/", {"title": "T", "body": "B"})
    assert answer.status_code == 422
    assert not TextDraft.objects.exists()


@pytest.mark.django_db
def test_who_may_do_what_with_texts(client: Browser, business: Any) -> None:
    publish_starting_texts(checked_by="nobody", at=NOON)
    assert client.get("/setup/texts/").status_code == 302, "a stranger is led to the door"
    helper = UserFactory()
    helper.user_permissions.set(
        Permission.objects.filter(content_type__app_label="bookings", codename__startswith="view_")
    )
    client.force_login(helper, backend="allauth.account.auth_backends.AuthenticationBackend")
    assert client.get("/setup/texts/").status_code == 200
    assert client.get("/setup/texts/risks/en/").status_code == 200
    for address in ("draft/", "out/"):
        answer = client.post(f"/setup/texts/risks/en/{address}", {"title": "T", "body": "B"})
        assert answer.status_code == 403
    assert client.post("/setup/texts/start/").status_code == 403
