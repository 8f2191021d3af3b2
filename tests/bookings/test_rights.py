"""What a person may ask for, and what the rules erase by themselves."""

from __future__ import annotations

import datetime
import json
import stat
from io import StringIO
from pathlib import Path
from typing import Any

import pytest
import time_machine
from django.apps import apps
from django.core.exceptions import ValidationError
from django.core.files.storage import default_storage
from django.core.management import CommandError, call_command
from django.db import models
from django.test import Client as Browser

from bookings.actions.paper import photo_of_sheet, sign_on_paper
from bookings.actions.parties import close_party
from bookings.actions.people import name_guardian
from bookings.actions.retention import carry_out, hold_trip, set_rule
from bookings.actions.rights import FORGOTTEN, erase_person, give_person_file
from bookings.models import (
    BrowserTrace,
    ChainRecord,
    Client,
    Guardian,
    HealthLog,
    HealthNote,
    MoneyEntry,
    OwedCopy,
    PaperSheet,
    Participant,
    Party,
    RetentionRule,
    RetentionRun,
    Signature,
    SigningLink,
    Trip,
)
from bookings.queries.evidence import check_chain
from bookings.queries.records import signed_record
from bookings.queries.retention import due_by_kind, rules_in_force
from bookings.queries.rights import HOUSES, mail_fields, person_file
from bookings.queries.signatures import outstanding
from bookings.queries.signers import of_guardian, of_person
from bookings.queries.texts import texts_in
from bookings.rules.retention import KEEP_RULES, Kept
from tests.bookings.reading import in_one_line, problems, told
from tests.factories import NOON, ClientFactory, PartyFactory, UserFactory
from tests.factories_bookings import agreed, quoted
from tests.factories_signing import (
    ALLERGIC,
    CHILD,
    SECRET_WORDS,
    booked_trip,
    form_of,
    guardian_form,
    link_of,
    on_board,
    signed,
)
from tests.photographs import photograph

pytestmark = pytest.mark.django_db
MAIL = "maeve@example.org"
DAY = datetime.timedelta(days=1)


def family() -> Trip:
    """Maeve booked, comes and signs; so does Tomas; Niamh signs for Finn from afar."""
    trip = booked_trip(heads=3)
    client = trip.bookings.get().party.client
    client.given_name, client.email, client.note = "Maeve", MAIL.upper(), "likes dawn"
    client.save()
    maeve = on_board(trip, "Maeve", email=MAIL, phone="+35315550101")
    tomas = on_board(trip, "Tomas", email="tomas@example.org")
    finn = on_board(trip, "Finn", born_on=CHILD)
    niamh = name_guardian(ward=finn, name="Niamh Skerry", email="niamh@example.org")
    signed(trip, maeve, form=form_of(maeve, health=ALLERGIC, copy_to=MAIL))
    signed(trip, tomas)
    signed(trip, finn, signer=of_guardian(niamh), form=guardian_form("Niamh Skerry"))
    return trip


AFTER = datetime.datetime(2026, 7, 1, 12, tzinfo=datetime.UTC)


# ------------------------------------------------------------------ one file


def test_everything_of_one_person_and_nothing_of_another() -> None:
    family()
    written = json.dumps(person_file(MAIL, at=NOON).as_json(), ensure_ascii=False)
    for hers in (MAIL, "+35315550101", "likes dawn", SECRET_WORDS, "A browser"):
        assert hers in written
    for others in ("tomas@example.org", "niamh@example.org", "+353 1 555 0123"):
        assert others not in written
    tables = person_file(MAIL, at=NOON).tables
    assert {"client", "party", "booking", "participant", "signature", "healthnote"} <= set(tables)
    assert len(tables["signature"]) == 4
    assert tables["signature"][0]["sealed"]["mark_kind"] == "drawn"
    assert set(person_file(MAIL, at=NOON).people_of_my_parties) == {"Maeve", "Tomas", "Finn"}


def test_a_file_holds_no_secret_and_no_working_figure() -> None:
    trip = family()
    quoted()
    link, token = link_of(of_person(Participant.objects.get(given_name="Maeve")), trip)
    written = json.dumps(person_file(MAIL, at=NOON).as_json())
    assert token not in written
    assert link.token_hash not in written
    assert "cost_estimate" not in written
    assert '"salt"' not in written


