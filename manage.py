#!/usr/bin/env python3
"""
Runs Wallful's commands, and first makes the environment they need: `python3 manage.py demo`, `python3 manage.py test`.

Standard library only and readable by Python 3.6, so that an old Python gets a sentence instead of a traceback.
WALLFUL_BOOTSTRAP=0 leaves the environment alone, as inside a container; so does an active virtual environment.
"""

import ctypes
import hashlib
import importlib.util
import os
import subprocess
import sys
from pathlib import Path
from typing import NoReturn

ROOT = Path(__file__).resolve().parent
VENV = ROOT / ".venv"
PYTHON = VENV / "bin" / "python"
STAMP = VENV / "installed-locks.txt"
LEAST_PYTHON = (3, 11)
LEAST_PANGO = 14400  # 1.44, as pango_version() counts
HOMEBREW = ["/opt/homebrew/lib", "/usr/local/lib"]
PANGO_LINE = (
    "Wallful needs Pango 1.44 or newer to draw its papers: on Debian run 'apt-get install libpango-1.0-0 "
    "libpangoft2-1.0-0 libharfbuzz-subset0 fonts-dejavu-core', on macOS 'brew install pango', then start again."
)


def stop(sentence: str) -> NoReturn:
    """End with one sentence and exit status 1."""
    sys.exit(sentence)


def check_python() -> None:
    """Ends the process if this Python is too old."""
    if sys.version_info < LEAST_PYTHON:
        have = f"{sys.version_info[0]}.{sys.version_info[1]}"
        stop(
            f"Wallful needs Python {LEAST_PYTHON[0]}.{LEAST_PYTHON[1]} or newer and this is {have}: on Debian run "
            "'apt-get install python3 python3-venv', on macOS 'brew install python', then start again with that Python."
        )


def check_pango() -> None:
    """Ends the process if the library that draws text on papers is missing or too old."""
    for library in ("libpango-1.0", "libpangoft2-1.0"):
        names = [library + ".so.0", library + ".dylib"]
        names += [folder + "/" + library + ".dylib" for folder in HOMEBREW]
        for name in names:
            try:
                loaded = ctypes.CDLL(name)
            except OSError:
                continue
            if library == "libpango-1.0" and loaded.pango_version() < LEAST_PANGO:
                stop(PANGO_LINE)
            break
        else:
            stop(PANGO_LINE)


def make_environment(lock_name: str) -> None:
    """Make .venv if it is not usable, and bring it to what `lock_name` says if that has changed since the last time."""
    if not (PYTHON.exists() and STAMP.exists()):
        if importlib.util.find_spec("ensurepip") is None or importlib.util.find_spec("venv") is None:
            stop("This Python cannot make environments: on Debian run 'apt-get install python3-venv', then try again.")
        print("First start: making the environment in", VENV, flush=True)
        start_over = [] if PYTHON.exists() else ["--clear"]  # its Python is gone: nothing in it can be used
        subprocess.run([sys.executable, "-m", "venv", *start_over, str(VENV)], check=True)  # noqa: S603 - our own words
        STAMP.touch()
    wanted = f"{hashlib.sha256((ROOT / lock_name).read_bytes()).hexdigest()} {lock_name}"
    done = STAMP.read_text().splitlines()
    if wanted in done:
        return
    print("Fetching the packages of", lock_name, "(a minute or two, about 250 MB on disk)", flush=True)
    install(lock_name)
    kept = [line for line in done if not line.endswith(" " + lock_name)]
    STAMP.write_text("\n".join([*kept, wanted]) + "\n")


def install(lock_name: str) -> None:
    """Install a lock file, each package checked against its hash; a counter shows that it moves."""
    pip = [str(PYTHON), "-m", "pip", "install", "--disable-pip-version-check", "--require-hashes", "-r", lock_name]
    count = 0
    with subprocess.Popen(pip, cwd=str(ROOT), stdout=subprocess.PIPE, universal_newlines=True) as process:  # noqa: S603
        assert process.stdout is not None
        for line in process.stdout:
            count += line.startswith(("Collecting", "Requirement already"))
            if sys.stdout.isatty():
                print(f"\r  {count} packages", end="", flush=True)
    if process.returncode:
        stop("\nThe packages could not be installed; pip's own words stand above. Check the network and start again.")
    print(f"\r  {count} packages installed.", flush=True)


def run_in_environment(*arguments: str) -> NoReturn:
    """Replace this process by the same command under .venv's Python."""
    environment = dict(os.environ)
    if sys.platform == "darwin":  # where Homebrew puts Pango is not on macOS's own search path
        environment.setdefault("DYLD_FALLBACK_LIBRARY_PATH", ":".join(HOMEBREW))
    sys.stdout.flush()
    os.execve(str(PYTHON), [str(PYTHON), str(ROOT / "manage.py"), *arguments], environment)  # noqa: S606 - no shell meant


def main(*arguments: str) -> None:
    """Environment first, then pytest for `test` and Django for everything else."""
    check_python()
    command = arguments[0] if arguments else "help"
    if os.environ.get("WALLFUL_BOOTSTRAP") != "0":
        if command in ("demo", "serve", "test"):
            check_pango()
        if sys.prefix == sys.base_prefix:
            make_environment("requirements-dev.lock" if command == "test" else "requirements.lock")
            run_in_environment(*arguments)
    if command == "test":
        os.chdir(str(ROOT))
        options = arguments[1:] or ("-n", "auto")  # all quick tests on all processors, unless asked for something else
        os.execv(sys.executable, [sys.executable, "-m", "pytest", *options])  # noqa: S606 - no shell meant
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "config.settings")
    from django.core.management import execute_from_command_line

    execute_from_command_line([sys.argv[0], *arguments])


if __name__ == "__main__":
    main(*sys.argv[1:])
