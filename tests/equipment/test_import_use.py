"""Uses from a CSV file: every problem named by row, whole or not at all, the same file twice."""

from __future__ import annotations

import csv
import datetime
import io
import json
import uuid

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.core.management import CommandError, call_command
from django.urls import reverse

from equipment.actions.import_use import import_use, look_through
from equipment.actions.use import record_use, reverse_use
from equipment.models import Line, UseEntry, UseTally
from equipment.queries.export import harmless
from equipment.queries.use import counts
from tests.factories_equipment import (
    CraftFactory,
    FlightPackFactory,
    LineFactory,
    SpoolingFactory,
    ThingFactory,
)

pytestmark = pytest.mark.django_db
TODAY = datetime.date(2026, 6, 14)
HEAD = "thing,kind,amount,at,note\n"


@pytest.fixture
def kit():
    FlightPackFactory(label="P1")
    CraftFactory(label="Craft A")
    SpoolingFactory(reel__label="Reel 1", line=LineFactory(spooled_m=500))


@pytest.fixture
def written(tmp_path):
    """Writes a file and gives its path."""

    def write(text, encoding="utf-8"):
        path = tmp_path / f"{uuid.uuid4()}.csv"
        path.write_bytes(text if isinstance(text, bytes) else text.encode(encoding))
        return path

    return write


GOOD = (
    HEAD
    + "P1,cycle,3,2026-06-01,\n"
    + "Craft A,flight,12,2026-06-01T09:30,windy\n"
    + "Reel 1,metres cut back,8.5,2026-06-01T15:00+01:00,rough end\n"
)


def test_a_sound_file_is_entered_once_however_often_it_is_read(kit, written):
    path = written(GOOD)
    assert import_use(path=path).new == 3
    again = import_use(path=path)
    assert (again.new, again.known) == (0, 3)
    assert UseEntry.objects.count() == 3
    assert Line.objects.get().used_m == 8.5
    assert counts(on=TODAY)[UseEntry.objects.get(kind="cycle").thing_id].cycles == 3


def test_looking_through_writes_nothing(kit, written):
    preview = look_through(path=written(GOOD))
    assert (preview.rows, preview.new, preview.problems) == (3, 3, [])
    assert not UseEntry.objects.exists()
    assert not UseTally.objects.exclude(last_at=None).exists()


@pytest.mark.parametrize(
    ("row", "column", "words"),
    [
        ("P9,cycle,1,2026-06-01,", "thing", "No thing has the label 'P9'"),
        ("P1,spin,1,2026-06-01,", "kind", "no kind of use"),
        ("P1,km,1,2026-06-01,", "kind", "has no kilometres"),
        ("P1,cycle,-1,2026-06-01,", "amount", "above zero"),
        ("P1,cycle,1.5,2026-06-01,", "amount", "whole number"),
        ('P1,hours,"1,5",2026-06-01,', "amount", "decimal mark as a point"),
        ("P1,cycle,many,2026-06-01,", "amount", "no number"),
        ("P1,cycle,nan,2026-06-01,", "amount", "above zero"),
        ("P1,cycle,1,14.6.2026,", "at", "no day or time"),
        ("P1,cycle,1,1890-01-01,", "at", "too long ago"),
        ("P1,cycle,1,2099-01-01,", "at", "still to come"),
        ("P1,cycle,1,2024-01-01,", "at", "before P1 was bought"),
        ("P1,cycle,1", "", "3 columns where the header has 5"),
        ("P1,cycle,1,2026-06-01," + "x" * 301, "note", "longer than 300"),
        ("Reel 1,lost_m,501,2026-06-01,", "amount", "500 m left"),
    ],
)
def test_each_problem_is_named_by_row_and_column(kit, written, row, column, words):
    path = written(HEAD + "P1,cycle,1,2026-06-01,\n" + row + "\nP1,cycle,2,2026-06-02,\n")
    preview = look_through(path=path)
    assert [(one.row, one.column) for one in preview.problems] == [(3, column)]
    assert words in preview.problems[0].what
    with pytest.raises(Exception, match="Nothing was entered"):
        import_use(path=path)
    assert not UseEntry.objects.exists()


def test_all_problems_of_a_file_are_named_at_once(kit, written):
    path = written(HEAD + "P9,cycle,1,2026-06-01,\nP1,spin,x,yesterday,\nP9,fish,1,2026-06-01,\n")
    found = [(one.row, one.column) for one in look_through(path=path).problems]
    assert found == [(2, "thing"), (3, "kind"), (3, "amount"), (3, "at"), (4, "thing")]