def test_somebody_who_only_came_along() -> None:
    family()
    file = person_file("TOMAS@example.org", at=NOON)
    assert "client" not in file.tables
    assert any("the booker's" in note for note in file.notes)
    assert len(file.tables["participant"]) == 1
    assert len(file.tables["signature"]) == 4


def test_a_guardian_gets_what_they_signed_for_the_child() -> None:
    family()
    file = person_file("niamh@example.org", at=NOON)
    assert len(file.tables["signature"]) == 4
    assert {row["sealed"]["signed_for"] for row in file.tables["signature"]} == {"Finn"}
    assert len(file.tables["healthnote"]) == 1
    assert "client" not in file.tables


def test_how_a_row_read_before_is_in_the_file() -> None:
    family()
    client = Client.objects.get(email__iexact=MAIL)
    client.note = "likes dusk"
    client.save()
    rows = person_file(MAIL, at=NOON).tables["client"]
    assert rows[0]["note"] == "likes dusk"
    assert any(row.get("earlier", {}).get("note") == "likes dawn" for row in rows)


def test_giving_it_away_is_a_look_at_the_health_notes() -> None:
    family()
    give_person_file(email=MAIL, by="a test", at=NOON)
    log = HealthLog.objects.get()
    assert (log.act, log.by, log.why) == ("exported", "a test", "asked for by the person")


def test_nothing_is_kept_of_a_stranger() -> None:
    family()
    with pytest.raises(ValidationError, match="Nothing is kept of"):
        give_person_file(email="stranger@example.org", at=NOON)
    with pytest.raises(ValidationError, match="Nothing is kept of"):
        erase_person(email="stranger@example.org", by="a test", at=NOON)


def test_the_command_writes_a_file_of_ones_own(tmp_path: Path) -> None:
    family()
    out = tmp_path / "maeve.json"
    call_command("person_data", MAIL, "--out", str(out), stdout=StringIO())
    assert stat.S_IMODE(out.stat().st_mode) == 0o600
    assert json.loads(out.read_text(encoding="utf-8"))["person"] == MAIL
    before = out.read_bytes()
    with pytest.raises(CommandError, match="is there already"):
        call_command("person_data", MAIL, "--out", str(out))
    assert out.read_bytes() == before


@pytest.mark.parametrize(
    ("email", "sentence"),
    [("stranger@example.org", "Nothing is kept of"), ("maeve at example", "is no mail address")],
)
def test_the_command_writes_nothing_for_nobody(email: str, sentence: str, tmp_path: Path) -> None:
    family()
    out = tmp_path / "nobody.json"
    with pytest.raises(CommandError, match=sentence):
        call_command("person_data", email, "--out", str(out))
    assert not out.exists()
    with pytest.raises(CommandError, match="cannot be written"):
        call_command("person_data", MAIL, "--out", str(tmp_path / "no" / "such" / "file"))


# Every table of the houses with somebody's mail address in it, and who takes care of it when a
# person is forgotten. A new one fails here until it is thought about.
MAILS = {
    "client": "emptied by erase_person",
    "participant": "emptied by erase_person",
    "guardian": "deleted by erase_person",
    "owedcopy": "deleted by erase_person",
    "message": "deleted by erase_person, but for letters about money",
    "tripattendee": "deleted by erase_person",
    "business": "the business itself",
    "watch": "the shore contact, who is no client; named as kept",
    "watchmessage": "what the shore contact was told; named as kept",
}


def test_every_table_with_a_mail_address_is_thought_about() -> None:
    found = {
        model._meta.model_name: model
        for house in HOUSES
        for model in apps.get_app_config(house).get_models()
        if not model.__name__.startswith("Historical")
        and any(isinstance(each, models.EmailField) for each in model._meta.concrete_fields)
    }
    assert set(found) == set(MAILS)
    for name, model in found.items():
        assert mail_fields(model), f"the walk starts at {name} too"


# ------------------------------------------------------------------ forgotten


def test_nobody_is_forgotten_before_their_trip() -> None:
    family()
    for email in (MAIL, "tomas@example.org", "niamh@example.org"):
        with pytest.raises(ValidationError, match="on a trip to come"):
            erase_person(email=email, by="a test", at=NOON)
    assert Participant.objects.filter(email=MAIL).exists()


