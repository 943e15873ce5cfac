"""A hand on the trade-off page: what a person does there, and sees."""

from __future__ import annotations

from decimal import ROUND_HALF_UP, Decimal
from pathlib import Path
from typing import Any

from browser import sized

WIDE, PHONE = 1280, 390


def show(driver: Any, path: Path, width: int = WIDE) -> None:
    """Load a page from its file, and wait until everything is drawn."""
    sized(driver, width)
    driver.get(path.as_uri())
    settle(driver)


def settle(driver: Any) -> None:
    """Wait until all is drawn: two frames."""
    driver.execute_async_script(
        "const done = arguments[0]; requestAnimationFrame(() => requestAnimationFrame(() => done()));"
    )


def at_most(driver: Any, key: str, value: str) -> None:
    """Write a number into a field, as typing does."""
    driver.execute_script(
        "const f = document.querySelector(`[data-most=${arguments[0]}]`); f.value = arguments[1];"
        "f.dispatchEvent(new Event('input', {bubbles: true}));",
        key,
        value,
    )
    settle(driver)


def names(driver: Any, table: str) -> list[str]:
    return driver.execute_script(
        f"return [...document.querySelectorAll('#{table} .pick')].map((b) => b.textContent)"
    )


def charted(driver: Any) -> dict[str, list[str]]:
    """Of each chart the coils whose marks stand in it."""
    return driver.execute_script(
        "return Object.fromEntries(tradeoff.fields.map((one) => [one.key, one.drawn()]))"
    )


def state(driver: Any, name: str) -> Any:
    return driver.execute_script("return tradeoff.state()[arguments[0]]", name)


def pick(driver: Any, table: str, at: int) -> None:
    driver.execute_script(f"document.querySelectorAll('#{table} .pick')[arguments[0]].click()", at)
    settle(driver)


def rounded(value: float, decimals: int) -> float:
    return float(Decimal(value).quantize(Decimal(1).scaleb(-decimals), rounding=ROUND_HALF_UP))


def text_of(driver: Any, selector: str) -> str:
    return driver.execute_script("return document.querySelector(arguments[0]).textContent", selector)
