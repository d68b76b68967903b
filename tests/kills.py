"""Commands that are killed half way, each in a process of its own: at their first step, at their second, and so on to their end.

A step is what the system is asked for from Python (a file opened, renamed, taken away, a database opened); in between, SQLite
itself is killed as it writes past a size.
"""

import contextlib
import json
import os
import resource
import shutil
import signal
import subprocess
import sys
import tempfile
from collections.abc import Sequence
from pathlib import Path

from remnants.cli import main
from tests.tables_once import tables_once
from tests.thorough import EVERY

__all__ = ["Killed", "killed_at_each_step", "killed_past_each_size"]

STEPS = {
    "open",
    "os.rename",
    "os.remove",
    "os.mkdir",
    "os.rmdir",
    "os.chmod",
    "shutil.copyfile",
    "shutil.rmtree",
    "sqlite3.connect",
}
FIRST, MOST = 10, 400

Killed = dict[Path, bool]
"""The folder of each try, and whether the command was killed in it before its end."""


def killed_at_each_step(template: Path, words: Sequence[str], *, into: Path) -> Killed:
    """Runs the command on a copy of the folder for each step at which it is killed; `@` in a word stands for that folder."""
    return _told(template, words, into, "step", [*range(1, FIRST), *range(FIRST, MOST, EVERY)])


def killed_past_each_size(template: Path, words: Sequence[str], sizes: Sequence[int], *, into: Path) -> Killed:
    """The same for each size in bytes: whatever file grows past it, that write is the last."""
    return _told(template, words, into, "size", sizes)


def _told(template: Path, words: Sequence[str], into: Path, kind: str, moments: Sequence[int]) -> Killed:
    given = json.dumps([str(template), list(words), str(into), kind, list(moments)])
    done = subprocess.run([sys.executable, "-m", "tests.kills", given], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    return {Path(folder): killed for folder, killed in json.loads(done.stdout)}


def _each(template: str, words: list[str], into: str, kind: str, moments: list[int]) -> list[tuple[str, bool]]:
    tries = []
    for moment in moments:
        folder = Path(into) / f"{kind}-{moment}"
        shutil.copytree(template, folder)
        child = os.fork()
        if not child:
            _run_and_die([word.replace("@", str(folder)) for word in words], kind, moment)
        _, status = os.waitpid(child, 0)
        assert os.WIFSIGNALED(status) or os.waitstatus_to_exitcode(status) == 0, (words, moment, status)
        tries.append((str(folder), os.WIFSIGNALED(status)))
        if kind == "step" and not os.WIFSIGNALED(status):
            break
    return tries


def _run_and_die(words: list[str], kind: str, moment: int) -> None:
    os.dup2(os.open(os.devnull, os.O_WRONLY), 1)
    os.dup2(os.open(os.devnull, os.O_WRONLY), 2)
    left = moment

    def step(event: str, _: tuple[object, ...]) -> None:
        nonlocal left
        if event not in STEPS:
            return
        left -= 1
        if not left:
            os.kill(os.getpid(), signal.SIGKILL)

    if kind == "step":
        sys.addaudithook(step)
    else:
        signal.signal(signal.SIGXFSZ, signal.SIG_DFL)
        resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
        resource.setrlimit(resource.RLIMIT_FSIZE, (moment, moment))
    os._exit(main(words))


if __name__ == "__main__":
    template_, words_, into_, kind_, moments_ = json.loads(sys.argv[1])
    with tables_once():
        with tempfile.TemporaryDirectory() as warm, contextlib.redirect_stdout(sys.stderr):
            shutil.copytree(template_, warm, dirs_exist_ok=True)
            main([word.replace("@", warm) for word in words_])  # so that all that is imported is there before the first step
        print(json.dumps(_each(template_, words_, into_, kind_, moments_)))
