"""Line protocol, as a time-series store reads it."""

import re

import pytest
from msgspec.structs import replace

from records import ALARM, SEVEN
from tumpline.pressing.effects import KeepFigures, KeepReading, Quality, TellEvent
from tumpline.wire.points import alarm_point, event_point, figures_point, reading_point

NS = 1791961200_000000_000


@pytest.mark.parametrize(
    ("signal", "si", "start", "value"),
    [
        ("mill/throughput", 1.0, "reading,line=line-1,signal=mill/throughput,unit=t/h", 3.6),
        ("juice/flow", 1e-3, "reading,line=line-1,signal=juice/flow,unit=L/min", 60.0),
        ("vat/V1/volume", 7.25, "reading,line=line-1,signal=vat/V1/volume,unit=L", 7250.0),
        ("juice/temperature", 11.5, "reading,line=line-1,signal=juice/temperature,unit=°C", 11.5),
    ],
)
def test_a_reading_is_in_the_unit_of_documents(signal: str, si: float, start: str, value: float) -> None:
    """People look at tonnes an hour, not at kilograms a second."""
    tags, fields, at = reading_point("line-1", KeepReading(signal, SEVEN, si, Quality.GOOD)).split(" ")
    found = re.fullmatch(r"value=(.+),late=false", fields)
    assert (tags, int(at)) == (start, NS)
    assert found is not None and float(found[1]) == pytest.approx(value, rel=1e-12)


def test_a_late_reading_is_marked() -> None:
    """What came late can be told from what came in time."""
    assert ",late=true " in reading_point("line-1", KeepReading("mill/throughput", SEVEN, 1.0, Quality.LATE))


def test_the_same_time_is_the_same_point() -> None:
    """A reading stored again overwrites itself instead of standing beside itself."""
    ends = [
        reading_point("l", KeepReading("mill/throughput", SEVEN + x, 1.0, Quality.GOOD)) for x in (0.123456, 0.1234561)
    ]
    assert ends[0] == ends[1] and ends[0].endswith(" 1791961200123456000")


def test_figures_that_are_known_are_fields() -> None:
    """What is not known is not a field, and nothing known is no point."""
    figures = {"yield_l_per_t": 700.0, "yield_low": float("nan"), "fruit_kg": 4200.0}
    assert figures_point("line-1", KeepFigures(SEVEN, figures)) == (
        f"figures,line=line-1 yield_l_per_t=700.0,fruit_kg=4200.0 {NS}"
    )
    assert figures_point("line-1", KeepFigures(SEVEN, {"yield_low": float("nan")})) is None


def test_an_event_keeps_its_data_as_json() -> None:
    """Quotes and backslashes in what people wrote stay what they were."""
    point = event_point("line-1", TellEvent("note.made", SEVEN, {"text": 'a "new"\\old cloth'}))
    assert (
        point
        == f'event,line=line-1,kind=note.made data="{{\\"text\\":\\"a \\\\\\"new\\\\\\"\\\\\\\\old cloth\\"}}" {NS}'
    )


def test_an_alarm_is_one_point_of_each_change() -> None:
    """State and cause can be drawn beside the curves."""
    point = alarm_point("line-1", replace(ALARM, subject="vat V1,a=b", cause="one\ntwo"), SEVEN)
    assert point == (
        r"alarm,line=line-1,name=mill-blocked,subject=vat\ V1\,a\=b "
        f'state="acknowledged",active=true,priority="high",cause="one two" {NS}'
    )
    assert alarm_point("line-1", ALARM, SEVEN).startswith("alarm,line=line-1,name=mill-blocked state=")


def test_a_name_cannot_break_the_line() -> None:
    """A line break or a backslash in a tag would make two points of one, or none."""
    point = alarm_point("line-1", replace(ALARM, subject="a\nb\\"), SEVEN)
    assert "\n" not in point
    assert r"subject=a\ b/ state=" in point
