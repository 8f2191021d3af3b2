"""The pages of rigs, permissions, the log and prep: what they say, refuse and write."""

import datetime
import uuid
from io import BytesIO

import pypdf
import pytest
import time_machine
from django.core.management import CommandError, call_command
from django.urls import reverse

from guiding.days.actions.plans import change_plan
from guiding.days.actions.prep import mark_prep, plan_drops
from guiding.days.models import Charger, Drop, DropPermit, LoadLine, PrepMark, Rig, Tackle
from tests import factories_flights as flights
from tests.factories import BookingFactory, ParticipantFactory
from tests.factories_days import DayPlanFactory, SpotFactory
from tests.visit import Visitor

pytestmark = pytest.mark.django_db

NOW = datetime.datetime(2026, 6, 12, 10, 0, tzinfo=datetime.UTC)


@pytest.fixture(autouse=True)
def the_day_before():
    with time_machine.travel(NOW, tick=False):
        yield


@pytest.fixture
def visitor(desk):
    return Visitor(desk)


@pytest.fixture
def plan(business):
    return flights.flown_plan()


def words_of(pdf):
    return " ".join(
        " ".join(page.extract_text() for page in pypdf.PdfReader(BytesIO(pdf)).pages).split()
    )


def cast_only(plan):
    DropPermit.objects.filter(kind="fishery").delete()
    return f"Cast only: no fishery permission is on record for {plan.spot}."


# ---------------------------------------------------------------- rigs


def test_the_usual_rig_begins_a_recipe_and_is_drawn_to_scale(visitor):
    visitor.go(reverse("rig_list"))
    page = visitor.send("main_kgf", main_kgf="50 lb")
    assert page.form("part-0-name").values["part-3-name"] == "trace line"
    page = visitor.send("part-0-name", name="Beach rig")
    assert page.address == reverse("rig", args=[Rig.objects.get().pk])
    assert "Beach rig saved." in page.told
    assert Rig.objects.get().main_strength_kgf == pytest.approx(22.68, abs=0.01)
    assert 'class="drawing rig"' in page.html
    for words in (
        "5.0 m from clip to sinker",
        "three-way swivel",
        "15 cm, to the clip",
        "no source",
    ):
        assert words in page.text.replace("\u00a0", " ")


def test_a_link_stronger_than_the_main_line_comes_back_with_the_sentence_and_what_was_typed(
    visitor,
):
    saved = flights.rig()
    visitor.go(reverse("rig_edit", args=[saved.pk]))
    page = visitor.send("part-0-name", **{"part-1-strength_kgf": "30"})
    assert page.status == 422
    assert "The weak link holds 294 N (30 kgf) and the main line only 223 N" in page.problems
    assert page.form("part-0-name").values["part-1-strength_kgf"] == "30"
    assert saved.parts.get(kind="weak link").strength_kgf < 2


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ({"name": "x" * 300}, "at most 60 characters"),
        ({"name": ""}, "required"),
        ({"main_strength_kgf": "1,234"}, "can be read in two ways"),
        ({"part-0-length_m": "two"}, "is no number"),
        ({"part-9-mass_g": "20"}, "Say what to take, or empty the whole line."),
    ],
)
def test_what_cannot_be_read_is_told_and_nothing_is_written(visitor, typed, words):
    saved = flights.rig()
    visitor.go(reverse("rig_edit", args=[saved.pk]))
    page = visitor.send("part-0-name", **typed)
    assert page.status == 422
    assert words in page.problems
    assert Rig.objects.get().name == "Two droppers"


def test_markup_in_a_name_stays_text(visitor):
    saved = flights.rig(name="<script>alert(1)</script>")
    for name, args in (("rig_list", []), ("rig", [saved.pk]), ("rig_edit", [saved.pk])):
        page = visitor.go(reverse(name, args=args))
        assert page.status == 200
        assert "<script>alert" not in page.html


def test_an_empty_line_takes_a_part_off(visitor):
    saved = flights.rig()
    visitor.go(reverse("rig_edit", args=[saved.pk]))
    visitor.send("part-0-name", **{"part-0-name": "", "part-0-count": "", "part-0-mass_g": ""})
    assert not saved.parts.filter(kind="release loop").exists()


