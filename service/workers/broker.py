"""Celery on Redis: tasks that say no more than that there is work, and what they do.

What is to be done stands in the database. A message that is lost, doubled or late changes nothing
but when it is done; so none is waited for, and no result is kept.
"""

import os
from collections.abc import Callable
from datetime import timedelta

from celery import Celery
from celery.signals import worker_process_init

from service.workers import rhythm
from service.workers.follow import Stuck
from service.workers.works import Works

QUEUE = "ringfold"
TICK = "ringfold.tick"
FOLLOW = "ringfold.follow"
DELIVER = "ringfold.deliver"
CHECKPOINT = "ringfold.checkpoint"
CLEAN_UP = "ringfold.clean_up"

AT_ONE_GO = timedelta(seconds=30)
"""How long one task follows the log before it lets others have a turn."""

HARD_LIMIT = 120
SOFT_LIMIT = 90
DELIVERY_HARD_LIMIT = 80
DELIVERY_SOFT_LIMIT = 60
"""Seconds; a delivery ends before the lease of its row does."""

VISIBILITY = 5 * HARD_LIMIT
"""After so many seconds Redis hands an unfinished task out again: long after it was stopped."""

_SETTINGS = {
    "task_default_queue": QUEUE,
    "task_serializer": "json",
    "accept_content": ["json"],
    "task_ignore_result": True,
    "task_acks_late": True,
    "task_reject_on_worker_lost": True,  # with acks_late alone a killed task is gone
    "task_time_limit": HARD_LIMIT,
    "task_soft_time_limit": SOFT_LIMIT,
    "task_publish_retry": False,
    "worker_prefetch_multiplier": 1,
    "worker_enable_remote_control": False,  # nobody steers workers but by starting and stopping
    "worker_hijack_root_logger": False,
    "worker_cancel_long_running_tasks_on_connection_loss": False,
    "broker_connection_retry_on_startup": True,
    "broker_connection_max_retries": None,
    "broker_transport_options": {
        "visibility_timeout": VISIBILITY,
        "socket_connect_timeout": 5,
        "socket_timeout": 30,
        "socket_keepalive": True,
        "health_check_interval": 15,
    },
}


def make_app(redis: str, tick: timedelta) -> Celery:
    """The application that sends tasks to workers on that Redis, and knows when beat sends which.

    A tick that nobody took up before the next one is dropped.
    """
    app = Celery("ringfold", broker=redis)
    app.conf.update(_SETTINGS)
    app.conf.beat_schedule = {
        name: {
            "task": name,
            "schedule": every.total_seconds(),
            "options": {"expires": every.total_seconds()},
        }
        for name, every in (
            (TICK, tick),
            (CHECKPOINT, rhythm.CHECKPOINT_EVERY),
            (CLEAN_UP, rhythm.CLEAN_UP_EVERY),
        )
    }
    return app


def add_tasks(app: Celery, make_works: Callable[[], Works], tick: timedelta) -> None:
    """Let a worker of this application do the work; ``make_works`` is called in each process."""
    works = _ForEachProcess(make_works)
    again_after = tick * rhythm.OFFERS_LAST

    def hint(task: str, *about: str) -> None:
        app.send_task(task, args=about)

    def offer() -> None:
        for identifier in works.get().offer(again_after=again_after):
            hint(DELIVER, identifier)

    @app.task(name=TICK)
    def look() -> None:
        for name in works.get().behind():
            hint(FOLLOW, name)
        offer()

    @app.task(name=FOLLOW)
    def follow(name: str) -> None:
        try:
            if not works.get().follow(name, within=AT_ONE_GO):
                hint(FOLLOW, name)
        except Stuck:
            pass  # told in the journal, and kept with the follower's mark
        offer()

    @app.task(name=DELIVER, time_limit=DELIVERY_HARD_LIMIT, soft_time_limit=DELIVERY_SOFT_LIMIT)
    def deliver(identifier: str) -> None:
        works.get().do(identifier)

    @app.task(name=CHECKPOINT)
    def checkpoint() -> None:
        works.get().checkpoint()

    @app.task(name=CLEAN_UP)
    def clean_up() -> None:
        works.get().clean_up()

    # Celery holds its receivers weakly, and this one must live as long as the application.
    worker_process_init.connect(works.forget, weak=False)


class _ForEachProcess:
    """Makes the works once in each process: a database connection must not outlive a fork."""

    def __init__(self, make: Callable[[], Works]) -> None:
        self._make = make
        self._made: Works | None = None
        self._pid = 0

    def get(self) -> Works:
        if self._made is None or self._pid != os.getpid():
            self._made = self._make()
            self._pid = os.getpid()
        return self._made

    def forget(self, **_: object) -> None:
        """Let go of what a parent process made, without closing what is the parent's."""
        if self._made is not None:
            self._made.database.engine.dispose(close=False)
            self._made = None
