"""Commands run in the process of the tests."""

import pytest


@pytest.fixture(autouse=True)
def plans_are_shared(commands_have_planned_before):
    """What is tested here is the command, not how its plan comes about."""
