"""How the workers are getting on, for the office: what is behind, what failed, and trying again."""

from events.refusals import Refusal
from service.desk.caller import Caller, check_whole_house
from service.desk.desk import Desk
from service.store import outbox
from service.store.outbox import Failed
from service.store.watch import Watch
from service.store.watch import watch as watch_log


def watch(desk: Desk, caller: Caller) -> Watch:
    """Whether the work gets done."""
    check_whole_house(caller, "the workers' work")
    return watch_log(desk.log, now=desk.clock())


def failed(desk: Desk, caller: Caller, *, limit: int) -> tuple[Failed, ...]:
    """What was given up, the latest first."""
    check_whole_house(caller, "the workers' work")
    return outbox.failed(desk.database, limit=limit)


def run_again(desk: Desk, caller: Caller, job: str) -> None:
    """Let a job that was given up be tried from the beginning; or a refusal."""
    check_whole_house(caller, "the workers' work")
    if not outbox.run_again(desk.database, job, now=desk.clock()):
        raise Refusal("unknown_job", f"No job {job} was given up.", job=job)
