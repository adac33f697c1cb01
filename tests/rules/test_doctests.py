"""The worked examples written in the rules modules are run as they stand, so they cannot drift."""

import doctest
import importlib
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
APPS = ("shop", "catalog", "estimates")
MODULES = sorted(
    ".".join(path.relative_to(ROOT).with_suffix("").parts)
    for app in APPS
    for path in (ROOT / app / "rules").rglob("*.py")
    if path.name != "__init__.py"
)


def test_the_rules_modules_are_found():
    assert "shop.rules.errors" in MODULES


@pytest.mark.parametrize("name", MODULES)
def test_the_examples_in_a_rules_module_hold(name):
    result = doctest.testmod(importlib.import_module(name), raise_on_error=False, verbose=False)
    assert result.attempted > 0, f"{name} has no worked example; open it with one"
    assert result.failed == 0, f"{result.failed} of {result.attempted} examples in {name} failed"
