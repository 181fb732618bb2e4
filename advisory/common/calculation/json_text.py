"""JSON as the standard has it, in and out: no NaN, no infinities, no name twice."""

import json
from typing import Any, NoReturn

from django.utils.translation import gettext as _

from advisory.common.calculation.calculator import CalculationRefused
from advisory.common.problems import problem

#: Longest text that is read.
LONGEST_INPUT = 64 * 1024 * 1024


def _no_constant(name: str) -> NoReturn:
    raise ValueError(_("%(name)s is no JSON: a number must be finite.") % {"name": name})


def _no_name_twice(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    made = dict(pairs)
    if len(made) != len(pairs):
        names = [name for name, _value in pairs]
        twice = next(name for name in names if names.count(name) > 1)
        raise ValueError(_("“%(name)s” is given twice.") % {"name": twice[:64]})
    return made


def _refused(detail: str) -> CalculationRefused:
    return CalculationRefused(problem("not-json", _("That is not JSON"), detail))


def read_json(given: bytes) -> Any:
    """Read JSON in UTF-8, or raise CalculationRefused with what is wrong and where."""
    if len(given) > LONGEST_INPUT:
        raise CalculationRefused(
            problem(
                "too-long",
                _("Too much at once"),
                _("More than %(n)d MB were sent: split it.") % {"n": LONGEST_INPUT // 1024**2},
                status=413,
            )
        )
    try:
        return json.loads(
            given.decode("utf-8-sig"),
            parse_constant=_no_constant,
            object_pairs_hook=_no_name_twice,
        )
    except UnicodeDecodeError as error:
        raise _refused(_("JSON is written in UTF-8, and this isn't.")) from error
    except json.JSONDecodeError as error:
        raise _refused(
            _("It can't be read from line %(line)d, column %(column)d on: %(what)s.")
            % {"line": error.lineno, "column": error.colno, "what": error.msg}
        ) from error
    except RecursionError as error:
        raise _refused(_("It is nested too deep.")) from error
    except ValueError as error:
        raise _refused(str(error)) from error


def write_json(value: Any) -> str:
    """Write JSON for people and programs alike."""
    return json.dumps(value, indent=2, ensure_ascii=False, allow_nan=False)
