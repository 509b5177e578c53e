"""Debian's Chromium for tests of pages, and the two ways to wait for it.

A press that sends a form returns before the next page is there, and what is looked at then is the
old page, the new one half read, or none. So a test says which of its presses go to another page.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager, contextmanager
from typing import Any

import pytest

from tests.needs import need_command


@contextmanager
def chromium() -> Iterator[Any]:
    path = need_command("chromium", "chromium")
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        opened = playwright.chromium.launch(executable_path=path)
        yield opened
        opened.close()


@contextmanager
def watched(
    browser: Any, base: str, forgiven: Callable[[str], bool] = lambda _said: False
) -> Iterator[Any]:
    """A page of its own; what the browser complains of fails the test, but what is forgiven."""
    context = browser.new_context(base_url=base, accept_downloads=True)
    page = context.new_page()
    complaints: list[str] = []
    page.on("console", lambda said: complaints.append(said.text))
    page.on("pageerror", lambda error: complaints.append(str(error)))
    yield page
    context.close()
    assert [said for said in complaints if not forgiven(said)] == []


def next_page(page: Any) -> AbstractContextManager[Any]:
    """What is done within goes to another page; left when that page is loaded."""
    going: AbstractContextManager[Any] = page.expect_navigation(wait_until="load")
    return going


def until(page: Any, holds: str) -> None:
    """Looks until the expression holds; Playwright's own wait needs eval, which the policy of
    these pages forbids. An expression that can't be asked yet (no body, no such element) does
    not hold yet."""
    asked = f"(() => {{ try {{ return Boolean({holds}) }} catch {{ return false }} }})()"
    for _ in range(1600):
        if page.evaluate(asked):
            return
        page.wait_for_timeout(25)
    pytest.fail(f"this never held: {holds}")
