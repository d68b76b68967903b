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
from typing import TextIO

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


def pins(requirements: Path) -> int:
    """How many packages the pinned requirements name."""
    return sum("==" in line and not line.startswith("#") for line in requirements.read_text().splitlines())


class Progress:
    """How far the packages are, told from what pip says."""

    def __init__(self, packages: int) -> None:
        self.packages, self.come = packages, 0

    def after(self, line: str) -> str:
        """What to show after a line of pip's; empty where nothing is new."""
        if line.startswith(("Collecting ", "Processing ")):
            self.come += 1
            return f"{self.come} of {self.packages} packages"
        return "putting them in place" if line.startswith("Installing collected") else ""


def say(text: str, *, passing: bool = False) -> None:
    """A line to whoever waits; a passing one is written over by the next at a terminal, and left out elsewhere."""
    if sys.stderr.isatty():
        print(f"\r\033[K{text}", end="" if passing else "\n", file=sys.stderr, flush=True)
    elif not passing:
        print(text, file=sys.stderr, flush=True)


def install(words: list[str], progress: Progress, log: TextIO) -> None:
    """Runs pip, its words in the log and how far it is for whoever waits. Raises CalledProcessError where pip fails."""
    pip = [str(VENV / "bin" / "python"), "-m", "pip", "--disable-pip-version-check", "install", *words]
    with subprocess.Popen(
        pip, stdin=subprocess.DEVNULL, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True, cwd=ROOT
    ) as run:
        for line in run.stdout or ():
            log.write(line)
            told = progress.after(line)
            if told:
                say(f"  {told}", passing=progress.come % 25 != 0)
    if run.returncode:
        raise subprocess.CalledProcessError(run.returncode, pip)


def set_up(stamp: str) -> None:
    """A fresh environment; the stamp is written last, so a set-up that was broken off is done again."""
    with LOG.open("w") as log:
        say("Setting up .venv, once, in a minute or two. 1 of 3: an empty environment")
        shutil.rmtree(VENV, ignore_errors=True)
        venv.create(VENV, with_pip=True, symlinks=True)
        say("2 of 3: the packages that Remnants stands on")
        install(["-r", str(REQUIREMENTS)], Progress(pins(REQUIREMENTS)), log)
        install(["--no-deps", "-r", str(DATA)], Progress(pins(DATA)), log)
        say("3 of 3: Remnants itself")
        install(["--no-deps", "--no-build-isolation", "--editable", str(ROOT)], Progress(1), log)
    STAMP.write_text(stamp)


def main() -> int:
    """Set up if needed; with `--ready` only look. The exit code is 0 when the environment is ready."""
    CACHE.mkdir(exist_ok=True)
    stamp = wanted_stamp()
    if is_ready(stamp):
        return 0
    if "--ready" in sys.argv[1:]:
        return 1
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