def test_rigs_tied_are_set_and_a_rig_put_aside_comes_back(visitor):
    saved = flights.rig()
    visitor.go(reverse("rig", args=[saved.pk]))
    assert "9 of Two droppers are tied and ready." in visitor.send("ready", ready="9").told
    assert "Give the number of rigs" in visitor.send("ready", ready="many").told
    saved.refresh_from_db()
    assert saved.ready == 9
    assert "1 recipe put aside" in visitor.send("Put aside").text.replace("\u00a0", " ")
    visitor.go(reverse("rig", args=[saved.pk]))
    assert "taken up again" in visitor.send("Take up again").told


def test_the_law_on_hooks_is_told_by_spot(visitor):
    SpotFactory(name="Sker Ledge", hook_limit=1)
    page = visitor.go(reverse("rig", args=[flights.rig().pk]))
    assert "The rig has 2 hooks and the place allows 1." in page.text


def test_the_tackle_box(visitor):
    page = visitor.go(reverse("tackle_list"))
    assert "Nothing is counted yet" in page.text
    visitor.go(reverse("tackle_new"))
    assert visitor.send(name="hook 6/0", quantity="-3").status == 422
    visitor.go(reverse("tackle_new"))
    visitor.send(name="hook 6/0", quantity="14", sold_in="10")
    assert Tackle.objects.get().quantity == 14


# ---------------------------------------------------------------- permissions


def test_a_permission_is_entered_withdrawn_and_put_back(visitor):
    spot = SpotFactory(name="North Strand")
    page = visitor.go(reverse("permit_list"))
    assert "No permission is on record: every day is cast only." in page.text
    for which in ("aviation", "fishery"):
        visitor.go(reverse("permit_new"))
        page = visitor.send(
            kind=which, authority=f"{which} board", number=f"{which}-1", spots=[str(spot.pk)],
            valid_from="2026-01-01", valid_until="2026-12-31", covers_dropping="on",
            copy_kept="folder 3",
        )  # fmt: skip
        assert page.address == reverse("permit_list"), page.problems
    assert "may be flown" in page.text
    visitor.go(reverse("permit_withdraw", args=[DropPermit.objects.get(kind="fishery").pk]))
    page = visitor.send(on="2026-06-01", reason="letter of the office")
    assert "the fishery permission (fishery board fishery-1) was valid to 31 May 2026" in page.text
    page = visitor.send("In force again: fishery-1")
    assert "may be flown" in page.text


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ({"valid_until": "2025-01-01"}, "The last day lies before the first."),
        ({"valid_from": "1890-01-01"}, "The year 1890 cannot be right"),
        ({"number": "n" * 300}, "at most 80 characters"),
        ({"spots": []}, "required"),
        ({"height_limit_m": "-4"}, "Give 1 m or more."),
    ],
)
def test_an_impossible_permission_comes_back(visitor, typed, words):
    spot = SpotFactory()
    visitor.go(reverse("permit_new"))
    good = {
        "kind": "aviation", "authority": "board", "number": "1", "spots": [str(spot.pk)],
        "valid_from": "2026-01-01", "valid_until": "2026-12-31",
    }  # fmt: skip
    page = visitor.send(**good | typed)
    assert page.status == 422
    assert words in page.problems
    assert not DropPermit.objects.exists()


# ---------------------------------------------------------------- the log


def drop_typed(plan, **changes):
    pack = plan.packs.first()
    return {
        "plan": "", "at": "2026-06-10T09:00", "craft": str(plan.craft_id), "pack": str(pack.pk),
        "from_percent": "100", "to_percent": "78", "distance_m": "300", "wind_ms": "8 kn",
        "payload_g": "350", "line_mm": "0.3", "height_m": "12", "result": "released",
    } | changes  # fmt: skip


def test_a_drop_is_logged_once_however_often_it_is_sent(visitor, plan):
    page = visitor.go(reverse("drop_new"))
    key = page.form("key").values["key"]
    typed = drop_typed(plan, new_charge="on", key=key)
    for _ in range(2):
        page = visitor.send("key", **typed)
        assert "Logged, with its wear on craft and pack." in page.told
        visitor.go(reverse("drop_new"))
    row = Drop.objects.get()
    assert row.wind_ms == pytest.approx(8 * 1852 / 3600)
    assert row.used_percent == 22
    assert row.new_charge
    # the next one begins where this one ended
    assert visitor.page.form("key").values["from_percent"] == "78"


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ({"to_percent": "100"}, "must hold less after landing"),
        ({"from_percent": "140"}, "Give 100 % at most."),
        ({"distance_m": "6000"}, "Give 5000 m at most."),
        ({"at": "1890-01-01T09:00"}, "too long ago"),
        ({"at": "2026-12-24T09:00"}, "still to come"),
        ({"line_mm": "0"}, "Give 0.01 mm or more."),
        ({"note": "<b>" * 200}, "at most 300 characters"),
        ({"pack": ""}, "required"),
    ],
)
def test_an_impossible_drop_comes_back_with_what_was_typed(visitor, plan, typed, words):
    visitor.go(reverse("drop_new"))
    page = visitor.send("key", **drop_typed(plan, **typed))
    assert page.status == 422
    assert words in page.problems
    assert page.form("key").values["payload_g"] == "350"
    assert not Drop.objects.exists()


