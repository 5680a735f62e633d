"""Jobs beside a web process that has no Redis: the loop of `manage.py runjobs` as its child."""

import os
import subprocess
import sys
from pathlib import Path

from django.conf import settings


def start_embedded_jobs() -> subprocess.Popen[bytes]:
    """Jobs run in a child process, until its standard input is closed: by leaving `with`, or by our own end.

    The pipe tells the child of our end however it comes, so that no loop outlives the process that it belongs to.
    It stays open when we become another program by `exec`, and is passed to no other child.
    """
    manage = str(Path(settings.BASE_DIR) / "manage.py")
    command = [sys.executable, manage, "runjobs", "--until-input-ends"]
    child = subprocess.Popen(command, stdin=subprocess.PIPE)  # noqa: S603 - our own command
    assert child.stdin is not None  # noqa: S101 - because it is a pipe
    os.set_inheritable(child.stdin.fileno(), True)
    return child
