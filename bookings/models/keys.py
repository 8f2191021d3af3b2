"""The keys of the health notes: in the environment, or in a file that only its owner reads.

The newest key comes first and encrypts; the older ones still open what they closed.
"""

from __future__ import annotations

import os
from functools import lru_cache
from pathlib import Path

from cryptography.fernet import Fernet, MultiFernet
from django.conf import settings

ENVIRONMENT = "SANDSPIKE_HEALTH_KEYS"


class HealthKeyError(Exception):
    """The keys cannot be used; the sentence says why and what to do."""


def key_file() -> Path:
    return Path(settings.DATA_DIR) / "health_keys"


def keys_from_environment() -> bool:
    return bool(os.environ.get(ENVIRONMENT, "").strip())


def current_keys() -> tuple[str, ...]:
    """The keys in use, newest first; HealthKeyError when there are none to be read."""
    if keys_from_environment():
        return tuple(os.environ[ENVIRONMENT].replace(",", " ").split())
    return _read(key_file())


def cipher() -> MultiFernet:
    """Encrypts with the newest key and opens with any."""
    return _cipher(current_keys())


def has_keys() -> bool:
    return keys_from_environment() or key_file().exists()


def _read(file: Path) -> tuple[str, ...]:
    """The keys of a file, newest first; a file that others may read is closed to them."""
    try:
        if file.stat().st_mode & 0o077:
            file.chmod(0o600)
        return tuple(file.read_text(encoding="ascii").split())
    except FileNotFoundError:
        raise HealthKeyError(
            f"The key file {file} is missing. Put its backup in place: without it no health note "
            "can be read."
        ) from None
    except (OSError, ValueError):
        raise HealthKeyError(
            f"The key file {file} cannot be read. It must belong to the user that runs the desk, "
            "with mode 600."
        ) from None


def write_keys(keys: tuple[str, ...]) -> None:
    """Put these keys in place of the file's, whole or not at all."""
    file = key_file()
    fresh = file.with_name(f"{file.name}.{os.getpid()}.new")
    file.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
    try:
        with os.fdopen(os.open(fresh, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600), "w") as stream:
            stream.write("\n".join(keys) + "\n")
            stream.flush()
            os.fsync(stream.fileno())
        fresh.replace(file)
    except OSError as error:
        fresh.unlink(missing_ok=True)
        raise HealthKeyError(
            f"The key file {file} cannot be written ({error.strerror}). Nothing was changed."
        ) from None


def make_first_key() -> None:
    """Make the first key; whoever comes second uses the one that is there."""
    if has_keys():
        return
    file = key_file()
    file.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
    try:
        handle = os.open(file, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    except FileExistsError:
        return
    with os.fdopen(handle, "w", encoding="ascii") as stream:
        stream.write(new_key() + "\n")


def new_key() -> str:
    return Fernet.generate_key().decode("ascii")


@lru_cache(maxsize=8)
def _cipher(keys: tuple[str, ...]) -> MultiFernet:
    try:
        return MultiFernet([Fernet(key) for key in keys])
    except ValueError:
        raise HealthKeyError(
            f"The keys in {ENVIRONMENT} or in the file health_keys cannot be used: one of them is "
            "not as rotate_keys makes them, or there is none."
        ) from None