def test_a_wrong_drop_is_taken_out_and_both_stay_readable(visitor, plan):
    row = flights.logged(plan.craft, plan.packs.first())
    visitor.go(reverse("drop_take_out", args=[row.pk]))
    assert visitor.send(reason="").status == 422
    page = visitor.send(reason="typed for the wrong pack")
    assert "Taken out of the log" in page.told
    assert "typed for the wrong pack" in page.text
    assert page.text.count("taken out") == 1
    assert Drop.objects.count() == 2


def test_the_page_of_a_craft_tells_what_its_log_teaches(visitor, plan):
    craft, used = plan.craft, plan.packs.first()
    address = reverse("craft_drops", args=[craft.pk])
    assert "nothing is logged yet" in visitor.go(address).text
    for n in range(38):
        at = flights.FLOWN_AT + datetime.timedelta(minutes=n)
        flights.logged(craft, used, at=at, to_percent=70.0, key=uuid.UUID(int=n))
    page = visitor.go(address)
    assert "from your 38 drops" in page.text
    assert "more than the model" in page.text
    assert "250 to 350 m" in page.text
    assert "38 drops in the log" in visitor.go(reverse("drop_list")).text.replace("\u00a0", " ")


def test_the_log_shows_one_page_at_a_time_in_the_same_number_of_queries(
    desk, plan, django_assert_max_num_queries
):
    used = plan.packs.first()
    for n in range(60):
        flights.logged(plan.craft, used, key=uuid.UUID(int=n))
    with django_assert_max_num_queries(14):
        answer = desk.get(reverse("drop_list"))
    assert answer.content.decode().count("let go where planned") == 50
    assert desk.get(reverse("drop_list"), {"page": "2"}).content.decode().count("planned") == 10
    for page in ("0", "-3", "x", "99999999999"):
        assert desk.get(reverse("drop_list"), {"page": page, "craft": page}).status_code == 200


# ---------------------------------------------------------------- chargers and load


def test_chargers_and_lines_are_entered_and_refused(visitor):
    visitor.go(reverse("charger_new"))
    page = visitor.send(label="Bench", power_w="0", slots="2")
    assert page.status == 422
    assert "Give 1 W or more." in page.problems
    page = visitor.send(label="Bench", power_w="240", slots="2")
    assert "240 W" in page.text.replace("\u00a0", " ")
    assert Charger.objects.get().slots == 2
    visitor.go(reverse("load_list"))
    page = visitor.send("Write it down as yours, to change")
    assert "16 lines written down" in page.told
    visitor.go(reverse("load_new"))
    page = visitor.send(text="Landing mat", count="1", group="flying", position="1")
    assert page.status == 422  # it is on the list already
    assert LoadLine.objects.filter(text="Landing mat").count() == 1


# ---------------------------------------------------------------- the trip's page


def test_the_trip_page_shows_checks_numbers_and_who_stands_where(visitor, plan):
    page = visitor.go(reverse("trip", args=[plan.trip_id]))
    text = page.text.replace("\u00a0", " ")
    assert "checks are a go" in text
    assert "Turn back at" in text
    assert 'class="drawing drop-plan"' in page.html
    plan_drops(plan=plan, wind_ms=6.5, gust_ms=11)
    text = visitor.go(reverse("trip", args=[plan.trip_id])).text
    assert "gust 11.0 of 9.6 m/s" in text
    assert "Wait until gusts are 9.6 m/s or less, or cast." in text


