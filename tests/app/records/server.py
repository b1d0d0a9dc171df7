"""A PostgreSQL server of the tests' own: made in a temporary folder, gone with them."""

import contextlib
import ctypes
import os
import pwd
import shutil
import signal
import socket
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import psycopg

USER, PASSWORD = "line", "correct horse"
_SETTINGS = {
    "fsync": "off",
    "full_page_writes": "off",
    "wal_level": "minimal",
    "max_wal_senders": "0",
    "autovacuum": "off",
    "shared_buffers": "32MB",
    "max_connections": "40",
    "log_min_messages": "warning",
}


class ServerMissingError(Exception):
    """There is no PostgreSQL on this machine, or it did not start."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Server:
    """A server that answers.

    Attributes
    ----------
    folder : Path
        Its socket lies here; whoever comes through it needs no password.
    port : int
        On 127.0.0.1, with USER and PASSWORD; and the number of the socket.
    """

    folder: Path
    port: int

    def url(self, database: str) -> str:
        """Return the address of a database, through the socket."""
        return f"postgresql://{USER}@/{database}?host={self.folder}&port={self.port}"

    def run(self, statement: str, *, database: str = "postgres") -> list[tuple[object, ...]]:
        """Run one statement as the owner of the server; return its rows."""
        with psycopg.connect(
            dbname=database,
            user=USER,
            host=str(self.folder),
            port=self.port,
            autocommit=True,
        ) as connection:
            cursor = connection.execute(statement)
            return cursor.fetchall() if cursor.description else []


@contextlib.contextmanager
def started() -> Iterator[Server]:
    """Make a server and start it; its order of text passes over spaces, as those of people do."""
    folder = Path(tempfile.mkdtemp(prefix="dustcap-pg-"))  # short: a socket's path has 107 bytes
    account = _account()
    if account is not None:
        os.chown(folder, account.pw_uid, account.pw_gid)
    try:
        _make(folder, account=account)
        server = Server(folder=folder, port=_free_port())
        process = _start(server, account=account)
        try:
            _wait(server, process=process)
            yield server
        finally:
            process.send_signal(signal.SIGQUIT)  # at once: nothing of it is kept
            process.wait()
    finally:
        shutil.rmtree(folder, ignore_errors=True)


def program(name: str) -> str:
    """Return where a program of the server is: on the path, or where Debian keeps its newest."""
    found = sorted(Path("/usr/lib/postgresql").glob(f"*/bin/{name}"), key=_version)
    where = shutil.which(name) or (str(found[-1]) if found else None)
    if where is None:
        raise ServerMissingError(
            f"{name} of PostgreSQL is missing: python3 run.py test installs it"
        )
    return where


def _version(path: Path) -> int:
    return int(path.parts[-3])


def _account() -> pwd.struct_passwd | None:
    """Return whom the server runs as: root it refuses."""
    if os.geteuid() != 0:
        return None
    try:
        return pwd.getpwnam("postgres")
    except KeyError:
        return pwd.getpwnam("nobody")


def _make(folder: Path, *, account: pwd.struct_passwd | None) -> None:
    password = folder / "password"
    password.write_text(PASSWORD)
    done = subprocess.run(
        [
            program("initdb"),
            *("-D", str(folder / "data"), "-U", USER, "--pwfile", str(password), "--no-sync"),
            *("--auth-local", "trust", "--auth-host", "scram-sha-256", "-E", "UTF8"),
            *("--locale", "C.UTF-8", "--locale-provider", "icu", "--icu-locale", "en-u-ka-shifted"),
        ],
        capture_output=True,
        text=True,
        check=False,
        cwd=folder,
        user=account.pw_uid if account else None,
        group=account.pw_gid if account else None,
    )
    if done.returncode:
        raise ServerMissingError(f"initdb: {done.stderr.strip()}")


def _start(server: Server, *, account: pwd.struct_passwd | None) -> subprocess.Popen[bytes]:
    settings = {
        **_SETTINGS,
        "listen_addresses": "127.0.0.1",
        "port": str(server.port),
        "unix_socket_directories": str(server.folder),
    }
    with (server.folder / "log").open("wb") as log:
        return subprocess.Popen(
            [
                program("postgres"),
                *("-D", str(server.folder / "data")),
                *(part for name, value in settings.items() for part in ("-c", f"{name}={value}")),
            ],
            stdout=subprocess.DEVNULL,
            stderr=log,
            cwd=server.folder,
            user=account.pw_uid if account else None,
            group=account.pw_gid if account else None,
            preexec_fn=_end_with_the_tests,
        )


def _end_with_the_tests() -> None:
    if sys.platform == "linux":
        ctypes.CDLL(None).prctl(1, signal.SIGQUIT)  # PR_SET_PDEATHSIG; outlives exec


def _wait(server: Server, *, process: subprocess.Popen[bytes]) -> None:
    until = time.monotonic() + 30
    while True:
        try:
            server.run("SELECT 1")
        except psycopg.OperationalError:
            if process.poll() is not None or time.monotonic() > until:
                log = (server.folder / "log").read_text(errors="replace")
                raise ServerMissingError(f"PostgreSQL does not start: {log.strip()}") from None
            time.sleep(0.02)
        else:
            return


def _free_port() -> int:
    with socket.socket() as one:
        one.bind(("127.0.0.1", 0))
        return int(one.getsockname()[1])
