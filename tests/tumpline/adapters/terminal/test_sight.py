import pytest

from glances import NOW, sight
from records import LIVE
from tumpline.adapters.terminal.sight import Sight


def test_a_line_that_was_just_heard_is_there() -> None:
    """A live document of the last seconds is what is so now."""
    assert sight().gone(NOW + 14.0) == ""


@pytest.mark.parametrize(
    ("what", "said"),
    [
        (Sight(line="line-1"), "Nothing heard from this line yet."),
        (sight(heard=NOW - 16.0), "The line is silent."),
        (sight(service_gone=True), "The service is not running."),
        (sight(signals=LIVE.signals[1:3]), "No signal of the line is heard."),
        (sight(trouble="The broker at localhost:1883 is not there."), "The broker at localhost:1883 is not there."),
    ],
)
def test_whatever_else_is_no_data(what: Sight, said: str) -> None:
    """Silence, a stopped service and a lost broker each say what they are."""
    assert what.gone(NOW) == said
