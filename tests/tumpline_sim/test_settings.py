"""Settings that fit the simulated line."""

import tomllib

from tumpline_sim import Options, settings_toml
from tumpline_sim.sensors import SENSORS


def test_the_juice_pump() -> None:
    """A sump is named unless the service is to find out."""
    told = [settings_toml(Options(sump=True), pump=pump) for pump in (None, "auto")]
    assert [tomllib.loads(text)["line"][0]["juice_pump"] for text in told] == ["on-off", "auto"]


def test_settings_describe_every_sensor() -> None:
    """Each signal has its unit, its range and the limits its bias is drawn from."""
    told = tomllib.loads(settings_toml(Options(signals="all", rate=10.0, payload="number", sump=True), port=18830))
    (line,) = told["line"]
    assert (told["broker"]["port"], line["rated_throughput"], line["juice_pump"]) == (18830, "10 t/h", "on-off")
    signals = {signal["name"]: signal for signal in line["signal"]}
    assert set(signals) == {sensor.name for sensor in SENSORS}
    assert signals["mill/throughput"] == {
        "name": "mill/throughput",
        "payload": "number",
        "unit": "t/h",
        "range": [0, 22.5],
        "accuracy": "1.5 % of reading",
        "stale_after": "10 s",
    }
    assert signals["pulp/level"]["accuracy"] == "2 % of span"
    assert signals["juice/total"]["rollover"] == "1000000 L"
