"""manage.py before Django can be imported: real environments, with a Django of 20 lines in them.

Each test works in a copy of manage.py beside lock files that name one package, made on the spot;
pip finds it in a folder, so that nothing is fetched.
"""

import hashlib
import json
import os
import shutil
import subprocess
import sys
import zipfile
from collections.abc import Sequence
from pathlib import Path

import pytest

from advisory.config.machine import ROOT

pytestmark = pytest.mark.one_database

# The Python under the environment that runs the tests, with nothing installed in sight.
BARE = (getattr(sys, "_base_executable", None) or sys.executable, "-I", "-S")

# Making an environment takes seconds: where that is not what is tried, a copy of one stands in. The
# program says so to manage.py, which asks the Python it was started by for its base.
COPYING = """#!/bin/sh
if [ "$1 $2" = "-m venv" ]; then exec cp -a "{made}/." "$3"; fi
exec "{python}" "$@"
"""
STARTED_BY = """
import runpy, sys
sys._base_executable = {program!r}
del sys.argv[0]
runpy.run_path(sys.argv[0], run_name="__main__")
"""

STAND_IN = """
import os, sys
def execute_from_command_line(argv):
    import {module}
    print("django", {module}.VERSION, sys.prefix, *argv[1:])
    print(os.environ["DJANGO_SETTINGS_MODULE"])
"""


class Clone:
    """A fresh clone with a stand-in for what it requires."""

    def __init__(self, folder: Path, made: Path | None = None) -> None:
        """Lay it out; `made`: an empty environment to be copied instead of making one."""
        self.root = folder / "clone"
        self.wheels = folder / "wheels"
        self.programs = folder / "programs"
        for each in (self.root, self.wheels, self.programs):
            each.mkdir()
        shutil.copy(ROOT / "manage.py", self.root)
        self.require("1.0")
        self.launcher: Path | None = None
        if made is not None:
            python = folder / "python"
            python.write_text(COPYING.format(made=made, python=BARE[0]))
            python.chmod(0o755)
            self.launcher = folder / "launcher.py"
            self.launcher.write_text(STARTED_BY.format(program=str(python)))

    def require(self, version: str, *, spoil: bool = False) -> None:
        """Write locks that ask for that version of the stand-in."""
        wheel = self.wheels / f"django-{version}-py3-none-any.whl"
        about = f"django-{version}.dist-info"
        with zipfile.ZipFile(wheel, "w") as archive:
            archive.writestr("django/__init__.py", f"VERSION = {version!r}\n")
            archive.writestr("django/core/__init__.py", "")
            archive.writestr("django/core/management.py", STAND_IN.format(module="django"))
            archive.writestr(
                f"{about}/METADATA", f"Metadata-Version: 2.1\nName: django\nVersion: {version}\n"
            )
            archive.writestr(
                f"{about}/WHEEL", "Wheel-Version: 1.0\nRoot-Is-Purelib: true\nTag: py3-none-any\n"
            )
            archive.writestr(f"{about}/RECORD", "")
        digest = hashlib.sha256(wheel.read_bytes()).hexdigest()
        if spoil:
            digest = digest[::-1]
        lock = f"django=={version} \\\n    --hash=sha256:{digest}\n"
        (self.root / "requirements.lock").write_text(lock)
        (self.root / "requirements-test.lock").write_text(lock + "# and more\n")

    @property
    def venv(self) -> Path:
        return self.root / ".venv"

    def environ(self) -> dict[str, str]:
        clean = {
            key: value
            for key, value in os.environ.items()
            if not key.startswith(("PIP_", "UV_", "PYTHON", "VIRTUAL_ENV", "DJANGO", "ADVISORY_"))
        }
        return clean | {
            "PIP_NO_INDEX": "1",
            "PIP_FIND_LINKS": str(self.wheels),
            # No uv: it has a test of its own.
            "PATH": f"{self.programs}:/usr/bin:/bin",
        }

    def start(self, *arguments: str, python: Sequence[str] = BARE) -> "subprocess.Popen[str]":
        launcher = [] if self.launcher is None or python is not BARE else [str(self.launcher)]
        return subprocess.Popen(
            [*python, *launcher, str(self.root / "manage.py"), *arguments],
            cwd="/",
            env=self.environ(),
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
        )

    def run(self, *arguments: str, python: Sequence[str] = BARE) -> tuple[int, str, str]:
        """Run a command; its exit code, output and progress."""
        with self.start(*arguments, python=python) as process:
            output, progress = process.communicate(timeout=120)
        return process.returncode, output, progress

    def provide(self, name: str, script: str) -> None:
        """Put a program on the path."""
        path = self.programs / name
        path.write_text(script)
        path.chmod(0o755)


