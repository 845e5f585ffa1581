"""Signals that are lost, or as good as lost."""

from tumpline.pressing.watches.meters import lost


def test_lost_signals_are_listed_by_name() -> None:
    """One or several, in one sentence; none is no alarm."""
    assert not lost([], {}).active
    assert "juice/flow has not been heard" in lost(["juice/flow"], {}).cause
    both = lost(["juice/flow", "flume/flow"], {})
    assert "juice/flow, flume/flow have not been heard" in both.cause
    assert both.value == 2.0
    assert both.subjects == ("juice/flow", "flume/flow")


def test_a_signal_whose_readings_tell_nothing_counts_with_its_reason() -> None:
    """Frozen is as good as lost; one that is lost besides is listed once."""
    frozen = {"mill/current": "mill/current has not changed for 40 s."}
    verdict = lost(["juice/flow"], frozen)
    assert verdict.subjects == ("juice/flow", "mill/current")
    assert verdict.cause.endswith("mill/current has not changed for 40 s.")
    assert lost(["mill/current"], frozen).subjects == ("mill/current",)
    assert "not changed" not in lost(["mill/current"], frozen).cause
