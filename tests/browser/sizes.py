"""The two windows every page is looked at in, and what a page is asked for in both."""

from __future__ import annotations

from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Locator, Page, ViewportSize

PHONE: ViewportSize = {"width": 360, "height": 740}
DESK: ViewportSize = {"width": 1280, "height": 900}


def complaints(page: Page) -> list[str]:
    """What the console and the scripts complain of from here on."""
    heard: list[str] = []
    page.on("console", lambda line: heard.append(line.text) if line.type == "error" else None)
    page.on("pageerror", lambda error: heard.append(str(error)))
    return heard


def sideways(page: Page) -> int:
    """How far the page can be pushed to the side, in pixels."""
    return int(page.evaluate("document.documentElement.scrollWidth - innerWidth"))


def findings(page: Page) -> list[str]:
    """What stands in the way of somebody who reads or steers otherwise: serious findings only."""
    found = Axe().run(page).response["violations"]
    return [
        f"{each['id']}: {each['nodes'][0]['html'][:160]}"
        for each in found
        if each["impact"] in {"serious", "critical"}
    ]


def follow(page: Page, way: Locator) -> None:
    """Taps it and waits for the page behind it, so that nothing is asked of the old one."""
    with page.expect_navigation():
        way.click()


def sign_in(page: Page, url: str, mail: str, password: str = "sand and spike 26") -> None:  # noqa: S107
    page.goto(f"{url}/account/login/")
    page.locator("#id_login").fill(mail)
    page.locator("#id_password").fill(password)
    with page.expect_navigation(url=lambda there: "/account/login/" not in there):
        page.get_by_role("button", name="Sign in").click()
