"""``ringfold serve`` as a process."""

import signal
import socket
from pathlib import Path

from service.store import migrate
from service.store.engine import Database
from tests.commands.processes import done, free_port, serving


def test_it_makes_an_empty_sqlite_file_ready_serves_and_ends_when_told(tmp_path: Path) -> None:
    url = f"sqlite:///{tmp_path / 'show.db'}"
    with serving("serve", port=free_port(), RINGFOLD_DATABASE=url) as server:
        server.wait_for("Ringfold serves")
        assert server.get("/readyz")[0] == 200
        assert server.get("/v1/openapi.json")[0] == 200
        assert server.stop(signal.SIGTERM) == 0
    assert "".join(server.said).splitlines() == [
        f"{tmp_path / 'show.db'} was empty, and has its tables now.",
        f"Ringfold serves {server.url}/v1",
    ]


def test_it_never_changes_a_database_of_an_earlier_release(tmp_path: Path) -> None:
    url = f"sqlite:///{tmp_path / 'show.db'}"
    database = Database(url)
    migrate.upgrade(database, "0001")
    refused = done("serve", "--port", str(free_port()), RINGFOLD_DATABASE=url)
    assert refused.returncode == 1
    assert "keep a copy, then run `ringfold database upgrade`" in refused.stderr
    assert migrate.current(database) == "0001"
    database.close()


def test_a_port_at_which_somebody_listens_is_named(tmp_path: Path) -> None:
    url = f"sqlite:///{tmp_path / 'show.db'}"
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        port = taken.getsockname()[1]
        refused = done("serve", "--port", str(port), RINGFOLD_DATABASE=url)
    assert refused.returncode == 1
    assert refused.stderr == (
        f"Error: Nothing can listen at 127.0.0.1:{port}: Address already in use. "
        "Choose another with --port.\n"
    )
    assert not (tmp_path / "show.db").exists()


def test_an_address_of_another_machine_is_refused(tmp_path: Path) -> None:
    url = f"sqlite:///{tmp_path / 'show.db'}"
    refused = done("serve", "--host", "192.0.2.1", RINGFOLD_DATABASE=url)
    assert refused.returncode == 1
    assert refused.stderr.startswith("Error: Nothing can listen at 192.0.2.1:8750: ")
