"""Who may see what: every address there is, asked for by everybody, compared with one table.

A new address fails here until somebody has written into the table who may see it.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest
from django.contrib.auth.models import Group, User
from django.db import transaction
from django.test import Client
from django.urls import URLPattern, URLResolver, get_resolver, reverse
from django.utils import timezone

from bookings.models import WorkerRound
from tests.architecture.rows import SENT, rows_for

PEOPLE = ("nobody", "helper", "bookkeeper", "owner")
EVERYBODY = " ".join(PEOPLE)

# A line an address: its name, then everybody who gets past the door, by reading or by sending.
# Where the words in the address or the method decide as well, they stand behind the name;
# "everybody" is all four, "-" is none.
TABLE = """
    today                                 helper bookkeeper owner
    diary                                 helper bookkeeper owner
    trip_new                              owner
    trip                                  helper bookkeeper owner
    plan_edit                             owner
    trip_change                           owner
    trip_book                             owner
    trip_move                             owner
    trip_paper                            helper bookkeeper owner
    party                                 helper bookkeeper owner
    money                                 helper bookkeeper owner
    safety                                helper owner
    setup                                 helper bookkeeper owner
    business                              owner
    first_run                             everybody
    healthy                               everybody
    spot_list                             helper bookkeeper owner
    spot_new                              owner
    spot                                  helper bookkeeper owner
    spot_edit                             owner
    tide_list                             helper bookkeeper owner
    tide_new                              owner
    tide                                  owner
    rate_list                             helper bookkeeper owner
    rate_new                              owner
    rate                                  owner
    cost_basis                            owner
    party_list                            helper bookkeeper owner
    party_new                             owner
    party_paste                           owner
    same_list                             owner
    same_merge                            owner
    same_apart                            owner
    same_undo                             owner
    party_same                            owner
    party_edit                            owner
    client_edit                           owner
    party_close                           owner
    party_reopen                          owner
    person_new                            owner
    person                                owner
    person_remove                         owner
    trip_hold                             owner
    words_list                            owner
    words_edit                            owner
    rule_of_kind                          owner
    quiet_hours                           owner
    mail_test                             owner
    trip_message                          owner
    trip_answers                          owner
    feed_list                             owner
    feed_new                              owner
    feed_end                              owner
    feed                                  everybody
    message_list                          owner
    message                               owner
    message_file                          owner
    message_move                          owner
    offer_list                            helper bookkeeper owner
    offer_new                             owner
    offer                                 owner
    offer_steps                           owner
    offer_extra_new                       owner
    offer_extra                           owner
    offer_extra_remove                    owner
    ladder_new                            owner
    ladder                                owner
    quote                                 helper bookkeeper owner
    quote_move                            owner
    gear                                  helper owner
    thing_new                             helper owner
    thing_new_of                          helper owner
    thing                                 helper owner
    thing_edit                            owner
    thing_retire                          owner
    thing_take_back                       owner
    defect_new                            helper owner
    service_new                           helper owner
    use_list                              helper owner
    use_new                               helper owner
    defect_sign_off                       owner
    use_reverse                           helper owner
    use_day                               helper owner
    craft                                 helper owner
    pack_list                             helper owner
    pack                                  helper owner
    pack_checks                           helper owner
    pack_charge                           owner
    pack_limits                           owner
    check_strike_out                      owner
    reel                                  helper owner
    reel_spool                            helper owner
    reel_move                             helper owner
    reel_take_off                         owner
    reel_fill                             helper owner
    gear_due                              helper owner
    gear_due_done                         helper owner
    service_strike_out                    owner
    attachment_new                        helper owner
    attachment                            helper owner
    attachment_off                        owner
    use_import                            helper owner
    use_import_enter                      helper owner
    gear_csv                              helper owner
    use_csv                               helper owner
    gear_wear                             helper owner
    gear_books                            helper owner
    gear_choice                           helper owner
    labels                                helper owner
    labels_file                           helper owner
    rule_list                             helper owner
    rule_new                              owner
    rule_edit                             owner
    trip_drops_edit                       owner
    trip_gear                             helper bookkeeper owner
    trip_gear_take                        owner
    fish                                  helper bookkeeper owner
    fish_log                              owner
    fish_new                              owner
    fish_change                           owner
    fish_strike                           owner
    fish_release                          owner
    species_list                          helper bookkeeper owner
    species_new                           owner
    species                               owner
    catch_year                            helper bookkeeper owner
    catch_year_of                         helper bookkeeper owner
    catch_year_file                       helper bookkeeper owner
    prep                                  helper bookkeeper owner
    prep_mark                             helper owner
    prep_who                              helper owner
    prep_paper                            helper bookkeeper owner
    permit_list                           helper bookkeeper owner
    permit_new                            owner
    permit_edit                           owner
    permit_file                           owner
    permit_withdraw                       owner
    permit_restore                        owner
    rig_list                              helper bookkeeper owner
    rig_new                               owner
    rig                                   helper bookkeeper owner
    rig_edit                              owner
    rig_shelve                            owner
    rig_ready                             owner
    tackle_list                           helper bookkeeper owner
    tackle_new                            owner
    tackle_edit                           owner
    drop_list                             helper bookkeeper owner
    drop_new                              helper owner
    drop_take_out                         helper owner
    craft_drops                           helper bookkeeper owner
    charger_list                          helper bookkeeper owner
    charger_new                           owner
    charger_edit                          owner
    load_list                             helper bookkeeper owner
    load_new                              owner
    load_edit                             owner
    load_copy                             owner
    night_before                          helper bookkeeper owner
    trip_decide                           owner
    quote_send                            owner
    quote_file                            helper bookkeeper owner
    season_file                           helper bookkeeper owner
    statement_file                        helper bookkeeper owner
    statement_send                        owner
    reminder_send                         owner
    bank_aside                            owner
    bank_take                             owner
    booking                               helper bookkeeper owner
    booking_bill                          owner
    booking_cancel                        owner
    booking_choose                        owner
    booking_date                          owner
    booking_heads                         owner
    booking_refund                        owner
    booking_write_off                     owner
    books_file                            helper bookkeeper owner
    client                                everybody
    client_accept                         everybody
    client_ask                            everybody
    client_choose                         everybody
    client_entry                          everybody
    client_file                           everybody
    client_person                         everybody
    client_person_new                     everybody
    client_quote                          everybody
    entry_credit                          owner
    entry_file                            helper bookkeeper owner
    entry_list                            helper bookkeeper owner
    entry_take_out                        owner
    money_entry                           helper bookkeeper owner
    money_year                            helper bookkeeper owner
    party_answered                        owner
    waiting_move                          owner
    invite_answer                         everybody
    trip_safety                           helper owner
    trip_choice                           owner
    trip_sign                             owner
    trip_marks                            owner
    trip_briefing                         helper owner
    trip_heard                            helper owner
    trip_child                            helper owner
    trip_card                             helper owner
    trip_card_own                         owner
    trip_watch                            owner
    hazard_list                           helper owner
    hazard_load                           helper owner
    hazard_new                            owner
    paper_list                            helper owner
    paper_new                             owner
    paper_kind_new                        owner
    incident_list                         owner
    incident_new                          helper owner
    incident_erase                        owner
    incident                              owner
    incident_paper                        owner
    incident_witness                      owner
    incident_follow_up                    owner
    follow_up_done                        owner
    incident_close                        owner
    hazard                                owner
    hazard_words                          owner
    paper                                 owner
    paper_file                            owner
    paper_kind                            owner
    paper_withdraw                        owner
    spot_safety                           owner
    spots_gpx                             helper bookkeeper owner
    gpx_import                            owner
    spot_gpx                              helper bookkeeper owner
    almanac                               helper bookkeeper owner
    almanac_paper                         helper bookkeeper owner
    forecast                              helper bookkeeper owner
    forecast_type                         owner
    forecast_file                         owner
    forecast_fetch                        owner
    closure_new                           owner
    photo_new                             owner
    tide_constants                        owner
    tide_table                            owner
    find_days                             helper bookkeeper owner
    hold_day                              owner
    party_wish                            owner
    away_list                             helper bookkeeper owner
    away_new                              owner
    house_limits                          owner
    flying_figures                        owner
    trip_parties                          owner
    trip_wait                             owner
    party_link                            owner
    party_link_end                        owner
    party_pay                             owner
    party_refund                          owner
    quote_list                            helper bookkeeper owner
    bank                                  owner
    ask                                   everybody
    asked                                 everybody
    trip_signing                          owner
    signing_ask                           owner
    signing_take_back                     owner
    signing_sheets                        owner
    signing_paper                         owner
    guardian_new                          owner
    meeting                               owner
    meeting_hand_over                     owner
    health                                owner
    health_open                           owner
    health_guides                         owner
    chain_check                           owner
    text_list                             helper bookkeeper owner
    texts_start                           owner
    signing_setup                         owner
    rights                                owner
    rights_file                           owner
    rights_erase                          owner
    retention                             owner
    retention_run                         owner
    account_login                         everybody
    account_logout                        everybody
    account_inactive                      everybody
    account_signup                        everybody
    account_reauthenticate                helper bookkeeper owner
    account_email                         helper bookkeeper owner
    account_email_verification_sent       everybody
    account_change_password               helper bookkeeper owner
    account_set_password                  helper bookkeeper owner
    account_reset_password                everybody
    account_confirm_login_code            everybody
    account_confirm_email abc-def GET     everybody
    account_confirm_email abc-def POST    -
    account_reset_password_from_key_done  everybody
    account_reset_password_from_key       everybody
    account_reset_password_done           everybody
    mfa_index                             helper bookkeeper owner
    mfa_authenticate                      everybody
    mfa_reauthenticate                    helper bookkeeper owner
    mfa_activate_totp                     helper bookkeeper owner
    mfa_deactivate_totp                   -
    mfa_view_recovery_codes               -
    mfa_generate_recovery_codes           helper bookkeeper owner
    mfa_download_recovery_codes           -
