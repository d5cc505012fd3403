"""Several processes at once doing one thing over and over, counted; and how busy the machine is."""

import multiprocessing
import os
import statistics
import time
from collections.abc import Callable, Sequence
from multiprocessing.queues import Queue
from multiprocessing.synchronize import Barrier

Client = Callable[[str, str], Callable[[], object]]
"""Prepares one client, given the database's URL and a name of its own; answers with its work."""

WARM_UP = 50


def say_load() -> None:
    """Print what else the machine does.

    With more to run than there are cores, whoever needs more processor time is also made to wait
    more often while it holds the log's head, so that ratios with several clients fall.
    """
    last, *_ = os.getloadavg()
    print(f"load {last:.1f} on {os.cpu_count()} cores")


def rate(client: Client, url: str, clients: int, seconds: float) -> float:
    """How often a second all clients together did their work, after warming up."""
    spawn = multiprocessing.get_context("spawn")
    counts: Queue[float] = spawn.Queue()
    start = spawn.Barrier(clients)
    processes = [
        spawn.Process(target=_work, args=(client, url, f"{n}", seconds, start, counts))
        for n in range(clients)
    ]
    for process in processes:
        process.start()
    total = sum(counts.get(timeout=seconds + 60) for _ in processes)
    for process in processes:
        process.join()
    return total


def alternating(
    contestants: Sequence[Client], url: str, *, clients: int, seconds: float, rounds: int
) -> list[list[float]]:
    """The rates of each contestant, taken in turns so that all meet the same weather."""
    rates: list[list[float]] = [[] for _ in contestants]
    for _ in range(rounds):
        for kept, contestant in zip(rates, contestants, strict=True):
            kept.append(rate(contestant, url, clients, seconds))
    return rates


def median_ratio(ours: Sequence[float], theirs: Sequence[float]) -> float:
    """The median of ours over the median of theirs."""
    return statistics.median(ours) / statistics.median(theirs)


def _work(
    client: Client, url: str, name: str, seconds: float, start: Barrier, counts: "Queue[float]"
) -> None:
    work = client(url, name)
    for _ in range(WARM_UP):
        work()
    start.wait()
    began = time.perf_counter()
    done = 0
    while time.perf_counter() - began < seconds:
        work()
        done += 1
    counts.put(done / (time.perf_counter() - began))
