"""Whose juice is in which vat, held against what the simulated line knows to be so."""

import tomllib

import pytest

from press_stories import known
from simulated import Run, run
from tumpline.pressing.effects import TellSummary
from tumpline.pressing.line import PressLine
from tumpline.pressing.records import Summary
from tumpline.settings.models import Settings
from tumpline.wire.decode import Decoder
from tumpline_sim import Options, settings_toml


def summary_of(simulated: Run, options: Options) -> Summary:
    """What the line makes of a simulated shift."""
    settings = Settings.model_validate(tomllib.loads(settings_toml(options)))
    wire = settings.lines[0].wire(settings.broker.root)
    decoder, line = Decoder([wire]), PressLine(wire.params)
    effects = []
    for message in simulated.messages:
        decoded = decoder.decode(message.topic, message.payload, message.arrived)
        for event in decoded.events if decoded else ():
            effects += line.handle(event)
    effects += line.finish()
    (summary,) = [effect.summary for effect in effects if isinstance(effect, TellSummary)]
    return summary


@pytest.mark.parametrize(("seed", "sump"), [(7, False), (12, True)])
def test_litres_of_each_load_in_each_vat_are_those_of_the_simulated_line(seed: int, sump: bool) -> None:
    """Within 3 % where a load is over a twentieth of its vat, else within that twentieth; sums are exact."""
    simulated = run(seed=seed, hours=1.5, sump=sump)
    summary = summary_of(simulated, Options(seed=seed, hours=1.5, sump=sump))
    told = {(vat.vat, share.load): 1000.0 * known(share.amount).value for vat in summary.vats for share in vat.shares}
    for vat in simulated.truth["vats"]:
        whole = sum(share["juice_l"] for share in vat["from"])
        for share in vat["from"]:
            litres = told.get((vat["vat"], share["load"]), 0.0)
            allowed = 0.03 * share["juice_l"] if share["juice_l"] > 0.05 * whole else 0.05 * whole
            assert litres == pytest.approx(share["juice_l"], abs=allowed)
    assert sum(told.values()) == pytest.approx(1000.0 * known(summary.juice).value, rel=1e-9)
    by_load = {load.load: 1000.0 * known(load.juice).value for load in summary.loads}
    for load, litres in by_load.items():
        assert sum(v for (_, of), v in told.items() if of == load) == pytest.approx(litres, rel=1e-9)
