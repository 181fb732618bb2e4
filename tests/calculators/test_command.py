"""The command: what it lists, describes, reads, refuses; and that it needs no database."""

import json
import os
import subprocess
import sys
from pathlib import Path

import jsonschema
import pytest

from advisory.common.calculation import registry
from tests.calculators.asking import told

GOOD = b'{"sump_volume": "5 l", "ingress_rate": "10 mg/h", "duration": "40 h"}'
OURS = registry.names()


def problem(*arguments: str, given: bytes = b"") -> dict:
    printed, status = told(*arguments, given=given)
    assert status == 1
    found = json.loads(printed)
    assert set(found) == {"type", "title", "status", "detail", "errors"}
    return found


def test_list_names_each_calculator_with_one_line():
    printed, status = told("--list")
    lines = dict(line.split(maxsplit=1) for line in printed.splitlines())

    assert status == 0
    assert list(lines) == registry.names()
    assert all(len(summary) > 20 for summary in lines.values())


@pytest.mark.parametrize("name", OURS)
def test_description_is_a_json_schema_of_the_latest_dialect(name):
    printed, status = told(name, "--describe")
    schema = json.loads(printed)

    assert status == 0
    assert schema["$schema"] == "https://json-schema.org/draft/2020-12/schema"
    jsonschema.Draft202012Validator.check_schema(schema)
    jsonschema.Draft202012Validator.check_schema(schema["$defs"]["answer"])


def test_input_is_read_from_standard_input():
    printed, status = told("dirt-balance", given=GOOD)

    assert status == 0
    assert json.loads(printed)["concentration"] == {"value": 80.0, "unit": "mg/l"}


def test_input_is_read_from_a_file(tmp_path: Path):
    file = tmp_path / "case.json"
    file.write_bytes(b"\xef\xbb\xbf" + GOOD)  # a byte-order mark, as some editors write it

    printed, status = told("dirt-balance", str(file))

    assert status == 0
    assert json.loads(printed)["concentration"]["value"] == pytest.approx(80.0)


@pytest.mark.parametrize(
    ("given", "words"),
    [
        (b'{"sump_volume": ', "line 1, column 17"),
        (b"", "line 1, column 1"),
        (b'{"temperature": NaN}', "finite"),
        (b'{"temperature": -Infinity}', "finite"),
        (b'{"a": 1, "a": 2}', "twice"),
        (b'{"a": "\xff"}', "UTF-8"),
        (b"[" * 100_000, "nested"),
        (b'{"a": ' + b"9" * 5000 + b"}", "digits"),
    ],
)
def test_what_is_not_json_is_one_problem_object(given, words):
    found = problem("dirt-balance", given=given)

    assert found["type"] == "/problems/not-json"
    assert words in found["detail"]


def test_file_that_is_not_there_is_one_problem_object():
    found = problem("dirt-balance", "/no/such/file.json")

    assert found["type"] == "/problems/no-file"
    assert "/no/such/file.json" in found["detail"]


def test_folder_instead_of_a_file_is_one_problem_object(tmp_path: Path):
    assert problem("dirt-balance", str(tmp_path))["type"] == "/problems/no-file"


def test_unknown_calculator_is_one_problem_object_that_names_those_there_are():
    found = problem("guesswork", given=b"{}")

    assert found["status"] == 404
    assert "oil-change" in found["detail"]


def test_no_name_at_all_is_one_problem_object():
    assert problem()["type"] == "/problems/no-calculator"


def test_array_with_a_bad_case_holds_its_problem_in_its_place_and_exits_1():
    given = b"[" + GOOD + b', {"sump_volume": 5}, 7, ' + GOOD + b"]"
    printed, status = told("dirt-balance", given=given)
    answers = json.loads(printed)

    assert status == 1
    assert ["errors" in each for each in answers] == [False, True, True, False]
    assert answers[0] == answers[3]
    assert {e["field"] for e in answers[1]["errors"]} == {
        "sump_volume",
        "ingress_rate",
        "duration",
    }


def test_empty_array_has_an_empty_answer():
    assert told("dirt-balance", given=b"[]") == ("[]\n", 0)


@pytest.mark.parametrize("given", [b"null", b"7", b'"5 l"', b"true"])
def test_what_is_neither_object_nor_array_is_refused(given):
    assert problem("dirt-balance", given=given)["errors"][0]["limit"] == "object"


def test_command_answers_without_a_database(tmp_path: Path):
    environment = {
        name: text for name, text in os.environ.items() if not name.startswith("DATABASE")
    } | {
        "ADVISORY_DATA": str(tmp_path),
        "DATABASE_URL": f"sqlite:///{tmp_path}/never/made.sqlite3",
        "DJANGO_SETTINGS_MODULE": "advisory.config.settings",
    }
    done = subprocess.run(
        [sys.executable, "-m", "django", "calculate", "dirt-balance"],
        input=GOOD, capture_output=True, env=environment, cwd=Path(__file__).parents[2],
        timeout=120, check=False,
    )  # fmt: skip

    assert done.returncode == 0, done.stderr.decode()
    assert json.loads(done.stdout)["concentration"]["unit"] == "mg/l"
    assert done.stderr == b""
    assert not (tmp_path / "never").exists()
