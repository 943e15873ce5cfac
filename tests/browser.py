"""A headless Chromium for tests of pages."""

from __future__ import annotations

import json
import os
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest

CHROMIUM, DRIVER = Path("/usr/bin/chromium"), Path("/usr/bin/chromedriver")
FLAGS = (
    "--headless=new",
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--force-device-scale-factor=1",
    "--hide-scrollbars",
)


@contextmanager
def chromium(scripts: bool = True) -> Iterator[Any]:
    """A fresh Chromium, driven by selenium, that logs its console and every request."""
    for program in (CHROMIUM, DRIVER):
        if not program.exists():
            _missing(f"{program} is not installed: the page cannot be tried in a browser")
    from selenium import webdriver
    from selenium.webdriver.chrome.service import Service

    options = webdriver.ChromeOptions()
    options.binary_location = str(CHROMIUM)
    options.set_capability("goog:loggingPrefs", {"browser": "ALL", "performance": "ALL"})
    if not scripts:
        options.add_experimental_option("prefs", {"profile.managed_default_content_settings.javascript": 2})
    with tempfile.TemporaryDirectory(ignore_cleanup_errors=True) as profile:
        for flag in (*FLAGS, f"--user-data-dir={profile}"):
            options.add_argument(flag)
        driver = webdriver.Chrome(options=options, service=Service(str(DRIVER)))
        try:
            driver.set_page_load_timeout(60)
            driver.set_script_timeout(60)
            driver.get("about:blank")  # away from the browser's own first page, which asks for much
            driver.get_log("performance")
            yield driver
        finally:
            driver.quit()


def _missing(why: str) -> None:
    if os.environ.get("OPTICHILL_REQUIRE_ALL") == "1":
        pytest.fail(why)
    pytest.skip(why)


@pytest.fixture(scope="module")
def browser() -> Iterator[Any]:
    """One Chromium for a module's tests."""
    with chromium() as driver:
        yield driver


@pytest.fixture(scope="module")
def scriptless() -> Iterator[Any]:
    """One with scripts off."""
    with chromium(scripts=False) as driver:
        yield driver


def sized(driver: Any, width: int, height: int = 900) -> None:
    """Show pages at this width, also below what a window may be."""
    told = {"width": width, "height": height, "deviceScaleFactor": 1, "mobile": False}
    driver.execute_cdp_cmd("Emulation.setDeviceMetricsOverride", told)


def requests(driver: Any) -> list[str]:
    """Every address asked for since the last call."""
    asked = []
    for entry in driver.get_log("performance"):
        message = json.loads(entry["message"])["message"]
        if message["method"] == "Network.requestWillBeSent":
            asked.append(message["params"]["request"]["url"])
        if message["method"] == "Network.webSocketCreated":
            asked.append(message["params"]["url"])
    return asked


def complaints(driver: Any) -> list[str]:
    """What the console said since the last call."""
    return [f"{entry['level']}: {entry['message']}" for entry in driver.get_log("browser")]
