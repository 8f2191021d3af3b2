"""The desk as a process: behind a proxy, watched over, sending by itself, on few connections."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from tests.bookings.mail_server import Server, free_port
from tests.serving import OwnDesk, own_desk, until

pytestmark = pytest.mark.django_db(transaction=True)
BUSINESS = "from tests.factories import BusinessFactory; BusinessFactory()"
MAILS = 12
FILL = f"""
from tests.factories import BusinessFactory, PartyFactory
from tests.factories_messages import queued
BusinessFactory()
party = PartyFactory()
for n in range({MAILS}):
    queued(n, party=party)
"""
LOGIN = "/account/login/"
# Run in place of `manage.py`: counts the connections that the desk opens.
COUNTED = (
    "-c",
    """
import sys
from django.db.backends.signals import connection_created
opened = []
connection_created.connect(lambda **_: opened.append(1), weak=False)
from guiding.__main__ import main
sys.argv[0] = "manage.py"
main()
print("OPENED", len(opened))
""",
    "serve",
)


@pytest.fixture
def desk(tmp_path: Path) -> OwnDesk:
    return own_desk(tmp_path, MAIL_HOST="127.0.0.1", MAIL_TLS="false", MAIL_PORT=str(free_port()))


def test_a_proxy_that_ends_tls_is_believed_and_a_watcher_answered_in_plain(desk: OwnDesk) -> None:
    desk.python(BUSINESS)
    there = {"SANDSPIKE_URL": "https://desk.example.org", "TRUSTED_PROXY": "127.0.0.1"}
    with desk.opened(**there) as process:
        host = "desk.example.org"
        through = process.get(LOGIN, Host=host, X_Forwarded_Proto="https")
        assert through.status == 200
        assert "Secure" in through.headers["Set-Cookie"]
        plain = process.get(LOGIN, Host=host)
        assert (plain.status, plain.headers["Location"]) == (301, f"https://{host}{LOGIN}")
        until(lambda: process.get("/healthy/").status == 200)
        found = process.get("/healthy/").facts
        assert found["ok"] is True
        assert found["database"] == {"ok": True}
        assert found["migrations"] == {"ok": True, "missing": 0}
        assert found["disk"]["free_mb"] > 200
        assert 0 <= found["worker"]["last_round_age_s"] < 60
        stranger = process.get(
            "/healthy/", Host=host, X_Forwarded_Proto="https", X_Forwarded_For="203.0.113.9"
        )
        assert (stranger.status, stranger.facts) == (200, {"ok": True})
    assert "The desk is closed." in process.said
    assert "TRUSTED_PROXY" not in process.said


@pytest.mark.once
@pytest.mark.parametrize(("proxy", "status"), [("127.0.0.1", 200), ("192.0.2.1", 301)])
def test_another_server_believes_the_same_proxy(desk: OwnDesk, proxy: str, status: int) -> None:
    """Gunicorn by itself believes whatever its own machine says of TLS."""
    desk.python(BUSINESS)
    there = {"SANDSPIKE_URL": "https://desk.example.org", "TRUSTED_PROXY": proxy}
    with desk.opened("guiding.wsgi", program=("-m", "gunicorn"), **there) as process:
        answer = process.get(LOGIN, Host="desk.example.org", X_Forwarded_Proto="https")
    assert answer.status == status


def test_an_open_desk_sends_by_itself_also_after_a_round_that_broke(desk: OwnDesk) -> None:
    desk.python(FILL)
    desk.ask("ALTER TABLE bookings_message RENAME TO away")
    server = Server()
    with server.open(int(desk.environment["MAIL_PORT"])), desk.opened("--every", "0.2") as process:
        until(lambda: desk.ask("SELECT 1 FROM bookings_workerround WHERE problem <> ''"))
        assert server.taken == []
        desk.ask("ALTER TABLE away RENAME TO bookings_message")
        until(lambda: len(server.taken) == MAILS)
        until(lambda: process.get("/healthy/").status == 200)
    assert len(set(server.ids)) == MAILS
    assert f"sent {MAILS}, failed 0" in process.said
    assert desk.ask("SELECT holder FROM bookings_workerround") == [("",)], "the turn is given back"


def test_two_open_desks_share_the_work(desk: OwnDesk) -> None:
    desk.python(FILL)
    server = Server()
    with (
        server.open(int(desk.environment["MAIL_PORT"])),
        desk.opened("--every", "0.2"),
        desk.opened("--every", "0.2"),
    ):
        until(lambda: len(server.taken) >= MAILS)
        until(lambda: not desk.ask("SELECT 1 FROM bookings_message WHERE state <> 'sent'"))
    assert (len(server.ids), len(set(server.ids))) == (MAILS, MAILS)


def test_connections_are_kept_and_closed(desk: OwnDesk) -> None:
    desk.python(FILL)
    with desk.opened("--no-worker", "--threads", "4", program=COUNTED) as process:
        for _ in range(30):
            assert process.get(LOGIN).status == 200
        health = process.get("/healthy/")
    assert health.status == 503
    assert health.facts["worker"] == {"ok": False, "last_round_age_s": None}, "--no-worker"
    assert "Service Unavailable" not in process.said
    counted = re.search(r"OPENED (\d+)", process.said)
    assert counted, process.said
    # One for each thread that answers, one for the start.
    assert 2 <= int(counted[1]) <= 5
    assert list(desk.folder.glob("*-wal")) == [], "the last to close an SQLite file tidies up"
