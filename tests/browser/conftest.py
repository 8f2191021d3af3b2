"""What every test in a browser shares: one Chromium, a phone, and what it complains of."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, BrowserContext, expect, sync_playwright

from tests.browser.sizes import PHONE
from tests.machine import CHROMIUM_FLAGS, chromium

# A busy machine is slow, not wrong: what a page shows is waited for as long as a page itself.
expect.set_options(timeout=30_000)


@pytest.fixture(scope="module")
def chrome(django_db_setup: None) -> Iterator[Browser]:
    path = chromium()
    if path is None:
        pytest.skip("no Chromium on this machine")
    # The player's loop runs in this thread; the database is asked beside it, never inside.
    with pytest.MonkeyPatch.context() as patch, sync_playwright() as player:
        patch.setenv("DJANGO_ALLOW_ASYNC_UNSAFE", "true")
        opened = player.chromium.launch(executable_path=path, args=CHROMIUM_FLAGS)
        yield opened
        opened.close()


@pytest.fixture
def phone(chrome: Browser) -> Iterator[BrowserContext]:
    context = chrome.new_context(
        viewport=PHONE, has_touch=True, is_mobile=True, device_scale_factor=2
    )
    context.set_default_timeout(30_000)
    yield context
    context.close()
