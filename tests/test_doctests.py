"""Every example in every docstring runs."""

import doctest
import importlib
import pkgutil

import pytest

import overbend

MODULES = sorted(m.name for m in pkgutil.walk_packages(overbend.__path__, "overbend."))


@pytest.mark.parametrize("name", [m for m in MODULES if not m.endswith("__main__")])
def test_examples_in(name):
    module = importlib.import_module(name)
    assert doctest.testmod(module, optionflags=doctest.NORMALIZE_WHITESPACE).failed == 0
