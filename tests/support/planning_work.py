"""A planning process with a fault of the program in it, to stand in for that of wallwright.planning.worker."""

from wallwright.planning import runner, worker


def fails(connection) -> None:
    """Meets a fault of the program in every request."""
    runner.Runner.run = fault
    worker.work(connection)


def fault(*_):
    raise ZeroDivisionError
