"""How every command ends."""

import pytest

from tumpline.app.errors import CommandError, Status


@pytest.mark.parametrize(
    ("status", "number"),
    [
        (Status.DONE, 0),
        (Status.OWN_FAULT, 1),
        (Status.BAD_SETTINGS, 2),
        (Status.BAD_DATA, 3),
        (Status.UNREACHABLE, 4),
    ],
)
def test_scripts_can_rely_on_the_exit_statuses(status: Status, number: int) -> None:
    """Each way to end has the number that the commands promise."""
    assert status == number


def test_an_error_says_its_sentence() -> None:
    """What is raised reads as the sentence it was given, and knows how the program ends."""
    error = CommandError(Status.BAD_DATA, "shift.ndjson holds no shift.")
    assert str(error) == "shift.ndjson holds no shift."
    assert error.status is Status.BAD_DATA
