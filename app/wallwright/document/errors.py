"""Errors shown to a person: one sentence that says what is wrong, where and what to do."""


class UserError(Exception):
    """An expected failure. Its text is shown as it is, without a traceback."""


class BadFile(UserError):
    """A file given by the person cannot be read, or cannot be written."""


class BadValue(UserError):
    """A number or choice given by the person is out of range or does not fit the rest."""


class Cancelled(Exception):
    """The person stopped the work; not a failure."""


class StartUnreachable(BadValue):
    """Raised if the machine cannot hang at the starting point."""