def test_the_same_row_twice_in_a_file_is_named(kit, written):
    preview = look_through(path=written(GOOD + "P1,cycle,3,2026-06-01,\n"))
    assert [(one.row, one.what) for one in preview.problems] == [
        (5, "This is the same entry as in row 2.")
    ]


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (b"", "empty"),
        (b"thing;kind;amount;at\nP1;cycle;1;2026-06-01\n", "semicolons"),
        (b"name,sort,number\nP1,cycle,1\n", "missing: thing, kind, amount, at"),
        (b"thing,kind,amount,at,colour\n", "not known: colour"),
        (b"\x89PNG\r\n\x1a\n\x00\x00\x00\rIHDR\xff\xfe", "no text in UTF-8"),
        (GOOD.encode() + b'P1,cycle,2,2026-06-02,"half a no', "cut off"),
        (GOOD.encode() + b"P1,cyc", "cut off"),
    ],
)
def test_what_is_no_sound_table_is_refused(kit, written, content, words):
    path = written(content)
    preview = look_through(path=path)
    assert any(words in one.what for one in preview.problems)
    with pytest.raises(Exception, match="Nothing was entered"):
        import_use(path=path)
    assert not UseEntry.objects.exists()


def test_fifty_thousand_rows_are_read_in_a_fixed_number_of_queries_a_chunk(
    kit, written, django_assert_max_num_queries
):
    start = datetime.datetime(2025, 4, 1, tzinfo=datetime.UTC)
    lines = [HEAD]
    lines += [
        f"P1,cycle,1,{(start + datetime.timedelta(minutes=number)).isoformat()},\n"
        for number in range(50_000)
    ]
    path = written("".join(lines))
    with django_assert_max_num_queries(110):
        preview = look_through(path=path)
    assert (preview.rows, preview.new, preview.problems) == (50_000, 50_000, [])
    lines[25_000] = "P1,cycle,-1,2026-01-01,\n"
    assert [one.row for one in look_through(path=written("".join(lines))).problems] == [25_001]


def test_the_log_as_a_file_can_be_read_in_again(desk, kit, written):
    rod = ThingFactory(label="=cmd|' /C calc'!A0")
    record_use(thing=rod, kind="fish", at=datetime.datetime(2026, 6, 1, 8, tzinfo=datetime.UTC),
               note="+353 a note")  # fmt: skip
    import_use(path=written(GOOD))
    wrong = UseEntry.objects.get(kind="flight")
    reverse_use(entry=wrong, reason="not flown", at=wrong.at)
    text = b"".join(desk.get(reverse("use_csv"))).decode("utf-8-sig")
    rows = list(csv.reader(io.StringIO(text)))
    assert len(rows) == 6
    assert all(not cell.startswith(("=", "+", "-", "@")) for row in rows for cell in row)
    before = counts(on=TODAY)
    UseEntry.objects.filter(kind="reversal").delete()
    UseEntry.objects.all().delete()
    UseTally.objects.all().delete()
    shuffled = [rows[0], *reversed(rows[1:])]  # the reversal comes before what it takes out
    out = io.StringIO()
    csv.writer(out).writerows(shuffled)
    assert import_use(path=written(out.getvalue())).new == 5
    assert counts(on=TODAY) == before


def test_cells_that_look_like_formulas_are_made_harmless(desk):
    ThingFactory(label="@SUM(A1)", model_note="-2+3")
    text = b"".join(desk.get(reverse("gear_csv"))).decode("utf-8-sig")
    assert "'@SUM(A1)" in text
    assert "'-2+3" in text
    assert harmless("plain") == "plain"


def test_the_page_shows_problems_then_enters_a_sound_file_once(desk, kit):
    def send(text):
        file = SimpleUploadedFile("june.csv", text.encode())
        return desk.post(reverse("use_import"), {"file": file})

    refused = send(HEAD + "P9,cycle,1,2026-06-01,\n")
    assert refused.status_code == 422
    assert "No thing has the label" in refused.content.decode()
    page = send(GOOD)
    assert page.status_code == 200
    assert not UseEntry.objects.exists()
    token = page.context["token"]
    for _ in range(2):  # pressed twice
        assert desk.post(reverse("use_import_enter"), {"token": token}).status_code == 303
    assert UseEntry.objects.count() == 3
    assert desk.post(reverse("use_import_enter"), {"token": "../../x"}).status_code == 303
    assert UseEntry.objects.count() == 3


def test_the_command_looks_through_enters_and_refuses(kit, written, capsys):
    path = str(written(GOOD))
    call_command("import_use", path, "--dry-run", "--json")
    facts = json.loads(capsys.readouterr().out)
    assert (facts["new"], facts["entered"], facts["problems"]) == (3, 0, [])
    assert not UseEntry.objects.exists()
    call_command("import_use", path, "--zone", "Europe/Dublin")
    assert "3 uses entered" in capsys.readouterr().out
    flight = UseEntry.objects.get(kind="flight")
    assert flight.at == datetime.datetime(2026, 6, 1, 8, 30, tzinfo=datetime.UTC)
    bad = str(written(HEAD + "P9,cycle,1,2026-06-01,\n"))
    with pytest.raises(CommandError, match="1 problems in 1 rows"):
        call_command("import_use", bad)
    assert "Row 2, thing: No thing has the label 'P9'." in capsys.readouterr().out
    for arguments in (["nowhere.csv"], [path, "--zone", "Moon/Base"]):
        with pytest.raises(CommandError):
            call_command("import_use", *arguments)