@pytest.fixture(scope="session")
def empty_venv(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Make an environment with nothing in it, to be copied."""
    made = tmp_path_factory.mktemp("empty") / "venv"
    subprocess.run([BARE[0], "-m", "venv", str(made)], check=True)
    return made


@pytest.fixture
def clone(tmp_path: Path, empty_venv: Path) -> Clone:
    """Give a clone in which nothing was done yet."""
    return Clone(tmp_path, empty_venv)


@pytest.fixture(scope="session")
def set_up_once(tmp_path_factory: pytest.TempPathFactory, empty_venv: Path) -> Path:
    """Set up a clone, to be copied."""
    made = Clone(tmp_path_factory.mktemp("set-up"), empty_venv)
    code, _output, progress = made.run("migrate")
    assert code == 0, progress
    return made.venv


@pytest.fixture
def ready(clone: Clone, set_up_once: Path) -> Clone:
    """Give a clone that is set up for all but tests."""
    shutil.copytree(set_up_once, clone.venv, symlinks=True)
    shutil.copytree(set_up_once.parents[1] / "wheels", clone.wheels, dirs_exist_ok=True)
    shutil.copy(set_up_once.with_name("requirements.lock"), clone.root)
    shutil.copy(set_up_once.with_name("requirements-test.lock"), clone.root)
    return clone


def test_first_command_sets_up_and_the_next_one_does_not(tmp_path: Path) -> None:
    clone = Clone(tmp_path)  # with an environment made as on a new machine
    code, output, progress = clone.run("calculate", "--list")
    assert code == 0, progress
    assert output.splitlines() == [
        f"django 1.0 {clone.venv} calculate --list",
        "advisory.config.settings",
    ]
    assert "Making" in progress
    assert "Installing 1 packages with pip" in progress
    assert clone.run("calculate") == (
        0,
        f"django 1.0 {clone.venv} calculate\nadvisory.config.settings\n",
        "",
    )
    assert clone.run("calculate", python=[str(clone.venv / "bin" / "python")])[2] == ""


def test_changed_lock_is_installed(ready: Clone) -> None:
    ready.require("2.0")
    code, output, progress = ready.run("migrate")
    assert (code, output.split()[:2]) == (0, ["django", "2.0"])
    assert "Installing" in progress
    assert "Making" not in progress


def test_tests_need_more_and_what_they_have_is_enough_for_the_rest(ready: Clone) -> None:
    assert "Installing" in ready.run("test")[2]
    assert ready.run("test")[2] == ""
    assert ready.run("migrate")[2] == ""


def test_interrupted_set_up_is_made_anew(ready: Clone) -> None:
    (ready.venv / "set-up-unfinished").touch()
    broken = next(ready.venv.glob("lib/*/site-packages/django/core/management.py"))
    broken.unlink()  # a package of which only a part was written
    code, output, progress = ready.run("migrate")
    assert (code, output.split()[:2]) == (0, ["django", "1.0"])
    assert "Making" in progress


@pytest.mark.parametrize("left", ["a Python that is gone", "a file"])
def test_unusable_venv_is_made_anew(clone: Clone, left: str) -> None:
    if left == "a file":
        clone.venv.write_text("")
    else:
        (clone.venv / "bin").mkdir(parents=True)
        (clone.venv / "bin" / "python").symlink_to("/nonexistent/python")
    code, output, _progress = clone.run("migrate")
    assert (code, output.split()[:2]) == (0, ["django", "1.0"])


def test_venv_of_another_python_is_made_anew(ready: Clone) -> None:
    stamp = ready.venv / "installed.json"
    stamp.write_text(json.dumps(json.loads(stamp.read_text()) | {"python": "3.9"}))
    assert "Making" in ready.run("migrate")[2]


def test_two_at_once_set_up_once(clone: Clone) -> None:
    with clone.start("migrate") as one, clone.start("migrate") as two:
        answers = [each.communicate(timeout=120) for each in (one, two)]
    assert [one.returncode, two.returncode] == [0, 0]
    assert [output.split()[:2] for output, _progress in answers] == [["django", "1.0"]] * 2
    progress = "".join(progress for _output, progress in answers)
    assert progress.count("Making") == 1
    assert progress.count("waiting for it") == 1


def test_wrong_hash_is_refused_and_nothing_is_taken_for_done(clone: Clone) -> None:
    clone.require("1.0", spoil=True)
    code, output, progress = clone.run("migrate")
    assert (code, output) == (1, "")
    assert "DO NOT MATCH THE HASHES" in progress
    assert "Installing requirements.lock failed" in progress
    clone.require("1.0")
    assert clone.run("migrate")[0] == 0


def test_python_without_venv_module_is_told_what_to_install(clone: Clone) -> None:
    # As on Debian without python3-venv: there is venv, and nothing to put pip into it.
    hidden = "import sys; sys.modules['ensurepip'] = None\n"
    run = f"import runpy; sys.argv.pop(0); runpy.run_path({str(clone.root / 'manage.py')!r}, "
    script = clone.root.parent / "without_venv.py"
    script.write_text(hidden + run + "run_name='__main__')\n")
    done = subprocess.run(
        [*BARE, str(script), "manage.py", "migrate"],
        env=clone.environ(),
        capture_output=True,
        text=True,
        check=False,
    )
    version = f"{sys.version_info[0]}.{sys.version_info[1]}"
    assert done.returncode == 1
    assert f"apt-get install python{version}-venv" in done.stderr
    assert "Traceback" not in done.stderr
    assert not clone.venv.exists()


def test_uv_is_used_where_it_runs(clone: Clone) -> None:
    clone.provide(
        "uv",
        f'#!/bin/sh\n[ "$1" = --version ] && exit 0\necho "$@" > {clone.root}/asked\n'
        'shift; shift\nexec "$6" -m pip install -q --require-hashes -r "$4"\n',
    )
    code, output, progress = clone.run("migrate")
    assert (code, output.split()[:2]) == (0, ["django", "1.0"]), progress
    assert "with uv" in progress
    asked = (clone.root / "asked").read_text()
    assert asked.startswith("pip install --quiet --require-hashes -r ")


@pytest.mark.parametrize(
    "script",
    [
        pytest.param("#!/bin/sh\nexit 1\n", id="does not run"),
        pytest.param('#!/bin/sh\n[ "$1" = --version ]\n', id="runs and cannot install"),
    ],
)
def test_pip_is_used_where_uv_fails(clone: Clone, script: str) -> None:
    clone.provide("uv", script)
    code, output, progress = clone.run("migrate")
    assert (code, output.split()[:2]) == (0, ["django", "1.0"]), progress


def test_environment_that_has_everything_is_used_as_it_is(clone: Clone, empty_venv: Path) -> None:
    own = clone.root.parent / "own"
    shutil.copytree(empty_venv, own, symlinks=True)
    python = str(own / "bin" / "python")
    pip = [python, "-m", "pip", "install", "-q", "--no-index", "-f", str(clone.wheels)]
    subprocess.run([*pip, "django==1.0"], check=True)
    expected = f"django 1.0 {own} migrate\nadvisory.config.settings\n"
    assert clone.run("migrate", python=[python]) == (0, expected, "")
    clone.require("2.0")
    code, output, progress = clone.run("migrate", python=[python])
    assert (code, output) == (0, expected)
    assert "django 1.0 (locked: 2.0)" in progress
    assert not clone.venv.exists()


@pytest.mark.set_up
@pytest.mark.skipif(
    os.environ.get("ADVISORY_TEST_SET_UP") != "1", reason="asks the package index; see the marker"
)
def test_real_requirements_install_into_a_fresh_clone(tmp_path: Path) -> None:
    root = tmp_path / "clone"
    subprocess.run(["git", "clone", "-q", str(ROOT), str(root)], check=True)
    done = subprocess.run(
        [*BARE, "manage.py", "check"],
        cwd=root,
        env={key: value for key, value in os.environ.items() if not key.startswith("DJANGO")},
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    assert "no issues" in done.stdout
