"""A PostgreSQL of the tests' own: Debian's newest, in a temporary folder, there for as long as the process that asked for it.

A keeper, a process apart, starts it and waits at a pipe. Once whoever asked is gone, killed too, the keeper ends the server and
takes its folder away. This file is that keeper when it is run, so it needs nothing but Python.
"""

import os
import secrets
import shutil
import signal
import socket
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator, Sequence
from contextlib import contextmanager, suppress
from pathlib import Path
from urllib.parse import quote

__all__ = ["PASSWORD", "USER", "Server", "programs", "running_server"]

USER, PASSWORD = "racks", "invented moss 41"
"""Who owns the databases. The password is asked for over the network alone, not at the socket in the server's folder."""

_IN_A_HURRY = ("fsync=off", "full_page_writes=off")
"""Of a server whose files need not outlast the machine; they do outlast its processes."""

_ELSEWHERE = ("timezone=Pacific/Auckland", "datestyle=German")
"""A server that others set up: what is stored and shown must depend on none of its habits, nor on how it sorts words."""
_SMALL = ("autovacuum=off", "wal_level=minimal", "max_wal_senders=0", "log_min_messages=fatal", "log_min_error_statement=panic")
_UNPRIVILEGED = "postgres"
_ROOM_BYTES = 4_000_000_000
_START_S, _END_S = 60.0, 20.0


def programs() -> Path | None:
    """The folder with Debian's newest PostgreSQL; None where there is none."""
    found = [folder for folder in Path("/usr/lib/postgresql").glob("*/bin") if (folder / "initdb").is_file()]
    return max(found, key=lambda folder: float(folder.parent.name), default=None)


def _quick_folder() -> str | None:
    """Where files lie in memory, if there is room; a disk that others use as well takes seconds to forget a server."""
    memory = Path("/dev/shm")
    with suppress(OSError):
        if os.access(memory, os.W_OK) and shutil.disk_usage(memory).free > _ROOM_BYTES:
            return str(memory)
    return None


class Server:
    """A running server.

    `folder` holds its socket and, below, its data; `programs` is the folder with what belongs to it, such as psql.
    """

    def __init__(self, keeper: "subprocess.Popen[str]", folder: Path, port: int, bin_folder: Path) -> None:
        self._keeper, self.folder, self.port, self.programs = keeper, folder, port, bin_folder

    def address(self, database: str, *, network: bool = False) -> str:
        """Where a database is: at the socket, which asks for no password, or over the network, where PASSWORD is asked for."""
        if network:
            return f"postgresql://{USER}@127.0.0.1:{self.port}/{database}"
        return f"postgresql://{USER}@/{database}?host={quote(str(self.folder), safe='')}&port={self.port}"

    def make(self, *, like: str = "template0") -> str:
        """A new database's name: empty, or a copy of another one that nobody uses just now."""
        name = f"shop_{secrets.token_hex(6)}"
        self.sql(f"CREATE DATABASE {name} TEMPLATE {like}")
        return name

    def drop(self, database: str) -> None:
        """Takes a database away, whoever still uses it."""
        self.sql(f"DROP DATABASE {database} WITH (FORCE)")

    def sql(self, text: str, database: str = "postgres") -> str:
        """What the server's own program answers to a statement, columns parted by `|`."""
        asked = ["-h", str(self.folder), "-p", str(self.port), "-U", USER, "-d", database, "-XqtA", "-v", "ON_ERROR_STOP=1"]
        done = subprocess.run([self.programs / "psql", *asked, "-c", text], capture_output=True, text=True, check=False)
        assert done.returncode == 0, done.stderr
        return done.stdout.strip()

    def processor_s(self) -> float:
        """Seconds of processor time that its processes had so far, those that ended too (from /proc, so on Linux alone)."""
        (first, *_) = (self.folder / "data/postmaster.pid").read_text().split()
        total = 0
        for stat in Path("/proc").glob("[0-9]*/stat"):
            with suppress(OSError):
                (own, _, rest) = stat.read_text().partition(" ")
                fields = rest.rpartition(")")[2].split()
                if own == first:
                    total += sum(map(int, fields[11:15]))
                elif fields[1] == first:
                    total += sum(map(int, fields[11:13]))
        return total / os.sysconf("SC_CLK_TCK")

    def kill(self) -> None:
        """The server's first process is killed where it stands, with SIGKILL; gives back once no process of it is left."""
        self._ask("kill")

    def stop(self) -> None:
        """The server is stopped at once, as by `pg_ctl stop -m immediate`: its processes tell who is connected, and are gone."""
        self._ask("stop")

    def start(self) -> None:
        """Starts a server again that was killed or stopped; gives back once it answers."""
        self._ask("start")

    def _ask(self, word: str) -> None:
        assert self._keeper.stdin and self._keeper.stdout
        self._keeper.stdin.write(f"{word}\n")
        self._keeper.stdin.flush()
        answer = self._keeper.stdout.readline().strip()
        assert answer == "ready", f"the server of the tests could not {word}: {answer or 'its keeper went'}"


