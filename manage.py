#!/usr/bin/env python3
"""Every command of Grainward: `python3 manage.py demo`, `python3 manage.py test`, ...

Needs Python 3.11 or 3.12 with pip, and nothing else: outside a virtual environment it first makes `.venv` beside
this file, installs what requirements.lock names into it, and goes on in there. GRAINWARD_NO_BOOTSTRAP=1 switches
that off. The first steps use the standard library only and run on older Pythons too, so that they can say why not.
"""

from __future__ import annotations

import fcntl
import os
import shutil
import ssl
import subprocess
import sys
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from pathlib import Path

HERE = Path(__file__).resolve().parent
TOOLS = HERE / ".tools"
VENV = HERE / ".venv"
VENV_PYTHON = VENV / "bin" / "python"
LOCK = HERE / "requirements.lock"
INSTALLED = VENV / "requirements.lock"
QUIET_PIP = {"PIP_DISABLE_PIP_VERSION_CHECK": "1", "PIP_ROOT_USER_ACTION": "ignore"}
UV = "uv>=0.13,<0.14"
OLDEST, TOO_NEW = (3, 11), (3, 13)


def main() -> None:
    """Run the command that was typed, in the project's own environment."""
    if not needs_bootstrap(sys.prefix, sys.base_prefix, os.environ):
        return run_django(sys.argv)
    refuse_other_pythons(sys.version_info[:2])
    try:
        bring_up_to_date()
    except OSError as refused:
        sys.exit(f"Grainward could not prepare .venv: {refused.strerror}: {refused.filename}.")
    os.execv(VENV_PYTHON, [str(VENV_PYTHON), str(HERE / "manage.py"), *sys.argv[1:]])  # noqa: S606 - our own Python


def needs_bootstrap(prefix: str, base_prefix: str, variables: Mapping[str, str]) -> bool:
    """Return whether we run outside any virtual environment and may make one."""
    return prefix == base_prefix and not variables.get("GRAINWARD_NO_BOOTSTRAP")


def refuse_other_pythons(version: Sequence[int]) -> None:
    """Stop with a sentence unless `version`, (major, minor), is one that the lock was made for."""
    if not OLDEST <= tuple(version) < TOO_NEW:
        found = ".".join(map(str, version))
        sys.exit(f"Grainward needs Python 3.11 or 3.12 and this is {found}: start it as python3.11 manage.py ...")


def bring_up_to_date() -> None:
    """`.venv` holds exactly what requirements.lock names; at once when it already does."""
    if is_current(VENV_PYTHON, LOCK, INSTALLED):
        return
    with only_one_start():
        if not is_current(VENV_PYTHON, LOCK, INSTALLED):
            install()


def is_current(python: Path, lock: Path, installed: Path) -> bool:
    """Return whether `python` runs and `installed`, the copy kept at the last installation, says the same as `lock`."""
    return python.exists() and installed.exists() and installed.read_bytes() == lock.read_bytes()


@contextmanager
def only_one_start() -> Iterator[None]:
    """While inside, every other start of this checkout waits."""
    TOOLS.mkdir(exist_ok=True)
    with open(TOOLS / "lock", "w") as held:
        fcntl.flock(held, fcntl.LOCK_EX)
        yield


def install() -> None:
    """Make `.venv` where there is none, and install what requirements.lock names into it."""
    say("Installing what is needed (the first time only)...")
    uv = find_uv()
    if VENV_PYTHON.exists():
        INSTALLED.unlink(missing_ok=True)
    else:
        run([uv, "venv", "-q", "--clear", "--python", sys.executable, VENV], "make .venv")
    run(
        [uv, "pip", "sync", "-q", "--require-hashes", LOCK],
        "install requirements.lock",
        "if your packages come from another index, name it in UV_DEFAULT_INDEX",
    )
    shutil.copyfile(LOCK, INSTALLED)
    say("Installed.")


def find_uv() -> Path:
    """Return the path of the installer, fetched by pip when it is not there yet."""
    uv = TOOLS / "bin" / "uv"
    if uv.exists():
        return uv
    pip = [sys.executable, "-m", "pip"]
    if subprocess.run([*pip, "--version"], capture_output=True).returncode:
        sys.exit(f"Grainward needs pip and {sys.executable} has none: install it (Debian: apt install python3-pip).")
    # --target leaves the system's own packages alone, which is why an externally managed Python allows it.
    run([*pip, "install", "-q", "--upgrade", "--target", TOOLS, UV], "fetch its installer with pip")
    return uv


def run(command: Sequence[str | Path], purpose: str, hint: str = "the lines above say why") -> None:
    """Run `command`; when it fails, stop with what it was for."""
    environment = {**os.environ, **QUIET_PIP, "UV_PYTHON_DOWNLOADS": "never"}
    environment["VIRTUAL_ENV"] = str(VENV)
    if system_knows_certificates(ssl.get_default_verify_paths()):
        environment.setdefault("UV_SYSTEM_CERTS", "1")  # a network may have its own authority
    if subprocess.run([str(part) for part in command], env=environment, cwd=HERE).returncode:
        sys.exit(f"Grainward could not {purpose}; {hint}.")


def system_knows_certificates(paths: ssl.DefaultVerifyPaths) -> bool:
    """Return whether the machine keeps certificates of its own; a very bare one does not."""
    return bool(paths.cafile or (paths.capath and os.listdir(paths.capath)))


def say(line: str) -> None:
    print(line, file=sys.stderr, flush=True)


def run_django(arguments: list[str]) -> None:
    """Hand the command to Django; a wrong setting is told in one sentence."""
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "brewery.project.settings")
    try:
        from django.conf import settings
        from django.core.exceptions import ImproperlyConfigured
        from django.core.management import execute_from_command_line
    except ImportError:
        sys.exit("Grainward's packages are not in this environment: pip install --require-hashes -r requirements.lock")
    try:
        settings.DEBUG  # noqa: B018 - reads the environment
    except ImproperlyConfigured as wrong:
        sys.exit(str(wrong))
    execute_from_command_line(arguments)


if __name__ == "__main__":
    main()
