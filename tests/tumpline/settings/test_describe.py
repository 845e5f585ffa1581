"""What `check` says about good settings."""

from pathlib import Path

from settings_files import FOUR, good
from tumpline.settings import describe, warnings


def test_every_signal_is_listed_with_what_is_taken_for_granted(tmp_path: Path) -> None:
    """Unit, range, limits, patience, topic and form; what was not said is marked as assumed."""
    more = (
        '[[line.signal]]\nname = "mill/current"\npayload = "scaled"\nfrom = [4, 20]\nto = [0, 120]\naccuracy = "1 A"\n'
    )
    more += '[[line.signal]]\nname = "juice/brix"\npayload = "json"\npointer = "/bx"\n'
    more += 'topic = "r/1"\nstale_after = "2 min"\n'
    text = describe(good(tmp_path, signals=FOUR + more))
    assert "line-1: 4 t/h, 700 L/t expected" in text
    assert "0 to 120 A, ± 1 A, stale after 10 s" in text
    assert "from tumpline/line-1/signal/mill/current, scaled 4 to 20 mA is 0 to 120 A" in text
    assert "0 to 40 °Bx (assumed), ± 0.3 °Bx (assumed), stale after 120 s" in text
    assert "from r/1, json at /bx" in text


def test_what_is_not_fitted_says_what_it_would_add(tmp_path: Path) -> None:
    """A site sees what the next meter would bring."""
    text = describe(good(tmp_path))
    assert "not fitted, and what each would add:" in text
    assert "mill/current         confirms a blocked mill" in text
    assert "vat/<vat>/volume     holds the juice meter against the vat" in text


def test_an_expected_signal_that_is_missing_is_a_warning(tmp_path: Path) -> None:
    """Without flume or pressure the program runs, and says what it cannot tell."""
    assert warnings(good(tmp_path)) == []
    without = '[[line.signal]]\nname = "mill/throughput"\n[[line.signal]]\nname = "juice/flow"\n'
    flume, pressure = warnings(good(tmp_path, signals=without))
    assert flume.startswith("line-1: flume/flow (water moved by the flume pump) is expected and not there; it tells")
    assert "press/pressure" in pressure
