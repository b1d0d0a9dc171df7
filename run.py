#!/usr/bin/env python3
"""Set Dustcap up and run it: nothing but Python's own library is needed.

python3 run.py             sets up, then measures a virtual unit from sweep to verdict, and opens
                           the workbench on its record where there is a screen
python3 run.py test        sets up, then runs every check
python3 run.py bench       sets up, then prints the benchmark table
python3 run.py COMMAND …   sets up, then runs `dustcap COMMAND …`
"""

from __future__ import annotations

import ctypes
import hashlib
import importlib.util
import os
import platform
import shutil
import subprocess
import sys
import tempfile
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parent
VENV = ROOT / ".venv"
PYTHON = VENV / ("Scripts/python.exe" if os.name == "nt" else "bin/python")
OLDEST = (3, 11)

# Debian's package for each shared library that a wheel expects to find on the system.
AUDIO = {"libportaudio.so.2": "libportaudio2"}
WINDOW = {
    "libEGL.so.1": "libegl1",
    "libGL.so.1": "libgl1",
    "libfontconfig.so.1": "libfontconfig1",
    "libxkbcommon.so.0": "libxkbcommon0",
    "libglib-2.0.so.0": "libglib2.0-0",
    "libdbus-1.so.3": "libdbus-1-3",
    "libX11-xcb.so.1": "libx11-xcb1",
    "libxcb-cursor.so.0": "libxcb-cursor0",
    "libxcb-icccm.so.4": "libxcb-icccm4",
    "libxcb-image.so.0": "libxcb-image0",
    "libxcb-keysyms.so.1": "libxcb-keysyms1",
    "libxcb-randr.so.0": "libxcb-randr0",
    "libxcb-render-util.so.0": "libxcb-render-util0",
    "libxcb-render.so.0": "libxcb-render0",
    "libxcb-shape.so.0": "libxcb-shape0",
    "libxcb-shm.so.0": "libxcb-shm0",
    "libxcb-sync.so.1": "libxcb-sync1",
    "libxcb-util.so.1": "libxcb-util1",
    "libxcb-xfixes.so.0": "libxcb-xfixes0",
    "libxcb-xkb.so.1": "libxcb-xkb1",
    "libxkbcommon-x11.so.0": "libxkbcommon-x11-0",
}
# A letter that the window's own typeface lacks is taken from the system's.
FONTS = {"/usr/share/fonts/truetype/dejavu/DejaVuSans.ttf": "fonts-dejavu-core"}
# Programs that only the tests start.
TEST_PROGRAMS = {"jackd": "jackd2", "Xvfb": "xvfb", "initdb": "postgresql"}
# How a program is started that shall wait for all others.
LAST_IN_QUEUE = ["nice", "-n", "19"] if shutil.which("nice") else []


def main(arguments: list[str]) -> int:
    """Set up, then do what was asked; the exit code is that of what was run."""
    if sys.version_info < OLDEST:
        found = platform.python_version()
        print(f"run.py: Python too old: given {found}, allowed 3.11 or newer", file=sys.stderr)
        return 2
    testing = bool(arguments) and arguments[0] in {"test", "bench"}
    try:
        native_libraries(testing=testing)
        environment(testing=testing)
        compile_sources()
    except SetupError as error:
        print(f"run.py: {error}", file=sys.stderr)
        return 2
    match arguments:
        case []:
            return call([str(PYTHON), "-m", "app", "demo"])
        case ["test", *rest]:
            return run_checks(rest)
        case ["bench", *rest]:
            return call([str(PYTHON), "-m", "tests.benchmarks", *rest])
        case _:
            return call([str(PYTHON), "-m", "app", *arguments])


class SetupError(Exception):
    """What stops the set-up, in one line with the way out."""