def test_rigs_wind_and_places_are_planned_on_one_form(visitor, plan):
    visitor.go(reverse("trip_drops_edit", args=[plan.trip_id]))
    page = visitor.send("wind_ms", wind_ms="12 kn", gust_ms="", link_1="1.6 kgf")
    assert page.address.startswith(reverse("trip", args=[plan.trip_id]))
    plan.drop_setup.refresh_from_db()
    assert plan.drop_setup.wind_ms == pytest.approx(6.17, abs=0.01)
    assert plan.drop_setup.gust_ms is None
    assert plan.planned_rigs.get().weak_link_kgf == 1.6
    visitor.go(reverse("trip_drops_edit", args=[plan.trip_id]))
    page = visitor.send("wind_ms", wind_ms="fast", rods_1="", bearing_deg="720")
    assert page.status == 422
    for words in ("is no number", "Say on how many rods.", "Give 360 ° at most."):
        assert words in page.problems
    visitor.go(reverse("trip_drops_edit", args=[plan.trip_id]))
    page = visitor.send("wind_ms", rods_1="9")
    assert "9 rods are given a rig, and 4 are planned." in page.problems


def test_the_page_costs_the_same_whatever_goes_along(desk, business, django_assert_num_queries):
    from django.db import connection
    from django.test.utils import CaptureQueriesContext

    small = flights.flown_plan(packs=1, rods=1)
    address = reverse("trip", args=[small.trip_id])
    desk.get(address)
    with CaptureQueriesContext(connection) as few:
        desk.get(address)
    reels = list(small.reels.all())
    packs = [flights.pack(small.craft) for _ in range(8)]
    change_plan(plan=small, craft=small.craft, packs=packs, reels=reels)
    with CaptureQueriesContext(connection) as many:
        desk.get(address)
    assert len(many) == len(few)


# ---------------------------------------------------------------- prep


def test_a_line_is_ticked_on_the_phone_without_script(visitor, plan):
    page = visitor.go(reverse("prep", args=[plan.trip_id]))
    assert "Thaw" in page.text
    address = reverse("prep_mark", args=[plan.trip_id])
    for _ in range(2):  # pressed twice
        answer = visitor.client.post(address, {"set": "done yes thaw"})
        assert answer.status_code == 302
        assert answer["Location"].endswith("#thaw")
    assert PrepMark.objects.get().done_at == NOW
    visitor.client.post(address, {"set": "done no thaw"})
    assert PrepMark.objects.get().done_at is None
    visitor.client.post(address, {"set": "done yes bait"})
    visitor.client.post(address, {"set": "back yes bait"})
    assert PrepMark.objects.get(item="bait").back_at == NOW
    assert visitor.client.get(address).status_code == 405


@pytest.mark.parametrize("sent", ["", "done", "done yes", "done yes no-such-line", "eat yes thaw"])
def test_a_tick_that_cannot_be_read_writes_nothing(visitor, plan, sent):
    visitor.client.post(reverse("prep_mark", args=[plan.trip_id]), {"set": sent})
    assert not PrepMark.objects.exists()


def test_who_takes_what_is_shown_on_page_and_paper(visitor, plan):
    visitor.go(reverse("prep", args=[plan.trip_id]))
    page = visitor.send("Save who takes what", **{"who bait": "Bríd"})
    assert "Saved who takes what." in page.told
    assert "Bríd" in page.text
    paper = visitor.client.get(reverse("prep_paper", args=[plan.trip_id, "prep-lists.pdf"]))
    assert "(Bríd)" in words_of(paper.content)
    run_sheet = visitor.client.get(reverse("trip_paper", args=[plan.trip_id, "run-sheet.pdf"]))
    assert "(Bríd)" in words_of(run_sheet.content)


def test_the_run_sheet_holds_checks_packs_rigs_and_the_load_in_order(visitor, plan):
    plan_drops(plan=plan, people_aside_m=5)
    data = visitor.client.get(reverse("trip_paper", args=[plan.trip_id, "run-sheet.pdf"])).content
    words = words_of(data)
    assert "STOP, people: The nearest person is" in words
    assert "Plan of the drops" in words
    assert "Two droppers" in words
    assert "13.7 N (1.4 kgf)" in words
    assert "One drop: " in words
    assert "Invented fishery board" in words
    assert words.index("Litres of drinking water") < words.index("Landing mat")


