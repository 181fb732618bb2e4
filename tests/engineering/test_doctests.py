"""Every public function of the engineering is explained, and its worked case runs."""

import doctest
import importlib
import inspect
import pkgutil

import pytest

import advisory.engineering

SECTIONS = ("Parameters", "Returns")


def modules():
    found = pkgutil.walk_packages(advisory.engineering.__path__, "advisory.engineering.")
    return [importlib.import_module(module.name) for module in found]


def public_functions():
    """Functions that a package's `__init__` offers, or that stand in a module of their own."""
    offered = []
    for module in modules():
        if module.__name__.startswith("advisory.engineering.checks"):
            continue  # data for the tests and the page on methods
        is_package = hasattr(module, "__path__")
        stands_alone = module.__name__.count(".") == 2 and not is_package
        for name in getattr(module, "__all__", ()) if is_package else vars(module):
            value = getattr(module, name)
            own = inspect.isfunction(value) and value.__module__.startswith(module.__name__)
            if own and not name.startswith("_") and (is_package or stands_alone):
                offered.append(pytest.param(value, id=f"{module.__name__}.{name}"))
    return offered


@pytest.mark.parametrize("module", modules(), ids=lambda module: module.__name__)
def test_worked_cases_of_the_module_run(module):
    assert doctest.testmod(module).failed == 0


@pytest.mark.parametrize("function", public_functions())
def test_public_function_is_documented(function):
    text = inspect.getdoc(function) or ""
    missing = [s for s in SECTIONS if f"{s}\n{'-' * len(s)}" not in text]
    if not inspect.signature(function).parameters:
        missing = [s for s in missing if s != "Parameters"]

    assert not missing or "as in `" in text  # one that differs from another by its result
