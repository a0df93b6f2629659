"""The examples in the docstrings run and give what they say."""

import doctest
import importlib
import pkgutil

import pytest

import overbend.frame

MODULES = [f"overbend.frame.{m.name}" for m in pkgutil.iter_modules(overbend.frame.__path__)]
DRAWN = ["shapes", "views", "stick_sheet", "tints"]


@pytest.mark.parametrize("name", [*MODULES, *(f"overbend.draw.{name}" for name in DRAWN)])
def test_examples(name):
    assert doctest.testmod(importlib.import_module(name)).failed == 0
