"""The wheel: built, installed where nothing of the checkout is, and used from another folder."""

from __future__ import annotations

import json
import os
import re
import shutil
import subprocess
import sys
import sysconfig
import zipfile
from collections.abc import Callable
from pathlib import Path

import pytest

from guiding import __version__

ROOT = Path(__file__).resolve().parent.parent
PAPERS = ["trip-sheet.pdf", "run-sheet.pdf", "cost-sheet.pdf", "cost.csv", "invite.ics"]

pytestmark = [pytest.mark.slow, pytest.mark.xdist_group("wheel")]

Run = Callable[..., subprocess.CompletedProcess[str]]


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Built from a copy, so that nothing is left lying in the checkout."""
    source = tmp_path_factory.mktemp("source") / "sandspike"
    leave = shutil.ignore_patterns("__pycache__", "var", "out", "build", "dist", "*.egg-info", ".*")
    shutil.copytree(ROOT, source, ignore=leave)
    target = tmp_path_factory.mktemp("dist")
    done = subprocess.run(
        [
            *(sys.executable, "-m", "build", "--wheel", "--no-isolation"),
            *("--outdir", str(target), str(source)),
        ],
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stdout + done.stderr
    [built] = target.glob("*.whl")
    return built


@pytest.fixture(scope="module")
def installed(wheel: Path, tmp_path_factory: pytest.TempPathFactory) -> Run:
    """Runs a command of an environment that holds the wheel; its libraries are borrowed."""
    place = tmp_path_factory.mktemp("environment") / "env"
    subprocess.run([sys.executable, "-m", "venv", "--without-pip", str(place)], check=True)
    python = place / "bin" / "python"
    install = ["--python", str(python), "install", "--quiet", "--no-deps", "--no-index"]
    subprocess.run([sys.executable, "-m", "pip", *install, str(wheel)], check=True)
    [packages] = place.glob("lib/python*/site-packages")
    (packages / "borrowed.pth").write_text(sysconfig.get_path("purelib"))
    elsewhere, home = tmp_path_factory.mktemp("elsewhere"), tmp_path_factory.mktemp("home")
    kept = {name: os.environ[name] for name in ("PATH", "LANG", "TMPDIR") if name in os.environ}

    def run(
        *command: str, person: Path = home, here: Path = elsewhere, code: int = 0
    ) -> subprocess.CompletedProcess[str]:
        done = subprocess.run(
            [str(place / "bin" / command[0]), *command[1:]],
            env=kept | {"HOME": str(person)},
            cwd=here,
            capture_output=True,
            text=True,
            check=False,
        )
        assert done.returncode == code, f"{command}: {done.stdout}{done.stderr}"
        return done

    return run


def test_the_wheel_carries_code_pages_look_and_the_demo(wheel: Path) -> None:
    names = set(zipfile.ZipFile(wheel).namelist())
    wanted = {
        str(path.relative_to(ROOT))
        for house in ("guiding", "bookings", "equipment")
        for path in (ROOT / house).rglob("*")
        if path.is_file() and "__pycache__" not in path.parts
    }
    assert len(wanted) > 200
    assert sorted(wanted - names) == []
    for shipped in ("demo/season.json", "countries/facts.csv", "countries/emergency.csv"):
        assert f"guiding/fixtures/{shipped}" in names


def test_the_wheel_carries_nothing_else(wheel: Path) -> None:
    names = zipfile.ZipFile(wheel).namelist()
    strange = [
        name
        for name in names
        if not name.startswith(("guiding/", "bookings/", "equipment/", "sandspike-"))
        or name.startswith("guiding/fixtures/reference")
    ]
    assert strange == []


def test_the_wheel_asks_for_what_runs_and_no_more(wheel: Path) -> None:
    with zipfile.ZipFile(wheel) as archive:
        [name] = [name for name in archive.namelist() if name.endswith(".dist-info/METADATA")]
        metadata = archive.read(name).decode()
    needs = [line for line in metadata.splitlines() if line.startswith("Requires-Dist:")]
    always = [line for line in needs if "extra ==" not in line]
    assert any("Django" in line for line in always)
    assert not [line for line in always if "pytest" in line or "ruff" in line]
    assert "Requires-Python: >=3.11" in metadata


def test_the_desk_runs_from_the_wheel_in_another_folder(installed: Run) -> None:
    where = installed("python", "-c", "import guiding, os; print(guiding.__file__, os.getcwd())")
    file, here = where.stdout.split()
    assert "site-packages" in file
    assert not Path(file).is_relative_to(ROOT)
    installed("sandspike", "migrate", "--verbosity", "0")
    loaded = json.loads(installed("sandspike", "demo", "--today", "2026-06-01", "--json").stdout)
    assert loaded["new"] is True
    installed("sandspike", "check_books")
    lines = installed("sandspike", "papers", "--next", "--out", "out").stdout.splitlines()
    assert len(lines) >= len(PAPERS)
    for name in PAPERS:
        assert (Path(here) / "out" / name).stat().st_size > 300
    assert [path.name for path in Path(here).iterdir()] == ["out"], "data lies where it belongs"


def test_an_installed_desk_tells_about_itself_and_leaves_nothing(
    installed: Run, tmp_path: Path
) -> None:
    person, here = tmp_path / "person", tmp_path / "here"
    person.mkdir()
    here.mkdir()

    def told(*words: str, code: int = 0) -> str:
        done = installed("sandspike", *words, person=person, here=here, code=code)
        assert "manage.py" not in done.stdout + done.stderr
        return done.stdout + done.stderr

    assert told("--version") == told("serve", "--version") == f"sandspike {__version__}\n"
    help_ = told("--help")
    [folder] = re.findall(r"files of this desk lie in (.*)", help_)
    assert Path(folder).is_relative_to(person)
    assert "sandspike help <subcommand>" in help_
    assert told() == help_
    assert "Example: sandspike serve --address" in " ".join(told("serve", "--help").split())
    assert list(person.rglob("*")) == list(here.rglob("*")) == []

    said = told("check_books", code=1)
    assert said == "The tables are not there yet: run sandspike migrate.\n"
    assert sorted(path.name for path in Path(folder).iterdir()) == [
        "sandspike.sqlite3",
        "secret_key",
        "static",
    ]
    assert list(here.rglob("*")) == []


def test_an_installed_desk_reads_its_settings_from_a_file(installed: Run, tmp_path: Path) -> None:
    (tmp_path / ".env").write_text(f"SANDSPIKE_DATA={tmp_path}/own\nMAIL_FROM=a@example.org\n")
    (tmp_path / "own").mkdir()
    (tmp_path / "own" / ".env").write_text(
        "MAIL_FROM=b@example.org\nSANDSPIKE_URL=https://desk.example.org\n"
    )
    ask = "from django.conf import settings as s; print(s.DEFAULT_FROM_EMAIL, s.PUBLIC_URL)"
    done = installed(
        "sandspike", "shell", "--no-imports", "-c", ask, person=tmp_path, here=tmp_path
    )
    assert done.stdout.split() == ["a@example.org", "https://desk.example.org"]
    assert (tmp_path / "own" / "secret_key").exists()


def test_pages_and_their_look_are_served_from_the_wheel(installed: Run) -> None:
    script = (
        "from django.test import Client\n"
        "from django.conf import settings\n"
        "settings.ALLOWED_HOSTS = ['testserver']\n"
        "print(Client().get('/account/login/', follow=True).status_code)\n"
        "from django.contrib.staticfiles import finders\n"
        "print(bool(finders.find('sandspike/desk.css')), bool(finders.find('sandspike/desk.js')))\n"
    )
    installed("sandspike", "migrate", "--verbosity", "0")
    done = installed("sandspike", "shell", "--no-imports", "-c", script)
    assert done.stdout.split()[-3:] == ["200", "True", "True"]
