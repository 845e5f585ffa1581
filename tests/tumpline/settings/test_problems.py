"""Mistakes that several keys make together."""

import pytest
from pydantic_core import PydanticCustomError

from tumpline.settings.problems import Problem, raise_any


def test_all_problems_are_raised_at_once() -> None:
    """Whoever mends a file sees everything that is wrong with it."""
    raise_any([])
    with pytest.raises(PydanticCustomError) as error:
        raise_any([Problem("from", "is missing"), Problem("to", "is missing")])
    assert error.value.context == {"problems": [Problem("from", "is missing"), Problem("to", "is missing")]}