def test_forgotten_as_far_as_the_law_lets_us() -> None:
    trip = family()
    signatures = Signature.objects.count()
    done = erase_person(email=MAIL, by="a test", at=AFTER)
    said = " ".join(done.erased)
    assert "1 health note" in said
    assert "1 person on a list" in said
    assert [line.split(" (")[0] for line in done.kept] == ["Signed records"]

    assert not HealthNote.objects.filter(participant__given_name=FORGOTTEN).exists()
    client = trip.bookings.get().party.client
    assert (client.given_name, client.email, client.phone, client.note) == (FORGOTTEN, "", "", "")
    assert not Client.history.filter(id=client.pk).exists()
    gone = Participant.objects.get(given_name=FORGOTTEN)
    assert (gone.email, gone.phone, gone.born_on) == ("", "", None)
    assert not SigningLink.objects.filter(person=gone).exists()
    assert not OwedCopy.objects.exists()
    assert Signature.objects.count() == signatures
    assert check_chain().whole
    kept = signed_record(Signature.objects.filter(participant=gone).earliest("record").pk)
    assert kept is not None
    assert kept.facts["signer_name"] == "Maeve", "the signed record says who signed"
    trace = kept.signature.trace
    assert trace is not None
    assert (trace.address, trace.agent) == ("", "")
    assert set(Participant.objects.values_list("given_name", flat=True)) == {
        FORGOTTEN,
        "Tomas",
        "Finn",
    }
    left = person_file(MAIL, at=AFTER).tables
    assert set(left) <= {"signature", "browsertrace"}, left


def test_money_keeps_the_bookers_name(business: Any) -> None:
    booking = agreed()
    client = booking.party.client
    before = list(MoneyEntry.objects.values())
    assert before
    done = erase_person(email=client.email, by="a test", at=AFTER)
    assert done.kept == [f"{client}: name, invoices and payments, as long as tax law asks."]
    name = client.given_name
    client.refresh_from_db()
    assert (client.given_name, client.email, client.phone) == (name, "", "")
    assert list(MoneyEntry.objects.values()) == before
    assert business.pk


def test_a_guardian_is_forgotten_and_what_they_signed_stands() -> None:
    family()
    erase_person(email="niamh@example.org", by="a test", at=AFTER)
    assert not Guardian.objects.exists()
    assert Signature.objects.filter(by_guardian=True, guardian=None).count() == 4
    assert check_chain().whole
    assert not HealthNote.objects.filter(participant__given_name="Finn").exists()


def test_an_incident_keeps_what_it_needs_and_says_so() -> None:
    trip = family()
    hold_trip(trip=trip, reason="Incident 4: a fall", at=AFTER)
    done = erase_person(email=MAIL, by="a test", at=AFTER)
    reasons = [line.split(" (")[0] for line in done.kept]
    assert reasons == ["Health notes", "Signed records", "Particulars"]
    maeve = Participant.objects.get(given_name="Maeve")
    assert maeve.phone == "+35315550101"
    assert HealthNote.objects.filter(participant=maeve).exists()


# ------------------------------------------------------------------ retention


def _counts(at: datetime.datetime) -> dict[str, int]:
    return {each.rule.kind.value: each.due for each in due_by_kind(at=at)}


def test_every_kind_has_a_rule_and_a_question() -> None:
    assert {rule.kind for rule in KEEP_RULES} == set(Kept)
    assert set(_counts(NOON)) == {kind.value for kind in Kept}


@pytest.mark.parametrize(
    ("kind", "event", "days", "count"),
    [
        ("health", "trip", 30, 3),
        ("trace", "signed", 90, 3),
        ("person", "trip", 1095, 3),
        ("signature", "trip", 2190, 8),
    ],
)
def test_each_kind_goes_when_its_days_are_over_and_not_before(
    kind: str, event: str, days: int, count: int
) -> None:
    trip = family()
    start = {"trip": trip.ends_at, "signed": NOON}[event]
    if kind == "signature":
        start = start.replace(hour=23)
    assert _counts(start + days * DAY - datetime.timedelta(hours=1))[kind] == 0
    late = start + days * DAY + DAY
    assert _counts(late)[kind] == count
    assert carry_out(at=late)[kind] == count
    assert _counts(late)[kind] == 0
    assert check_chain().whole


