"""Where a desk keeps what is its own, and what its program is called.

Settings only read these places; whoever opens the desk (a command, a server) makes them first. So
a program that only tells about itself leaves nothing behind.
"""

from __future__ import annotations

import os
import secrets
import time
from pathlib import Path

import platformdirs
from django.core.exceptions import ImproperlyConfigured
from environs import Env

PACKAGE_DIR = Path(__file__).resolve().parent
ROOT_DIR = PACKAGE_DIR.parent
CHECKOUT = (ROOT_DIR / "manage.py").exists()
PROGRAM = "manage.py" if CHECKOUT else "sandspike"
_LEAST_KEY = 50
env = Env()


def read_env_files() -> None:
    """Take settings from `.env`: here, where the desk is installed, then in the data folder.

    What the environment says already stands.
    """
    if not CHECKOUT:
        _read(Path.cwd() / ".env")
    _read(data_dir() / ".env")


def data_dir() -> Path:
    """The folder of database, key and files: `var/` of a checkout, else the user's own."""
    given = env.str("SANDSPIKE_DATA", "")
    if given:
        return Path(given).expanduser()
    return ROOT_DIR / "var" if CHECKOUT else platformdirs.user_data_path("sandspike", False)


def make_places() -> None:
    """Make the data folder, and the key in it unless the environment gives one."""
    read_env_files()
    folder = data_dir()
    try:
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
        (folder / "static").mkdir(exist_ok=True)  # whitenoise warns of a folder that is not there
    except OSError as error:
        raise ImproperlyConfigured(
            f"SANDSPIKE_DATA names {folder}, which cannot be made or used ({error.strerror}). "
            "Name a folder that this user may write to."
        ) from error
    if not env.str("SECRET_KEY", ""):
        _make_key(folder / "secret_key")


def secret_key() -> str:
    """The key from the environment, else from its file; where there is none, one for this process.

    Raises ImproperlyConfigured for one that is too short.
    """
    given = env.str("SECRET_KEY", "")
    if given:
        if len(given) < _LEAST_KEY:
            raise ImproperlyConfigured(
                "SECRET_KEY is shorter than 50 characters. Give a longer random one, or leave it "
                "out and a good one is made on the first run."
            )
        return given
    return kept_key(data_dir() / "secret_key")


def kept_key(file: Path) -> str:
    """The key that lies in a file that only its owner reads."""
    for _ in range(40):  # another process may have made it a moment ago and write it still
        try:
            kept = file.read_text(encoding="ascii").strip()
        except OSError:
            return secrets.token_urlsafe(64)
        if len(kept) >= _LEAST_KEY:
            return kept
        time.sleep(0.05)
    raise ImproperlyConfigured(
        f"The key file {file} is empty or cut short. Put its backup in place, or delete it: "
        "everybody then has to sign in again."
    )


def _make_key(file: Path) -> None:
    try:
        handle = os.open(file, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    except FileExistsError:
        return
    with os.fdopen(handle, "w", encoding="ascii") as stream:
        stream.write(secrets.token_urlsafe(64))


def _read(file: Path) -> None:
    try:
        if file.is_file():
            env.read_env(str(file), recurse=False)
    except OSError as error:
        raise ImproperlyConfigured(f"{file} cannot be read ({error.strerror}).") from error
