"""Work handed out: nothing is lost, nothing is answered twice, whoever does it."""

from __future__ import annotations

import json
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path

import pytest
from pebble import ProcessExpired

from api.engine import PoolExecutor, executor_of, outcomes
from tests.api.jobs import doubled, noted
from vision.check import BadInput

ROOT = Path(__file__).resolve().parents[2]
START_S = 30.0
"""seconds in which a scheduler or worker must have come up"""


def test_every_job_has_its_own_result() -> None:
    """Twenty jobs in two processes, three under way at once."""
    with PoolExecutor(2, 30.0) as executor:
        assert dict(outcomes(doubled, range(20), executor, 3)) == {n: 2 * n for n in range(20)}


def test_a_job_that_kills_its_process_takes_only_itself() -> None:
    """The others are done, and that one is an exception in its own place."""
    with PoolExecutor(2, 30.0) as executor:
        got = dict(outcomes(doubled, [*range(5), -1, *range(5, 10)], executor, 3))
    assert isinstance(got.pop(-1), ProcessExpired)
    assert got == {n: 2 * n for n in range(10)}


def test_no_more_jobs_are_read_ahead_than_asked_for() -> None:
    """Memory stays bounded: a job is read only when there is a place for it."""
    read, most = 0, 0

    def jobs() -> Iterator[int]:
        nonlocal read
        for n in range(12):
            read += 1
            yield n

    with PoolExecutor(1, 30.0) as executor:
        for done, _ in enumerate(outcomes(doubled, jobs(), executor, 3)):
            most = max(most, read - done)
    assert most <= 4  # three waiting and the one that is handed out


@pytest.mark.parametrize(
    "address", ["foo", "", "tcp://127.0.0.1", "udp://127.0.0.1:8786", "tcp://127.0.0.1:0", "127.0.0.1:99999", "tcp:// a:1"]
)
def test_what_is_no_address_of_a_scheduler_is_said_before_a_client_is_made(address: str) -> None:
    """A client of it would fail and complain of that a second time, with a traceback, when it is thrown away."""
    with pytest.raises(BadInput) as refused:
        executor_of(address, 1, 10.0)
    assert refused.value.found == repr(address)
    assert "tcp://HOST:PORT" in refused.value.needed


def test_a_scheduler_that_is_not_there_is_said() -> None:
    """The address, what was needed, and what to do."""
    with pytest.raises(BadInput) as refused:
        executor_of("nonsense", 1, 1.0)
    assert "nonsense" in refused.value.found
    assert "tcp://" in refused.value.needed


@pytest.fixture
def cluster(tmp_path: Path) -> Iterator[tuple[str, list[subprocess.Popen[bytes]]]]:
    """The address of a scheduler on loopback with two workers, and their processes."""
    pytest.importorskip("distributed", reason="Dask is not installed")
    where = tmp_path / "scheduler.json"
    head = _dask("scheduler", "--host", "127.0.0.1", "--port", "0", "--no-dashboard", "--scheduler-file", where)
    usual = ("--nthreads", "1", "--no-nanny", "--no-dashboard", "--local-directory", tmp_path)
    hands = [_dask("worker", "--scheduler-file", where, *usual) for _ in range(2)]
    try:
        yield _address(where), hands
    finally:
        for process in (*hands, head):
            process.kill()
            process.wait()


def _dask(kind: str, *words: object) -> subprocess.Popen[bytes]:
    command = [sys.executable, "-m", f"distributed.cli.dask_{kind}", *map(str, words)]
    return subprocess.Popen(command, cwd=ROOT, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)


def _address(where: Path) -> str:
    end = time.monotonic() + START_S
    while time.monotonic() < end:
        try:
            return str(json.loads(where.read_text())["address"])
        except (OSError, ValueError):
            time.sleep(0.1)
    raise AssertionError("the scheduler did not start")


@pytest.mark.filterwarnings("ignore")  # a cluster that is torn down warns in its own threads
def test_a_cluster_that_loses_a_worker_half_way_loses_nothing(
    cluster: tuple[str, list[subprocess.Popen[bytes]]], tmp_path: Path
) -> None:
    """Each job is answered exactly once although one of two workers is killed in the middle."""
    address, hands = cluster
    jobs = [(str(tmp_path), n) for n in range(24)]
    answers = []
    executor = executor_of(address, 2, START_S)
    for job, answer in outcomes(noted, jobs, executor, 6):
        answers.append((job[1], answer))
        if len(answers) == 8:
            hands[0].kill()
    assert sorted(answers) == [(n, n) for n in range(24)]
