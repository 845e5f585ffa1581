"""The balance of the meters against what was truly wrong."""

import pytest
from msgspec.structs import replace

from score_shifts import draw, fault, heard, summary
from tumpline_score.engine import Raised
from tumpline_score.meters import balanced


@pytest.mark.parametrize(
    ("faults", "case"),
    [
        ([], "clean"),
        ([fault("blocked", 1000.0, 1300.0)], "clean"),
        ([fault("meter-drift", 1200.0, 8000.0)], "drift"),
        ([fault("meter-drift", 6000.0, 8000.0)], "other"),
        ([fault("frozen", 1200.0, 1500.0, signal="juice/flow")], "other"),
    ],
)
def test_cases(faults: list[dict[str, object]], case: str) -> None:
    """A drift counts where an hour of fruit was left to find it."""
    assert balanced(heard(faults=faults)).case == case


def test_juice_that_ran_away_is_no_clean_shift() -> None:
    """A balance that does not close for lost juice is not a false finding."""
    assert balanced(heard(juice_lost_l=40.0)).case == "other"


def test_found_by_the_statistic_or_by_the_alarm() -> None:
    """Either will do; what is suspected is passed on."""
    assert not balanced(heard()).found
    assert balanced(heard(raised=[Raised("balance-open", None, 3000.0, None)])).found
    open_ = replace(summary().balance, statistic=9.0, suspect="juice/flow", isolable=True)
    found = balanced(heard(told=summary(balance=open_)))
    assert (found.found, found.suspect, found.isolable) == (True, "juice/flow", True)


@pytest.mark.parametrize(
    ("signals", "meters"),
    [
        ("juice/flow,mill/throughput", "neither"),
        ("juice/flow,vat/V1/volume", "vat level"),
        ("juice/flow,pomace/flow", "pomace weigher"),
    ],
)
def test_what_could_tell(signals: str, meters: str) -> None:
    """The meters fitted besides decide what can be expected."""
    assert balanced(heard(of=draw(signals=signals))).meters == meters