@contextmanager
def running_server(bin_folder: Path, *, lasting: bool = False) -> Iterator[Server]:
    """A server for as long as the block lasts or the process lives; a `lasting` one has on its disk what it says is written."""
    folder = Path(tempfile.mkdtemp(prefix="remnants-server-", dir=None if lasting else _quick_folder()))
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = int(free.getsockname()[1])
    told = [str(folder), str(port), str(bin_folder), *(() if lasting else _IN_A_HURRY)]
    command = [sys.executable, "-I", __file__, *told]
    keeper = subprocess.Popen(command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True, start_new_session=True)
    server = Server(keeper, folder, port, bin_folder)
    try:
        server.start()
        yield server
    finally:
        assert keeper.stdin and keeper.stdout
        keeper.stdin.close()
        keeper.wait()
        keeper.stdout.close()


class _Keeper:
    """What the process apart does: it makes the data, starts, kills, ends."""

    def __init__(self, folder: Path, port: str, bin_folder: Path, settings: Sequence[str]) -> None:
        self.folder, self.data, self.bin = folder, folder / "data", bin_folder
        self.own = {"user": _UNPRIVILEGED, "group": _UNPRIVILEGED, "extra_groups": []} if os.geteuid() == 0 else {}
        at = ["-D", str(self.data), "-k", str(folder), "-p", port, "-c", "listen_addresses=127.0.0.1"]
        self.command = [
            str(bin_folder / "postgres"),
            *at,
            *(word for each in (*_ELSEWHERE, *_SMALL, *settings) for word in ("-c", each)),
        ]
        self.server: subprocess.Popen[bytes] | None = None

    def make(self) -> str:
        """The data of a new server. Gives what was wrong, or nothing."""
        word = self.folder / "word"
        word.write_text(PASSWORD, encoding="utf-8")
        if self.own:
            for path in (self.folder, word):
                shutil.chown(path, _UNPRIVILEGED, _UNPRIVILEGED)
        asked = ["-D", str(self.data), "-U", USER, "-N", "-E", "UTF8", "--locale=C.UTF-8", "--no-instructions"]
        sorting = ["--locale-provider=icu", "--icu-locale=en-US"]  # a before B, as on most servers
        doors = ["--auth-local=trust", "--auth-host=scram-sha-256", "--pwfile", str(word)]
        done = self._run([str(self.bin / "initdb"), *asked, *sorting, *doors])
        word.unlink()
        return done.stderr.decode(errors="replace").strip() if done.returncode else ""

    def _run(self, command: list[str]) -> "subprocess.CompletedProcess[bytes]":
        return subprocess.run(command, cwd=self.folder, capture_output=True, check=False, **self.own)  # type: ignore[call-overload, no-any-return]

    def start(self) -> str:
        """Gives back once the server answers; else what was wrong."""
        wrong = self.make() if not self.data.exists() else ""
        ends = time.monotonic() + _START_S
        while not wrong and time.monotonic() < ends:
            with (self.folder / "told").open("wb") as told:
                self.server = subprocess.Popen(self.command, cwd=self.folder, stdout=told, stderr=told, **self.own)  # type: ignore[call-overload]
            while self.server.poll() is None and time.monotonic() < ends:
                if self._is_ready(self.server.pid):
                    return ""
                time.sleep(0.02)
            time.sleep(0.1)  # another process of one that was killed may still hold the memory
        return wrong or (self.folder / "told").read_text(errors="replace")

    def _is_ready(self, pid: int) -> bool:
        """By the file in which a server tells how far it is."""
        with suppress(OSError):
            lines = (self.data / "postmaster.pid").read_text().split("\n")
            return lines[0] == str(pid) and len(lines) > 7 and lines[7].strip() == "ready"
        return False

    def kill(self) -> str:
        """Gives back once the server is gone, and all that it had started."""
        assert self.server
        self.server.kill()
        self.server.wait()
        return ""

    def stop(self) -> str:
        """Ends the server at once; gives back once it is gone."""
        if self.server and self.server.poll() is None:
            self.server.send_signal(signal.SIGQUIT)
            try:
                self.server.wait(_END_S)
            except subprocess.TimeoutExpired:
                self.kill()
        return ""

    def end(self) -> None:
        """Ends the server at once, and takes all of it away."""
        self.stop()
        shutil.rmtree(self.folder, ignore_errors=True)


def _keep(keeper: _Keeper) -> None:
    """Does what it is told, a word a line, until nobody is there to tell it anything."""
    try:
        for line in sys.stdin:
            wrong = {"start": keeper.start, "kill": keeper.kill, "stop": keeper.stop}[line.strip()]()
            print(" ".join(wrong.split()) or "ready", flush=True)
    finally:
        keeper.end()


if __name__ == "__main__":
    folder_, port_, bin_, *settings_ = sys.argv[1:]
    _keep(_Keeper(Path(folder_), port_, Path(bin_), settings_))
