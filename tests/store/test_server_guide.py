"""The guide to servers: a dump of the server's own brings everything back, as the page says."""

import os
import shlex
import subprocess
from pathlib import Path

from remnants.actions import open_catalogue
from remnants.actions.keep_safe import verify
from remnants.store.server_address import ServerAddress
from tests.harmed import a_busy_catalogue
from tests.server import Server

GUIDE = Path(__file__).parent.parent.parent / "docs" / "how-to" / "use-a-server.md"


def words_of(program: str) -> list[str]:
    """The line of the guide that runs a program, as words."""
    (line,) = [line for line in GUIDE.read_text(encoding="utf-8").splitlines() if line.startswith(f"{program} ")]
    return shlex.split(line)[1:]


def test_a_dump_that_is_restored_holds_the_same_and_is_sound(server: Server, server_address: str, tmp_path: Path) -> None:
    a_busy_catalogue(ServerAddress(server_address))
    back = server.make()

    def run(program: str) -> None:
        given = {"postgresql://racks@db.example/shop": server_address, "--dbname=tried": f"--dbname={server.address(back)}"}
        words = [given.get(word, word) for word in words_of(program)]
        subprocess.run([server.programs / program, *words], cwd=tmp_path, check=True, env={**os.environ, "LC_ALL": "C"})

    run("pg_dump")
    run("pg_restore")
    with (
        open_catalogue(ServerAddress(server_address), write=False) as one,
        open_catalogue(ServerAddress(server.address(back)), write=True) as other,
    ):
        assert verify(other).faults == ()
        for table in set(one.tables()) - {"names_mark"}:
            assert (
                one.execute(f"SELECT * FROM {table} ORDER BY 1, 2").fetchall()
                == other.execute(f"SELECT * FROM {table} ORDER BY 1, 2").fetchall()
            )
    server.drop(back)