def test_every_paper_of_prep_is_made_and_a_csv_holds_no_formula(visitor, plan):
    flights.charger()
    mark_prep(plan=plan, item="thaw", who="=1+1")
    for name in ("prep-lists.pdf", "drop-sheet.pdf"):
        answer = visitor.client.get(reverse("prep_paper", args=[plan.trip_id, name]))
        assert answer.content.startswith(b"%PDF")
        assert "no-store" in answer["Cache-Control"]
    rows = visitor.client.get(reverse("prep_paper", args=[plan.trip_id, "prep.csv"]))
    assert "'=1+1" in rows.content.decode()
    shopping = visitor.client.get(reverse("prep_paper", args=[plan.trip_id, "shopping.csv"]))
    assert "hook 6/0,14,0,14,pieces" in shopping.content.decode()
    charging = visitor.client.get(reverse("prep_paper", args=[plan.trip_id, "charging.csv"]))
    assert charging.content.decode().count("Bench charger") == 6
    missing = visitor.client.get(reverse("prep_paper", args=[plan.trip_id, "secret.pdf"]))
    assert missing.status_code == 404


def test_a_party_with_children_has_its_minors_counted(visitor, plan):
    booking = BookingFactory(trip=plan.trip, heads=3)
    born = datetime.date(2015, 5, 1)
    ParticipantFactory(party=booking.party, given_name="Tadhg", born_on=born)
    page = visitor.go(reverse("trip", args=[plan.trip_id]))
    assert "1 minor and no adult but the pilot" in page.text
    page = visitor.go(reverse("prep", args=[plan.trip_id]))
    assert "8 × Litres of drinking water" in page.text
    assert "Bright vest in a child's size" in page.text


# ---------------------------------------------------------------- cast only, everywhere


def test_cast_only_is_said_everywhere(visitor, plan):
    told = cast_only(plan)
    pages = ("trip", "trip_drops_edit", "prep")
    for name in pages:
        assert told in visitor.go(reverse(name, args=[plan.trip_id])).text, name
    spot = reverse("spot", args=[plan.spot_id])
    assert told in visitor.go(spot, day="2026-06-13").text
    for name in ("spot_list", "permit_list"):
        assert "cast only" in visitor.go(reverse(name)).text, name
    assert told in visitor.go(reverse("today")).text
    papers = [
        reverse("trip_paper", args=[plan.trip_id, name])
        for name in ("run-sheet.pdf", "trip-sheet.pdf")
    ]
    papers += [
        reverse("prep_paper", args=[plan.trip_id, name])
        for name in ("prep-lists.pdf", "drop-sheet.pdf")
    ]
    for address in papers:
        assert told in words_of(visitor.client.get(address).content), address
    run_sheet = words_of(visitor.client.get(papers[0]).content)
    assert "Gannet stays at home: cast only." in run_sheet
    assert "Plan of the drops" not in run_sheet
    assert "Landing mat" not in run_sheet


# ---------------------------------------------------------------- manage.py prep


def prep(*words):
    from io import StringIO

    out = StringIO()
    call_command("prep", *words, stdout=out)
    return out.getvalue()


def test_prep_writes_papers_and_tables(plan, tmp_path):
    told = prep(str(plan.trip_id), "--out", str(tmp_path / "new"))
    names = {path.name for path in (tmp_path / "new").iterdir()}
    assert names == {
        "prep-lists.pdf", "drop-sheet.pdf", "prep.csv", "shopping.csv", "charging.csv"
    }  # fmt: skip
    assert "lines are still to tick." in told
    words = words_of((tmp_path / "new" / "drop-sheet.pdf").read_bytes())
    for each in ("Turn back at", "Weak link", "Rig: Two droppers", "Where everybody stands"):
        assert each in words


def test_prep_twice_gives_the_same_bytes(plan, tmp_path):
    for name in ("a", "b"):
        prep(str(plan.trip_id), "--out", str(tmp_path / name))
    for path in (tmp_path / "a").iterdir():
        assert path.read_bytes() == (tmp_path / "b" / path.name).read_bytes()


def test_prep_refuses_in_one_sentence_and_writes_nothing(plan, tmp_path):
    with pytest.raises(CommandError, match="There is no trip 999"):
        prep("999", "--out", str(tmp_path / "x"))
    bare = DayPlanFactory(spot=SpotFactory())
    bare_trip = bare.trip_id
    bare.delete()
    with pytest.raises(CommandError, match="has no plan yet"):
        prep(str(bare_trip), "--out", str(tmp_path / "x"))
    assert not (tmp_path / "x").exists()
    file = tmp_path / "file"
    file.write_text("in the way")
    with pytest.raises(CommandError, match="cannot be written to"):
        prep(str(plan.trip_id), "--out", str(file))
