"""Planners that replace the one in another process."""

from wallwright.planning.plan import Request, Response


class Scripted:
    """A planner that answers on demand."""

    deadline = notify = None

    def __init__(self) -> None:
        self.requests: list[Request] = []
        self.answers: list[Response] = []
        self.busy = False

    def start(self) -> None:
        """Does nothing: there is no process."""

    def submit(self, request: Request) -> None:
        self.requests.append(request)
        self.busy = True

    def answer(self, **fields) -> None:
        self.answers.append(Response(self.requests[-1].id, **fields))

    def poll(self) -> list[Response]:
        found, self.answers = self.answers, []
        self.busy = self.busy and not any(a.final for a in found)
        return found

    def cancel(self) -> None:
        self.busy = False

    def close(self) -> None:
        self.busy = False