def native_libraries(*, testing: bool) -> None:
    """Install what the wheels expect of the system, or say what to type."""
    missing = missing_packages(testing=testing)
    if not missing:
        return
    if can_apt():
        apt_install(missing)
        return
    if sys.platform == "linux":
        print(
            f"run.py: missing on this system: {' '.join(missing)}. To install them, type:",
            file=sys.stderr,
        )
        print(
            f"    sudo apt-get install -y --no-install-recommends {' '.join(missing)}",
            file=sys.stderr,
        )
        if not testing:
            print("The demo runs without them, on the rig in software.", file=sys.stderr)


def missing_packages(*, testing: bool) -> list[str]:
    """Return the Debian packages that are needed and not there."""
    if sys.platform != "linux":
        return []
    wanted = AUDIO | WINDOW
    missing = [package for library, package in wanted.items() if not loads(library)]
    if can_apt():  # nobody is asked to type anything for them
        missing += [package for file, package in FONTS.items() if not Path(file).exists()]
    if testing:
        missing += [package for program, package in TEST_PROGRAMS.items() if not has(program)]
    return missing


def loads(library: str) -> bool:
    """Return whether the system's loader finds ``library``."""
    try:
        ctypes.CDLL(library)
    except OSError:
        return False
    return True


def has(program: str) -> bool:
    """Return whether ``program`` is on the path, or where Debian keeps those of PostgreSQL."""
    servers = Path("/usr/lib/postgresql")
    return shutil.which(program) is not None or any(servers.glob(f"*/bin/{program}"))


def can_apt() -> bool:
    """Return whether packages can be installed without asking anybody."""
    return sys.platform == "linux" and has("apt-get") and os.geteuid() == 0


def apt_install(packages: list[str]) -> None:
    """Install Debian packages; the list of what there is is fetched first."""
    print(f"run.py: installing {' '.join(packages)}", file=sys.stderr)
    quiet = os.environ | {"DEBIAN_FRONTEND": "noninteractive"}
    for command in (
        ["apt-get", "-qq", "update"],
        ["apt-get", "-qq", "-y", "--no-install-recommends", "install", *packages],
    ):
        done = subprocess.run(command, env=quiet, capture_output=True, text=True, check=False)
        if done.returncode:
            last = (done.stderr.strip() or done.stdout.strip()).splitlines()[-1:]
            raise SetupError(f"{' '.join(command)} failed: {''.join(last)}")


def environment(*, testing: bool) -> None:
    """Make ``.venv`` from the lock, once; what was interrupted is mended, what is done is kept."""
    lock = ROOT / ("requirements-test.lock" if testing else "requirements.lock")
    stamp = VENV / f"ready-{lock.stem}"
    wanted = fingerprint(lock)
    if read(stamp) == wanted and PYTHON.exists():
        return
    if not PYTHON.exists() or not answers(PYTHON):
        make_venv()
    started = time.monotonic()
    print(f"run.py: installing from {lock.name} …", file=sys.stderr)
    install = [
        str(PYTHON),
        "-m",
        "pip",
        "install",
        "-q",
        "--disable-pip-version-check",
        "--no-deps",
    ]
    for what in (["--require-hashes", "-r", str(lock)], ["--no-build-isolation", "-e", str(ROOT)]):
        done = subprocess.run([*install, *what], capture_output=True, text=True, check=False)
        if done.returncode:
            shutil.rmtree(VENV, ignore_errors=True)  # half an environment is worse than none
            lines = [line for line in done.stderr.splitlines() if line.startswith("ERROR")]
            why = lines[-1] if lines else done.stderr.strip()[-300:]
            raise SetupError(f"set-up stopped, the next run starts afresh: {why}")
    # The stamp is written last: without it the next run goes over everything again.
    part = stamp.with_suffix(".part")
    part.write_text(wanted)
    part.replace(stamp)
    print(f"run.py: ready after {time.monotonic() - started:.0f} s", file=sys.stderr)


def compile_sources() -> None:
    """Compile what has changed, so that no start of the window or of its processes has to."""
    folders = [str(ROOT / name) for name in ("app", "dsp", "hardware")]
    # A folder that cannot be written costs time, nothing else.
    subprocess.run([str(PYTHON), "-m", "compileall", "-q", *folders], check=False)


