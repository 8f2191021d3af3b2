"""`compute`: every pure computation, listed with its units and run by name."""

from __future__ import annotations

import json

import pytest

from tests.commands import manage
from tests.reference import published

pytestmark = pytest.mark.once


@pytest.fixture(scope="module")
def listed() -> dict[str, dict[str, object]]:
    return {each["name"]: each for each in manage("compute", "--json").facts}


def test_every_pure_room_is_in_the_list(listed: dict[str, dict[str, object]]) -> None:
    rooms = {str(each["room"]) for each in listed.values()}
    assert {
        "guiding.almanac",
        "guiding.flying",
        "guiding.costing",
        "bookings.rules",
        "equipment.rules",
        "guiding.days.rules",
        "guiding.safety.rules",
    } <= rooms
    assert len(listed) > 100


def test_each_says_what_it_computes_and_in_what_units(
    listed: dict[str, dict[str, object]],
) -> None:
    for name, each in listed.items():
        assert len(str(each["summary"])) > 15, name
        assert not name.startswith("_")
    hover = {argument["name"]: argument for argument in listed["hover_power_w"]["arguments"]}  # type: ignore[attr-defined]
    assert hover["thrust_n"]["unit"] == "N"
    assert hover["thrust_n"]["required"] is True
    assert hover["disk_m2"]["unit"] == "m²"
    assert hover["efficiency_share"]["default"] == "1.0"


def test_the_list_is_readable_too() -> None:
    words = manage("compute").out
    assert "hover_power_w(thrust_n: float N, disk_m2: float m²" in words
    assert "Metres of another diameter that fill the same spool" in words


def test_a_published_hover_comes_out() -> None:
    row = published.rows("flight_hover_cases")[1]
    done = manage(
        "compute",
        "hover_power_w",
        f"thrust_n={row['thrust_n']}",
        f"disk_m2={row['disk_area_total_m2']}",
        "--json",
    )
    assert done.code == 0, done.err
    assert done.facts["computation"] == "hover_power_w"
    assert done.facts["result"] == pytest.approx(float(row["ideal_power_w"]), rel=1e-4)


def test_records_lists_dates_and_money_are_read() -> None:
    done = manage("compute", "age_on", "born=2016-07-09", "on=2026-06-13", "--json")
    assert done.facts["result"] == 9
    done = manage("compute", "allocate_money", "total=10", "weights=[1,1,1]", "currency=EUR")
    assert done.code == 0, done.err
    done = manage(
        "compute",
        "allocate_money",
        "total=10",
        "weights=[1,1,1]",
        "currency=EUR",
        "--json",
    )
    assert sorted(str(part) for part in done.facts["result"]) == ["3.33", "3.33", "3.34"]


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("hover",), "Did you mean"),
        (("rm -rf",), "There is no computation"),
        (("hover_power_w",), "needs thrust_n, disk_m2 as well"),
        (("hover_power_w", "thrust_n=20"), "needs disk_m2 as well"),
        (("hover_power_w", "thrust_n=20", "disk_m2=wide"), "disk_m2='wide' cannot be used"),
        (("hover_power_w", "thrust_n=20", "disk_m2=nan"), "disk_m2='nan' cannot be used"),
        (("hover_power_w", "thrust_n=inf", "disk_m2=0.5"), "thrust_n='inf' cannot be used"),
        (("hover_power_w", "thrust_n=20", "disk_m2=-1"), ""),
        (("hover_power_w", "thrust_n=20", "disc=1", "disk_m2=1"), "has no argument 'disc'"),
        (("hover_power_w", "20"), "'20' is not of the form key=value"),
        (("age_on", "born=2016-07-09", "on=2001-01-01"), ""),
        (("age_on", "born=yesterday", "on=2001-01-01"), "born='yesterday' cannot be used"),
        (("allocate_money", "total=10", "weights=[1,", "currency=EUR"), "weights="),
        (("allocate_money", "total=10", "weights=[]", "currency=EUR"), ""),
        (("allocate_money", "total=10", "weights=[1]", "currency=SHELLS"), "SHELLS"),
    ],
)
def test_what_cannot_be_computed_is_one_sentence(words: tuple[str, ...], says: str) -> None:
    done = manage("compute", *words)
    assert done.code == 1
    assert says in done.err
    assert len(done.err.strip().splitlines()) == 1
    assert done.out == ""


def test_nothing_outside_the_pure_rooms_can_be_run(listed: dict[str, dict[str, object]]) -> None:
    for name in ("system", "open", "load_demo", "manage", "Path", "import_module"):
        assert name not in listed
    assert manage("compute", "os.system", "command=true").code == 1


def test_every_answer_of_a_plain_kind_is_json(listed: dict[str, dict[str, object]]) -> None:
    """Each computation whose arguments are all optional runs as it stands."""
    ran = 0
    for name, each in listed.items():
        if any(argument["required"] for argument in each["arguments"]):  # type: ignore[attr-defined]
            continue
        done = manage("compute", name, "--json")
        assert done.code == 0, (name, done.err)
        assert json.loads(done.out)["computation"] == name
        ran += 1
    assert ran > 0
