"""Every published value that the page on methods shows is met within its tolerance."""

import importlib
import math
import pkgutil

import pytest

from advisory.engineering import checks
from advisory.engineering.checks import MARK_WORDS


def published_values():
    topics = [
        (module.name, importlib.import_module(f"{checks.__name__}.{module.name}"))
        for module in pkgutil.iter_modules(checks.__path__)
    ]
    return [
        pytest.param(check, id=f"{name}: {check.what}")
        for name, topic in topics
        for check in getattr(topic, "CHECKS", ())
    ]


@pytest.mark.parametrize("check", published_values())
def test_published_value_is_met(check):
    computed = check.compute()

    assert math.isfinite(computed)
    assert abs(computed - check.published) <= check.allowed * (1.0 + 1e-12), (
        f"{check.what}: computed {computed:.6g}, published {check.published:.6g} {check.unit} "
        f"({check.source})"
    )


def test_every_published_value_names_its_source_and_mark():
    checks_found = [parameter.values[0] for parameter in published_values()]

    assert len(checks_found) > 300
    for check in checks_found:
        assert len(check.source) > 15, check.what
        assert check.marks, check.what
        assert set(check.marks) <= set(MARK_WORDS), check.what
        assert check.tolerance > 0.0, check.what