def fingerprint(lock: Path) -> str:
    """Return what an installation depends on: the lock, the project's description, the Python."""
    content = lock.read_bytes() + (ROOT / "pyproject.toml").read_bytes() + str(ROOT).encode()
    return f"{hashlib.sha256(content).hexdigest()} {platform.python_version()}"


def read(path: Path) -> str | None:
    """Return a file's text, or None where there is none."""
    try:
        return path.read_text()
    except OSError:
        return None


def answers(python: Path) -> bool:
    """Return whether an interpreter still runs and has pip (a moved or half-made one does not)."""
    try:
        done = subprocess.run(
            [str(python), "-m", "pip", "--version"], capture_output=True, check=False
        )
    except OSError:
        return False
    return done.returncode == 0


def make_venv() -> None:
    """Make an empty virtual environment; Debian keeps the part that it needs in its own package."""
    shutil.rmtree(VENV, ignore_errors=True)
    if importlib.util.find_spec("ensurepip") is None:
        if not can_apt():
            raise SetupError(
                "this Python has no ensurepip. Type: sudo apt-get install -y python3-venv"
            )
        apt_install(["python3-venv"])
    done = subprocess.run(
        [sys.executable, "-m", "venv", str(VENV)], capture_output=True, text=True, check=False
    )
    if done.returncode:
        raise SetupError(f"python -m venv failed: {(done.stdout + done.stderr).strip()[-300:]}")


QUICK = (
    ("lint", ["-m", "ruff", "check", "."]),
    ("format", ["-m", "ruff", "format", "--check", "."]),
    ("imports", ["-c", "from importlinter.cli import lint_imports_command as c; c()"]),
)
TYPES = ("types", ["-m", "mypy"])
RIG = ("tests of the rig", ["-m", "pytest", "tests/rig"])
TESTS = (
    "tests",
    [
        # One process more than cores: tests of the window wait for what plays.
        *("-m", "pytest", "--ignore=tests/rig", "-n", str(min(os.cpu_count() or 1, 4) + 1)),
        *("--dist=loadfile", "--no-loadscope-reorder"),  # tests/conftest.py has the order
    ],
)


def run_checks(rest: list[str]) -> int:
    """Run every check, also after one has failed; 0 only if all pass.

    With arguments, only the tests run, and pytest gets them.
    """
    if rest:
        return call([str(PYTHON), "-m", "pytest", *rest])
    passed = {name: check(name, command) for name, command in QUICK}
    # The rig plays in real time and leaves most of the machine idle. Types are checked in what it
    # leaves, behind it in the queue; all other tests share the machine out afterwards.
    with tempfile.TemporaryFile("w+") as said:
        types = subprocess.Popen(
            [*LAST_IN_QUEUE, str(PYTHON), *TYPES[1]], cwd=ROOT, stdout=said, stderr=said
        )
        passed[RIG[0]] = check(*RIG)
        print(f"--- {TYPES[0]}", flush=True)
        passed[TYPES[0]] = types.wait() == 0
        said.seek(0)
        print(said.read(), end="", flush=True)
    passed[TESTS[0]] = check(*TESTS)
    failed = [name for name, well in passed.items() if not well]
    print("failed: " + ", ".join(failed) if failed else "every check passes")
    return 1 if failed else 0


def check(name: str, command: list[str]) -> bool:
    """Run one check with its output shown and timed; return whether it passes."""
    print(f"--- {name}", flush=True)
    started = time.monotonic()
    code = call([str(PYTHON), *command])
    print(f"    {name}: {time.monotonic() - started:.0f} s", flush=True)
    return code == 0


def call(command: list[str]) -> int:
    """Run a command in the project's folder with its output shown; return its exit code."""
    surroundings = os.environ | {"PYTHONPATH": str(ROOT)}
    if command[1:3] == ["-m", "pytest"]:
        surroundings.setdefault("QT_QPA_PLATFORM", "offscreen")
    try:
        return subprocess.run(command, env=surroundings, cwd=ROOT, check=False).returncode
    except KeyboardInterrupt:
        return 130


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