def test_a_dry_run_counts_and_touches_nothing() -> None:
    trip = family()
    late = trip.ends_at + 4000 * DAY
    before = list(ChainRecord.objects.values_list("own_hash", flat=True))
    counted = _counts(late)
    assert HealthNote.objects.count() == 3
    assert not RetentionRun.objects.exists()
    assert list(ChainRecord.objects.values_list("own_hash", flat=True)) == before
    assert carry_out(at=late) == counted
    assert RetentionRun.objects.get().erased == counted


def test_records_of_minors_are_kept_until_they_are_of_age() -> None:
    trip = family()
    carry_out(at=trip.ends_at + 2200 * DAY)
    left = Signature.objects.exclude(sealed="")
    assert set(left.values_list("by_guardian", flat=True)) == {True}
    finn_is_21 = datetime.datetime(2037, 9, 20, tzinfo=datetime.UTC)
    carry_out(at=finn_is_21)
    assert Signature.objects.exclude(sealed="").exists()
    carry_out(at=finn_is_21.replace(year=2038, month=6, day=20))
    assert not Signature.objects.exclude(sealed="").exists()
    assert check_chain().whole


def test_an_erased_record_stands_in_the_chain_and_says_so() -> None:
    trip = family()
    carry_out(at=trip.ends_at + 2200 * DAY)
    signature = Signature.objects.filter(by_guardian=False).earliest("record")
    assert signature.sealed == ""
    with pytest.raises(ValueError, match="was erased when its time was up"):
        signed_record(signature.pk)
    last = ChainRecord.objects.latest("number")
    assert '"act":"erased"' in last.content
    assert str(signature.pk) in last.content
    assert check_chain().whole


def test_a_changed_record_is_evidence_and_is_not_cleared_away() -> None:
    trip = family()
    number = Signature.objects.filter(by_guardian=False).earliest("record").pk
    Signature.objects.filter(pk=number).update(sealed="{}")
    carry_out(at=trip.ends_at + 2200 * DAY)
    assert Signature.objects.get(pk=number).sealed == "{}"
    assert [each.number for each in check_chain().broken] == [number]


def test_the_photograph_of_a_sheet_goes_with_its_record(
    django_capture_on_commit_callbacks: Any,
) -> None:
    trip = booked_trip(heads=1)
    maeve = on_board(trip, "Maeve")
    state = outstanding(trip, at=NOON).of(maeve.pk)
    assert state is not None
    file = photograph()
    sign_on_paper(
        trip=trip,
        person=maeve,
        signer=of_person(maeve),
        texts=list(texts_in("en", state.kinds, at=NOON).values()),
        form=form_of(maeve, drawn=""),
        photo=photo_of_sheet(file, len(file.getvalue())),
        user=UserFactory(),
        at=NOON,
    )
    name = PaperSheet.objects.get().file.name
    assert default_storage.exists(name)
    with django_capture_on_commit_callbacks(execute=True):
        carry_out(at=trip.ends_at + 2200 * DAY)
    assert not PaperSheet.objects.exists()
    assert not default_storage.exists(name)
    assert check_chain().whole


def test_a_hold_keeps_all_of_its_trip() -> None:
    trip = family()
    hold_trip(trip=trip, reason="Incident 5", at=NOON)
    late = trip.ends_at + 9000 * DAY
    erased = carry_out(at=late)
    assert {kind for kind, count in erased.items() if count} <= {"link", "look"}
    assert HealthNote.objects.count() == 3
    assert not BrowserTrace.objects.exclude(erased_at=None).exists()


def test_links_go_and_looks_go() -> None:
    trip = family()
    give_person_file(email=MAIL, by="a test", at=NOON)
    links = SigningLink.objects.count()
    assert links
    ended = max(SigningLink.objects.values_list("expires_at", flat=True))
    assert carry_out(at=ended + 31 * DAY)["link"] == links
    assert HealthLog.objects.filter(act="exported").count() == 1
    carry_out(at=NOON + 731 * DAY)
    assert not HealthLog.objects.filter(act="exported").exists()
    assert HealthLog.objects.filter(act="erased").exists(), "why notes went stays with the records"
    assert trip.pk
    assert check_chain().whole


