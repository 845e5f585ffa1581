"""What a line says it learned."""

from tumpline.pressing.learnt import AnchorRecord, Residence
from tumpline.pressing.quantities import Estimate


def test_what_was_learned_carries_how_sure_it_is() -> None:
    """Time from mill to juice and a variety's dry matter are estimates, with what they rest on."""
    told = Residence(Estimate(80.0), Estimate(30.0), False, "from the settings")
    assert (told.mean.value, told.learned, told.why) == (80.0, False, "from the settings")
    assert AnchorRecord("Acre Russet", Estimate(0.165), Estimate(0.16), 3).samples == 3
