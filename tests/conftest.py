"""What every test shares: the hypothesis profile, folders of its own, people who sign in."""

from __future__ import annotations

import gc
import os
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest
from hypothesis import HealthCheck
from hypothesis import settings as hypothesis_settings

from guiding import settings as real_settings

if TYPE_CHECKING:
    from django.contrib.auth.models import User
    from django.test import Client

# The gate tries the same examples every time: a red run is the fault of the change under it.
# `HYPOTHESIS_PROFILE=search` looks for new ones; what it finds becomes an `@example` of its test.
hypothesis_settings.register_profile(
    "house",
    deadline=None,  # two shared cores: a slow minute is no failure
    max_examples=60,
    derandomize=True,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.function_scoped_fixture],
)
hypothesis_settings.register_profile(
    "search",
    parent=hypothesis_settings.get_profile("house"),
    derandomize=False,
    max_examples=400,
)
hypothesis_settings.load_profile(os.environ.get("HYPOTHESIS_PROFILE", "house"))


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """The long ones first: at the end neither worker then waits for the other."""
    items.sort(key=lambda item: item.get_closest_marker("slow") is None)


def pytest_collection_finish(session: pytest.Session) -> None:
    """What is loaded stays; to look it through for rubbish took a sixth of a run."""
    gc.collect()
    gc.freeze()
    gc.set_threshold(100_000, 50, 100)


@pytest.fixture(autouse=True)
def own_folders(settings: Any, tmp_path: Path) -> None:
    """No test touches the files of a desk in use, and none waits for a slow password."""
    settings.DATA_DIR = tmp_path
    settings.MEDIA_ROOT = tmp_path / "files"
    settings.EMAIL_FILE_PATH = tmp_path / "mail"
    # What the desk itself uses costs 0.3 s a password; `tests/test_settings.py` tries that one.
    quick = "django.contrib.auth.hashers.MD5PasswordHasher"
    settings.PASSWORD_HASHERS = [quick, *real_settings.PASSWORD_HASHERS]


@pytest.fixture(scope="session")
def django_db_modify_db_settings(django_db_modify_db_settings_parallel_suffix: None) -> None:
    """Lets two runs on one PostgreSQL server keep out of each other's way."""
    suffix = os.environ.get("SANDSPIKE_TEST_DB", "")
    if suffix:
        from django.db import connections

        for name in connections:
            test = connections[name].settings_dict["TEST"]
            test["NAME"] = f"{test.get('NAME') or 'test_sandspike'}_{suffix}"


@pytest.fixture(scope="session")
def django_db_setup(
    django_test_environment: None,
    django_db_blocker: Any,
    django_db_modify_db_settings: None,
) -> Iterator[None]:
    """A database for this process, copied from the one that an earlier run left migrated."""
    from django.test import TransactionTestCase

    from tests import stored

    with (
        django_db_blocker.unblock(),
        stored.test_database() as fill,
        pytest.MonkeyPatch.context() as patch,
    ):
        patch.setattr(TransactionTestCase, "_fixture_teardown", lambda _: fill())
        yield


@pytest.fixture
def business(db: None) -> Any:
    from tests.factories import BusinessFactory

    return BusinessFactory()


@pytest.fixture
def owner(business: Any) -> User:
    """The guide: may do everything."""
    from tests.factories import UserFactory

    return UserFactory(is_superuser=True, is_staff=True)


@pytest.fixture
def desk(client: Client, owner: User) -> Client:
    """A browser in which the guide has signed in."""
    client.force_login(owner, backend="allauth.account.auth_backends.AuthenticationBackend")
    return client


@pytest.fixture
def season(db: None) -> Iterator[Any]:
    """The demo season around 1 June 2026, and the clock at noon of that day."""
    import time_machine

    from tests.season import NOON, pour_season

    with time_machine.travel(NOON, tick=False):
        yield pour_season()


@pytest.fixture
def season_desk(season: Any, client: Client) -> Client:
    """A browser in which the guide of the demo season has signed in."""
    from django.contrib.auth.models import User

    client.force_login(
        User.objects.get(email=season.email),
        backend="allauth.account.auth_backends.AuthenticationBackend",
    )
    return client
