"""Faulty planning processes that replace that of wallwright.planning.worker."""

from wallwright.planning import runner, worker


def fails(connection) -> None:
    """Raises an unexpected exception in every request."""
    runner.Runner.run = fault
    worker.work(connection)


def fault(*_):
    raise ZeroDivisionError


def answers_in_another_version(connection) -> None:
    """Answers each request with data that this program cannot read."""
    while True:
        try:
            connection.recv()
        except (EOFError, OSError):
            return
        connection.send_bytes(b"c" + b"wallwright.not_there\nNothing\n.")
