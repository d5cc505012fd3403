"""``ringfold jobs``: seeing what the workers have to do, and doing it by hand."""

import json
from collections.abc import Callable, Iterator

import pytest
from click.testing import CliRunner, Result

from service.cli import main
from service.desk import subscriptions
from service.desk.desk import Desk
from service.desk.subscriptions import Subscription
from service.reach import Reach, read_networks
from service.store import outbox, publications
from service.store.engine import Database
from service.workers.work import LEASE
from tests.workers.office import Office
from tests.workers.receiver import Receiver, receiving

Run = Callable[..., Result]
LOOPBACK = Reach(networks=read_networks("127.0.0.0/8"), without_tls=True)


@pytest.fixture
def desk(url: str) -> Iterator[Desk]:
    database = Database(url)
    yield Desk(database)
    database.close()


@pytest.fixture
def run(url: str, monkeypatch: pytest.MonkeyPatch) -> Run:
    monkeypatch.setenv("RINGFOLD_DATABASE", url)
    monkeypatch.setenv("RINGFOLD_WEBHOOK_NETWORKS", "127.0.0.0/8")
    monkeypatch.setenv("RINGFOLD_WEBHOOK_WITHOUT_TLS", "yes")
    return lambda *words: CliRunner().invoke(main, ["jobs", *words])


def _subscribe(office: Office, url: str) -> None:
    wanted = Subscription(url=url, label="Federation")
    subscriptions.subscribe(office.desk, office.ask("federation"), LOOPBACK, wanted)


def _given_up(desk: Desk) -> str:
    (waiting,) = outbox.offer(desk.database, now=desk.clock(), limit=1, again_after=LEASE * 0)
    work = outbox.claim(desk.database, waiting, now=desk.clock(), lease=LEASE)
    assert work is not None
    with desk.database.writing() as connection:
        outbox.bury(connection, work, error="it answered 500", now=desk.clock())
    return work.id


def test_everything_there_is_to_do_can_be_done_at_once(
    run: Run, desk: Desk, office: Office, receiver: Receiver
) -> None:
    _subscribe(office, receiver.url)
    office.publish("c-1")
    office.correct("c-1", mark=2)
    done = run("once")
    assert done.exit_code == 0
    assert done.output == "The log is followed to its end; 2 jobs done.\n"
    assert len(publications.of_class(desk.database, "c-1")) == len(receiver.got) == 2
    assert run("once").output == "The log is followed to its end; 0 jobs done.\n"


def test_how_far_behind_the_workers_are_is_shown(run: Run, office: Office) -> None:
    run("once")
    office.publish("c-1")
    shown = run("lag")
    assert shown.exit_code == 0
    assert "publications at 18, 3 events behind, for 0 s" in shown.output
    assert "to send    0 due" in shown.output
    told = json.loads(run("lag", "--json").output)
    assert told["followers"][0]["events"] == 3
    run("once")
    assert "up to date" in run("lag").output


def test_what_was_given_up_is_listed_and_run_again(
    run: Run, desk: Desk, office: Office, receiver: Receiver
) -> None:
    with receiving() as gone:
        _subscribe(office, gone.url)
    office.publish("c-1")
    run("once")
    with desk.database.writing() as connection:
        connection.exec_driver_sql("UPDATE outbox SET due_at = created_at, offered_at = NULL")
        connection.exec_driver_sql(f"UPDATE subscriber SET url = '{receiver.url}'")
    given_up = _given_up(desk)

    listed = run("failed")
    assert listed.exit_code == 0
    assert listed.output.startswith(f"{given_up}  webhook/")
    assert listed.output.endswith("it answered 500\n")
    assert json.loads(run("failed", "--json").output)["id"] == given_up
    assert run("lag").exit_code == 1

    assert run("again", given_up).output == f"{given_up} will be tried again.\n"
    assert run("failed").output == ""
    assert run("once").output.endswith("1 jobs done.\n")
    assert len(receiver.got) == 1


def test_a_job_that_was_not_given_up_is_not_run_again(run: Run) -> None:
    refused = run("again", "no-such-job")
    assert refused.exit_code == 1
    assert "no-such-job was not given up" in refused.output


def test_a_follower_is_made_anew_by_name(run: Run, desk: Desk, office: Office) -> None:
    office.publish("c-1")
    run("once")
    before = publications.of_class(desk.database, "c-1")
    assert run("rebuild", "publications").output == "publications is made anew.\n"
    assert publications.of_class(desk.database, "c-1") == before
    refused = run("rebuild", "stranger")
    assert refused.exit_code == 1
    assert "no follower is called stranger" in refused.output


@pytest.mark.parametrize("variable", ["RINGFOLD_TICK_SECONDS", "RINGFOLD_WEBHOOK_NETWORKS"])
def test_a_setting_that_cannot_be_used_is_named_in_one_line(
    run: Run, monkeypatch: pytest.MonkeyPatch, variable: str
) -> None:
    monkeypatch.setenv(variable, "never")
    refused = run("lag")
    assert refused.exit_code == 1
    assert refused.output.startswith(f"Error: {variable}: ")
    assert refused.output.count("\n") == 1
