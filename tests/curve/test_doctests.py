"""The examples in the docstrings run and give what they say."""

import doctest
import importlib
import pkgutil

import pytest

import overbend.curve

MODULES = [m.name for m in pkgutil.iter_modules(overbend.curve.__path__)]


@pytest.mark.parametrize("name", MODULES)
def test_examples(name):
    module = importlib.import_module(f"overbend.curve.{name}")
    assert doctest.testmod(module).failed == 0


def test_the_public_functions_have_examples():
    found = doctest.DocTestFinder().find(overbend.curve)
    assert found is not None
    without = [
        name
        for name in overbend.curve.__all__
        if callable(getattr(overbend.curve, name))
        and not isinstance(getattr(overbend.curve, name), type)
        and ">>>" not in (getattr(overbend.curve, name).__doc__ or "")
    ]
    assert without == ["read_drawing"]
