"""Makes `.venv` what the pinned requirements say, with the project in it. Does nothing when it already is.

Standard library only: this runs before anything is installed. Two at once wait for each other.
"""

import fcntl
import hashlib
import shutil
import subprocess
import sys
import venv
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
VENV = ROOT / ".venv"
CACHE = ROOT / ".cache"
STAMP = VENV / "remnants-ready"
LOG = CACHE / "setup.log"
REQUIREMENTS = ROOT / ".setup" / "requirements.txt"
DATA = ROOT / ".setup" / "data.txt"


def wanted_stamp() -> str:
    """What the environment depends on, as one line: where it stands, and the files that say what is in it."""
    told = hashlib.sha256(str(ROOT).encode())
    for source in (REQUIREMENTS, DATA, ROOT / "pyproject.toml", Path(__file__)):
        told.update(source.read_bytes())
    return told.hexdigest()


def is_ready(stamp: str) -> bool:
    """True when the last set-up finished, was for these files and its Python is still there."""
    return STAMP.is_file() and STAMP.read_text() == stamp and (VENV / "bin" / "python").exists()


def set_up(stamp: str) -> None:
    """A fresh environment; the stamp is written last, so a set-up that was broken off is done again."""
    print("Setting up .venv (once, a minute or two) …", file=sys.stderr, flush=True)
    shutil.rmtree(VENV, ignore_errors=True)
    venv.create(VENV, with_pip=True, symlinks=True)
    pip = [str(VENV / "bin" / "python"), "-m", "pip", "--disable-pip-version-check", "install", "--quiet"]
    with LOG.open("w") as log:
        ours = ["--no-deps", "--no-build-isolation", "--editable", str(ROOT)]
        for step in (["-r", str(REQUIREMENTS)], ["--no-deps", "-r", str(DATA)], ours):
            subprocess.run([*pip, *step], check=True, stdin=subprocess.DEVNULL, stdout=log, stderr=subprocess.STDOUT, cwd=ROOT)
    STAMP.write_text(stamp)


def main() -> int:
    """Set up if needed. The exit code is 0 when the environment is ready."""
    CACHE.mkdir(exist_ok=True)
    stamp = wanted_stamp()
    if is_ready(stamp):
        return 0
    with (CACHE / "setup.lock").open("w") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        if is_ready(stamp):
            return 0
        try:
            set_up(stamp)
        except (subprocess.CalledProcessError, OSError) as error:
            tail = LOG.read_text().splitlines()[-5:] if LOG.is_file() else []
            print(*tail, f"The set-up failed: {error}", sep="\n", file=sys.stderr)
            print(f"Look at {LOG}; mend what it says (a network? disk space?), then run this again.", file=sys.stderr)
            return 1
    return 0


if __name__ == "__main__":
    sys.exit(main())
