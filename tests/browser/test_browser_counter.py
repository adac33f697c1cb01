"""The counter by keyboard: type, arrow, Enter, and the verdict is there; and on a phone at the shelf."""

from collections.abc import Callable
from typing import Any

import pytest
from django.contrib.auth.models import User

from tests.web.shelf import ready_shelf

pytestmark = [pytest.mark.browser, pytest.mark.databases("sqlite"), pytest.mark.django_db(transaction=True)]


def type_slowly(page: Any, text: str, options: int) -> None:
    page.keyboard.type(text, delay=15)
    page.wait_for_function(
        "n => document.querySelectorAll('#suggestions:not([hidden]) [role=option]').length === n", arg=options
    )


def test_a_number_is_typed_chosen_with_the_arrows_and_answered(
    open_page: Callable[..., Any], user: User, axe: Callable[[Any], list[str]]
) -> None:
    ready_shelf()
    page = open_page(user)
    page.goto("/counter/?family=hg-v4&option-heater-connector=9-way")
    assert page.evaluate("document.activeElement.id") == "q"
    type_slowly(page, "gx10", 2)
    box = page.locator("#q")
    assert box.get_attribute("aria-expanded") == "true"
    page.keyboard.press("ArrowDown")
    page.keyboard.press("ArrowDown")
    page.keyboard.press("ArrowUp")
    chosen = page.locator(f"#{box.get_attribute('aria-activedescendant')}")
    assert "Orlin GX-1042/B" in chosen.inner_text()
    assert axe(page) == []
    page.keyboard.press("Enter")
    page.wait_for_selector(".outcome")
    assert page.inner_text(".outcome") == "Fits"
    assert page.locator(".outcome").bounding_box()["y"] < 800  # at first glance, without scrolling
    assert axe(page) == []


def test_escape_puts_the_suggestions_away_and_enter_looks_up_what_was_typed(
    open_page: Callable[..., Any], user: User
) -> None:
    ready_shelf()
    page = open_page(user)
    page.goto("/counter/")
    type_slowly(page, "gx10", 2)
    page.keyboard.press("ArrowDown")
    page.keyboard.press("Escape")
    assert page.locator("#suggestions").is_hidden()
    assert page.locator("#q").get_attribute("aria-activedescendant") is None
    page.keyboard.press("Enter")
    page.wait_for_selector("#found")
    assert page.locator(".hits li").count() == 2


def test_without_a_script_the_box_is_a_plain_form(open_page: Callable[..., Any], user: User) -> None:
    ready_shelf()
    page = open_page(user, java_script_enabled=False)
    page.goto("/counter/")
    page.fill("#q", "gx-1042b")
    page.keyboard.press("Enter")
    page.wait_for_selector(".outcome")
    assert "GX-1042/B" in page.inner_text("article h3")


def test_a_part_is_collected_on_a_small_phone(
    open_page: Callable[..., Any], user: User, axe: Callable[[Any], list[str]]
) -> None:
    ready_shelf()
    page = open_page(user, width=360)
    page.goto("/counter/?number=GX-1042%2FB&family=hg-v4&option-heater-connector=9-way&quantity=3")
    page.evaluate("document.querySelectorAll('details').forEach(one => { one.open = true })")
    assert page.evaluate("document.documentElement.scrollWidth") <= 360
    assert axe(page) == []
    page.locator(".offers button").first.click()
    page.wait_for_selector("text=on the shelf list")
    page.goto("/counter/list/")
    assert page.evaluate("document.documentElement.scrollWidth") <= 360
    assert axe(page) == []
    # 44 CSS pixels: the size of a target in WCAG 2.2, success criterion 2.5.5
    small = page.evaluate(
        "[...document.querySelectorAll('.collect button, .collect input:not([type=hidden]), .collect h2 a, "
        "main > form button')].filter(e => e.getBoundingClientRect().height < 44).map(e => e.outerHTML)"
    )
    assert small == []
    page.click("text=Take off")
    page.wait_for_selector("text=Nothing is on the list")
