"""What commands accept."""

import argparse
from collections.abc import Callable

import pytest

from tumpline.app import arguments


def given(add: Callable[[argparse.ArgumentParser], None], *words: str) -> argparse.Namespace:
    """The words, understood as the command does."""
    parser = argparse.ArgumentParser()
    add(parser)
    return parser.parse_args(words)


def test_a_report_is_of_the_last_shift_as_json_unless_asked_otherwise() -> None:
    """Everything may be left out."""
    plain = given(arguments.report)
    assert (plain.shift, plain.season, plain.format, plain.output) == (None, None, "json", None)


def test_a_plan_needs_what_only_people_know() -> None:
    """Fruit to come and days; the rest has a default."""
    wish = given(arguments.plan, "--to-come", "40 t", "--days", "12")
    assert (wish.to_come, wish.days, wish.spoilt, wish.shifts_a_day) == ("40 t", 12, 1.0, 1.0)
    with pytest.raises(SystemExit):
        given(arguments.plan, "--to-come", "40 t")


@pytest.mark.parametrize(
    ("add", "words"),
    [
        (arguments.demo, ["--speed", "0"]),
        (arguments.demo, ["--speed", "fast"]),
        (arguments.demo, ["--port", "65536"]),
        (arguments.demo_season, ["--shifts", "0"]),
        (arguments.demo_season, ["--shifts", "1000"]),
        (arguments.report, ["--format", "odt"]),
    ],
)
def test_a_number_that_cannot_be_meant_is_refused(
    add: Callable[[argparse.ArgumentParser], None], words: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    """The sentence names the argument."""
    with pytest.raises(SystemExit):
        given(add, *words)
    assert words[0] in capsys.readouterr().err