def test_questions_that_came_to_nothing_go_and_others_stay() -> None:
    lone = PartyFactory(client=ClientFactory(email="lone@example.org"))
    booked = booked_trip(heads=1).bookings.get().party
    for party in (lone, booked):
        close_party(party=party, reason="no date found", at=NOON)
    carry_out(at=NOON + 364 * DAY)
    assert Party.objects.filter(pk=lone.pk).exists()
    carry_out(at=NOON + 366 * DAY)
    assert not Party.objects.filter(pk=lone.pk).exists()
    assert not Client.objects.filter(email="lone@example.org").exists()
    assert not Client.history.filter(email="lone@example.org").exists()
    assert Party.objects.filter(pk=booked.pk).exists()


def test_a_rule_of_our_own_counts() -> None:
    trip = family()
    set_rule(kind="health", days=7)
    assert rules_in_force()[Kept.HEALTH].days == 7
    assert carry_out(at=trip.ends_at + 8 * DAY)["health"] == 3
    for wrong in (0, 36526):
        with pytest.raises(ValidationError):
            set_rule(kind="health", days=wrong)
    with pytest.raises(ValidationError):
        set_rule(kind="gossip", days=7)
    assert RetentionRule.objects.get().days == 7


def test_the_command_counts_then_erases() -> None:
    trip = family()
    with time_machine.travel(trip.ends_at + 31 * DAY):
        out = StringIO()
        call_command("retention", "--dry-run", stdout=out)
        assert "Health notes: 3 due (30 days from the end of the trip; deleted)" in out.getvalue()
        assert HealthNote.objects.count() == 3
        out = StringIO()
        call_command("retention", "--json", stdout=out)
        assert json.loads(out.getvalue())["kinds"]["health"] == 3
    assert not HealthNote.objects.exists()


# ------------------------------------------------------------------ pages


def test_the_page_finds_exports_and_forgets(desk: Browser) -> None:
    family()
    answer = desk.post("/setup/rights/", {"email": MAIL})
    page = answer.content.decode()
    assert "signatures" in page
    assert "Forget this person" in page
    assert "no-store" in answer.headers["Cache-Control"]
    file = desk.post("/setup/rights/file/", {"email": MAIL})
    assert file.headers["Content-Disposition"].startswith("attachment; filename=")
    assert SECRET_WORDS in file.content.decode()
    assert HealthLog.objects.filter(act="exported").count() == 1
    answer = desk.post("/setup/rights/", {"email": "stranger@example.org"})
    assert "Nothing is kept of this address" in answer.content.decode()


def test_the_page_says_what_went_and_what_stays(desk: Browser) -> None:
    family()
    with time_machine.travel(AFTER):
        page = desk.post("/setup/rights/forget/", {"email": MAIL}).content.decode()
    assert "1 health note" in page
    assert "Signed records (4)" in page
    assert "None" not in page


def test_a_refusal_is_told_on_the_page(desk: Browser) -> None:
    family()
    with time_machine.travel(NOON):
        answer = desk.post("/setup/rights/forget/", {"email": MAIL}, follow=True)
    assert "on a trip to come" in told(answer.content.decode())
    answer = desk.post("/setup/rights/file/", {"email": "s@example.org"}, follow=True)
    assert "Nothing is kept of" in told(answer.content.decode())
    assert desk.post("/setup/rights/file/", {"email": "x"}).status_code == 302


def test_the_days_are_set_on_a_page(desk: Browser) -> None:
    page = in_one_line(desk.get("/setup/retention/").content.decode())
    assert "Never carried out yet" in page
    days = {rule.kind.value: str(rule.days) for rule in KEEP_RULES}
    assert desk.post("/setup/retention/", days | {"health": "14"}).status_code == 302
    assert list(RetentionRule.objects.values_list("kind", "days")) == [("health", 14)]
    answer = desk.post("/setup/retention/", days | {"health": "0"})
    assert answer.status_code == 422
    assert "greater than or equal to 1" in problems(answer.content.decode())
    answer = desk.post("/setup/retention/now/", follow=True)
    assert "0 entries erased by rule." in told(answer.content.decode())
    assert "Last carried out" in answer.content.decode()


def test_only_who_answers_for_rights_may(client: Browser, business: Any) -> None:
    helper = UserFactory(is_staff=True)
    client.force_login(helper, backend="allauth.account.auth_backends.AuthenticationBackend")
    for path in ("rights/", "rights/file/", "rights/forget/", "retention/", "retention/now/"):
        assert client.post(f"/setup/{path}", {"email": MAIL}).status_code == 403
