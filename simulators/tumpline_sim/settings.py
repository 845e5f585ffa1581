"""A settings file that fits the simulated line, so that a service can be run on it."""

from __future__ import annotations

from tumpline_sim.options import Options
from tumpline_sim.sensors import COUNTER_ROLLS_AT, Sensor, chosen

_HEAD = """\
[site]
name = "Hollow Lane Cider Works"
timezone = "Europe/London"

[broker]
host = "{host}"
port = {port}
root = "{root}"

[store]
path = "{store}"

[[line]]
id = "{line}"
rated_throughput = "{rate:g} t/h"
expected_yield = "680 L/t"
planned_pressure = "4.5 bar"
mill_to_juice = {{ delay = "75 s", spread = "35 s" }}
juice_pump = "{pump}"
"""

_SIGNAL = """
  [[line.signal]]
  name = "{name}"
  payload = "{payload}"
  unit = "{unit}"
  range = [{low:g}, {high:.10g}]
  stale_after = "10 s"
"""


def settings_toml(
    options: Options,
    *,
    host: str = "127.0.0.1",
    port: int = 1883,
    store: str = "var/tumpline.db",
    pump: str | None = None,
) -> str:
    """TOML for a line with the signals of `options`; accuracies are the limits the sensors' biases are drawn from.

    `pump` is what it says of the juice pump; unasked, it names a sump and else leaves the service to find out.
    """
    head = _HEAD.format(
        host=host,
        port=port,
        root=options.root,
        store=store,
        line=options.line,
        rate=options.rate,
        pump=pump or ("on-off" if options.sump else "auto"),
    )
    return head + "".join(_signal(sensor, options) for sensor in chosen(options.signals))


def _signal(sensor: Sensor, options: Options) -> str:
    text = _SIGNAL.format(
        name=sensor.name,
        payload=options.payload,
        unit=sensor.unit,
        low=sensor.low,
        high=sensor.top(options.rate),
    )
    if sensor.of_reading:
        text += f'  accuracy = "{100.0 * sensor.of_reading:g} % of reading"\n'
    if sensor.of_span:
        text += f'  accuracy = "{100.0 * sensor.of_span:g} % of span"\n'
    if sensor.counter:
        text += f'  rollover = "{COUNTER_ROLLS_AT:.0f} {sensor.unit}"\n'
    return text
