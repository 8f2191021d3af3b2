"""The README names every command and every setting, and each command shows an example."""

import re
from pathlib import Path

import pytest
from django.core.management import get_commands, load_command_class

ROOT = Path(__file__).resolve().parents[2]
HOUSES = ("bookings", "equipment", "guiding")
OURS = {name: app for name, app in get_commands().items() if str(app).split(".")[0] in HOUSES}


@pytest.fixture(scope="module")
def readme() -> str:
    return (ROOT / "README.md").read_text()


@pytest.mark.parametrize("name", sorted(OURS))
def test_a_command_is_in_the_readme_and_shows_an_example(name: str, readme: str) -> None:
    assert f"`manage.py {name}" in readme
    told = load_command_class(OURS[name], name).create_parser("manage.py", name).format_help()
    assert re.search(f"Examples?: manage.py {name}", " ".join(told.split()))


def test_every_setting_is_in_the_readme(readme: str) -> None:
    source = (ROOT / "guiding" / "settings.py").read_text()
    read = set(
        re.findall(r'(?:env\.\w+|_flag|_number|_networks|_service_address)\(\s*"([A-Z_]+)"', source)
    )
    assert len(read) > 10
    assert [name for name in sorted(read) if f"`{name}`" not in readme] == []