"""

# Addresses that the demo season has no row or key for yet. A list that may only get shorter: what
# is new goes into TABLE, and into ROWS, WORDS or TOKENS of tests/architecture/rows.py.
UNASKED = frozenset(
    {
        "away",
        "away_remove",
        "closure",
        "closure_remove",
        "decision",
        "guardian_remove",
        "photo_off",
        "sign_birthday",
        "sign_copy",
        "sign_form",
        "sign_proof",
        "sign_start",
        "signed",
        "signed_files",
        "signed_pdf",
        "signed_sheet",
        "spot_photo",
        "text",
        "text_edit",
        "text_publish",
        "text_version",
        "trip_home",
        "trip_stand_down",
    }
)

# Pages of the sign-in library; some are there only for who has a second factor.
LIBRARY = ("account_", "mfa_")
# The tables of the repair room, all alike: only the owner is staff.
REPAIR = "owner"


def _addresses() -> Iterator[tuple[str, str, list[str]]]:
    """Name, address as it is written, and the names of its parts, for every pattern."""

    def walk(resolver: URLResolver, start: str, space: str) -> Iterator[tuple[str, str, list[str]]]:
        for entry in resolver.url_patterns:
            route = start + str(entry.pattern).removeprefix("^")
            if isinstance(entry, URLResolver):
                inner = f"{space}{entry.namespace}:" if entry.namespace else space
                yield from walk(entry, route, inner)
            elif isinstance(entry, URLPattern):
                parts = list(entry.pattern.regex.groupindex)
                yield f"{space}{entry.name}", route, parts

    yield from walk(get_resolver(), "", "")


def _table() -> dict[str, str]:
    lines = [line.split() for line in TABLE.strip().splitlines()]
    found: dict[str, str] = {}
    for words in lines:
        people = [word for word in words if word in PEOPLE]
        name = " ".join(word for word in words if word not in (*PEOPLE, "everybody", "-"))
        assert name not in found, f"{name} stands in the table twice"
        found[name] = EVERYBODY if "everybody" in words else " ".join(people)
    return found


@pytest.fixture
def people(season: Any, client: Client) -> dict[str, Client]:
    """A browser for each: signed in with the rights that go with the role."""
    WorkerRound.objects.create(ended_at=timezone.now())  # else the desk says that it is not well
    browsers = {"nobody": client}
    for role in PEOPLE[1:]:
        user = User.objects.filter(is_superuser=True).get() if role == "owner" else _person(role)
        browsers[role] = Client(raise_request_exception=False)
        browsers[role].force_login(
            user, backend="allauth.account.auth_backends.AuthenticationBackend"
        )
    client.raise_request_exception = False
    return browsers


def _person(role: str) -> User:
    mail = f"{role}@marramhead.example"
    user = User.objects.create_user(mail, mail, "sand and spike 26")
    user.groups.add(Group.objects.get(name=role))
    return user


class _BackAgainError(Exception):
    """Takes back whatever a request has written."""


def _gets_past(
    browser: Client, method: str, address: str, sent: dict[str, str] | None = None
) -> bool | None:
    """Whether the door opens; None where the address does not take this method."""
    kept = browser.cookies.copy()
    try:
        with transaction.atomic():
            answer = getattr(browser, method)(address, sent or {})
            raise _BackAgainError
    except _BackAgainError:
        browser.cookies = kept
    assert answer.status_code < 500, f"{method} {address} breaks for {answer.wsgi_request.user}"
    if answer.status_code == 405:
        return None
    # Where somebody must sign in first, the door remembers where they wanted to go.
    to_the_door = answer.status_code == 302 and "/login/?next=" in answer.headers["Location"]
    return not to_the_door and answer.status_code not in {401, 403, 404}


def _who(
    people: dict[str, Client], address: str, sent: dict[str, str] | None = None
) -> dict[str, str]:
    """Everybody who gets past, by method where reading and sending do not agree."""
    found = {}
    for method in ("get", "post"):
        # The owner gets past every door: what answers them nothing answers nobody.
        opened = {"owner": _gets_past(people["owner"], method, address, sent)}
        if opened["owner"] is not None:
            opened |= {
                role: _gets_past(browser, method, address, sent)
                for role, browser in people.items()
                if role != "owner"
            }
            found[method.upper()] = " ".join(role for role in PEOPLE if opened[role])
    assert found, f"{address} takes neither GET nor POST"
    return {"": found.popitem()[1]} if len(set(found.values())) == 1 else found


def _everything(people: dict[str, Client]) -> dict[str, str]:
    """Who gets past at every address; words and methods are told apart only where they matter."""
    found: dict[str, str] = {}
    for name, route, parts in dict.fromkeys(
        (name, route, tuple(parts))
        for name, route, parts in _addresses()
        if "admin:" not in name and name not in UNASKED
    ):
        seen = {
            f"{words} {method}": who
            for words, arguments in rows_for(route, parts)
            for method, who in _who(people, reverse(name, kwargs=arguments), SENT.get(name)).items()
        }
        assert any(seen.values()) or name.startswith(LIBRARY), (
            f"Nobody gets past at {name}, not even the owner: is there a row for it in {rows_for}?"
        )
        alike = {"": next(iter(seen.values()))} if len(set(seen.values())) == 1 else seen
        found |= {" ".join(f"{name} {words}".split()): who for words, who in alike.items()}
    return found


def test_everybody_sees_what_the_table_says(
    people: dict[str, Client], caplog: pytest.LogCaptureFixture
) -> None:
    caplog.set_level("CRITICAL", "django.request")
    found, expected = _everything(people), _table()
    lines = [
        f"    {name} {'everybody' if who == EVERYBODY else who or '-'}"
        for name, who in found.items()
        if expected.get(name) != who
    ]
    assert not lines, "Put these lines into TABLE if they are meant:\n" + "\n".join(lines)
    gone = sorted(set(expected) - set(found))
    assert not gone, f"Take these out of TABLE, nothing answers there any more: {gone}"


def test_what_is_not_asked_for_is_there() -> None:
    gone = UNASKED - {name for name, _, _ in _addresses()}
    assert not gone, f"Take these out of UNASKED, they are no addresses any more: {sorted(gone)}"


def test_the_repair_room_is_the_owners(people: dict[str, Client]) -> None:
    rooms = [
        reverse(name)
        for name, _, parts in _addresses()
        if name.startswith("admin:") and not parts and name.endswith(("_changelist", ":index"))
    ]
    assert len(rooms) > 15
    for address in rooms:
        who = [role for role, browser in people.items() if _gets_past(browser, "get", address)]
        assert " ".join(who) == REPAIR, address
