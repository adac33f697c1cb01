"""The calculators in a browser: no barrier, no page too wide, an answer that follows what is changed."""

from collections.abc import Callable
from typing import Any

import pytest
from django.contrib.auth.models import User

pytestmark = [pytest.mark.browser, pytest.mark.databases("sqlite"), pytest.mark.django_db(transaction=True)]
HOME = "/spec-tables/calculators/"
RING = "cross_section=0.139&tolerance=0.004&depth_min=.110&depth_max=.116&width_min=.19&width_max=.2"
PAGES = (
    HOME,
    f"{HOME}o-ring-gland/",
    f"{HOME}o-ring-gland/?{RING}&length_unit=%5Bin_i%5D",
    f"{HOME}o-ring-gland/?cross_section=3,53",
    f"{HOME}o-ring-size/?inside=18.7&cross_section=3.5",
    f"{HOME}wire-voltage-drop/?gauge=12&length=10+ft&current=20&supply=12&show_voltage=mV",
    f"{HOME}heater-bank/?supply=12&resistance=0.6&resistance_max=.66&count=8&measured=140",
    f"{HOME}tightening-torque/?thread=M8&torque=25",
)


def test_no_calculator_has_a_barrier_or_is_wider_than_a_small_phone(
    open_page: Callable[..., Any], user: User, axe: Callable[[Any], list[str]]
) -> None:
    page = open_page(user, width=360)
    for path in PAGES:
        page.goto(path)
        for details in page.locator("details:not([open]) > summary").all():
            details.click()
        assert page.evaluate("document.documentElement.scrollWidth") <= 360, path
        assert axe(page) == [], path


def test_a_torque_is_worked_out_by_keyboard_alone_and_follows_a_change(
    open_page: Callable[..., Any], user: User
) -> None:
    page = open_page(user)
    page.goto(f"{HOME}tightening-torque/")
    page.focus("#id_thread")
    page.keyboard.type("M8")
    page.keyboard.press("Enter")
    page.wait_for_selector("dd:has-text('25.48 N·m')")
    assert page.url.endswith("?thread=M8&property_class=8.8&surface=zinc")
    assert page.evaluate("document.activeElement.id") == "id_thread"
    page.select_option("#id_surface", "lubricated")
    page.wait_for_selector("dd:has-text('22.93 N·m')")
    assert "surface=lubricated" in page.url
    page.reload()
    assert "22.93 N·m" in page.inner_text("#calculator")
