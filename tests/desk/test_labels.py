"""Labels of gear: printed, cut, scanned; the code opens the page of the thing it hangs on."""

from __future__ import annotations

from pathlib import Path
from urllib.parse import urlsplit

import pytest
from django.test import Client
from django.urls import reverse

from bookings.models import Business
from equipment.models import Thing
from tests.commands import manage
from tests.factories_equipment import (
    CraftFactory,
    FlightPackFactory,
    ReelFactory,
    ThingFactory,
)
from tests.papers import reading
from tests.papers.codes import DPI, modules, needs_printer, printed, read_code
from tests.visit import Visitor

pytestmark = [pytest.mark.django_db, pytest.mark.once]
MM = DPI / 25.4


@pytest.fixture
def kit(business: Business) -> list[str]:
    """The labels of one of each page's kind, in the order of the sheet."""
    ThingFactory(label="Beacon 1", kind="beacon", serial="B-77")
    ThingFactory(label="Rod <1>", kind="rod")
    ReelFactory(label="Reel 1")
    FlightPackFactory(label="P1", rated_ah=3.8)
    CraftFactory(label="Gannet", model_note="folding quad")
    ThingFactory(label="Sold", retired_on="2026-01-01", retired_reason="sold")
    return ["Gannet", "P1", "Reel 1", "Rod <1>", "Beacon 1"]


def box_of(place: int) -> tuple[float, float, float]:
    """Where the code of a place on an A4 sheet of 3 by 8 labels is: left, top, side in pixels."""
    row, column = divmod(place, 3)
    left, top, side = (210 - 3 * 63) / 2, (297 - 8 * 33) / 2, 63 * 0.45
    return (left + 63 * column + 2) * MM, (top + 33 * row + (33 - side) / 2) * MM, side * MM


@needs_printer
def test_each_code_opens_the_page_of_its_thing(
    kit: list[str], desk: Client, settings: object, tmp_path: Path
) -> None:
    settings.PUBLIC_URL = "https://desk.marramhead.example"  # type: ignore[attr-defined]
    out = tmp_path / "labels.pdf"
    done = manage("labels", "--out", str(out), "--start", "4")
    assert done.code == 0, done.err
    assert done.out.startswith(f"{out}  5 labels, ")
    picture = printed(out.read_bytes(), tmp_path)
    visitor = Visitor(desk)
    for place, label in enumerate(kit, 4):
        address = urlsplit(read_code(modules(picture, box_of(place))))
        assert (address.scheme, address.netloc) == ("https", "desk.marramhead.example")
        page = visitor.go(address.path)
        assert page.status == 200
        assert f"<h1>{label.replace('<', '&lt;').replace('>', '&gt;')}</h1>" in page.html


def test_a_label_says_what_it_is_and_whose(kit: list[str], tmp_path: Path) -> None:
    out = tmp_path / "labels.pdf"
    assert manage("labels", "--out", str(out)).code == 0
    words = " ".join(reading.text(out.read_bytes()).split())
    assert "Gannet Craft, folding quad Marram Head Shore Days" in words
    assert "4S LiPo, 3.8 Ah, 56 Wh" in words.replace("\N{NO-BREAK SPACE}", " ")
    assert "Beacon 1 Beacon No. B-77" in words
    assert "Rod <1>" in words
    assert "Sold" not in words


def test_some_labels_are_chosen_on_the_page(kit: list[str], desk: Client) -> None:
    visitor = Visitor(desk)
    visitor.go(reverse("gear"))
    page = visitor.follow("Print labels")
    assert "5 things in use" in page.text.replace("\N{NO-BREAK SPACE}", " ")
    assert len(page.form("thing").choices["thing"]) == 5
    chosen = list(Thing.objects.filter(label__in=["P1", "Reel 1"]).values_list("pk", flat=True))
    answer = desk.get(reverse("labels_file"), {"thing": chosen, "start": "3", "paper": "Letter"})
    assert answer["Content-Type"] == "application/pdf"
    words = reading.text(answer.content)
    assert "P1" in words
    assert "Reel 1" in words
    assert "Gannet" not in words
    everything = reading.text(desk.get(reverse("labels_file")).content)
    assert all(label in everything for label in kit)


@pytest.mark.parametrize(
    ("asked", "says"),
    [
        ({"start": "21"}, "less than or equal to 20"),
        ({"start": "-1"}, "greater than or equal to 0"),
        ({"thing": "P1"}, "P1 is not one of the available choices"),
        ({"paper": "A3"}, "A3 is not one of the available choices"),
    ],
)
def test_what_cannot_be_is_said_and_the_ticks_stay(
    kit: list[str], desk: Client, asked: dict[str, str], says: str
) -> None:
    ticked = desk.get(reverse("labels")).context["groups"]
    number = next(iter(ticked))[1][0].thing_id
    page = desk.get(reverse("labels_file"), {"thing": [number]} | asked)
    assert page.status_code == 422
    assert says in page.content.decode()
    if "thing" not in asked:
        assert f'value="{number}" checked' in page.content.decode()


def test_nothing_to_label_is_a_sentence(desk: Client, tmp_path: Path) -> None:
    assert "Nothing is in use that could wear a label" in Visitor(desk).go(reverse("labels")).text
    page = Visitor(desk).go(reverse("labels_file"), thing="424242")
    assert "There is nothing to label" in page.told
    done = manage("labels", "--out", str(tmp_path / "labels.pdf"))
    assert done.refused
    assert "There is nothing to label" in done.err
    assert not (tmp_path / "labels.pdf").exists()


def test_a_desk_that_only_this_machine_opens_says_so(
    kit: list[str], desk: Client, settings: object
) -> None:
    assert "only this machine can open" in Visitor(desk).go(reverse("labels")).text
    settings.PUBLIC_URL = "https://desk.marramhead.example"  # type: ignore[attr-defined]
    assert "only this machine can open" not in Visitor(desk).go(reverse("labels")).text
