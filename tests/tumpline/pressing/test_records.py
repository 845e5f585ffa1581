"""The words of the records are published: documents, stored rows and pages rely on their spelling."""

from tumpline.pressing.records import AlarmState, Condition, Priority


def test_conditions_are_those_of_the_summary() -> None:
    """Each has its `..._s` in the summary document."""
    words = ["pressing", "slow", "starved", "blocked", "stopped", "filling", "draining", "washing", "unknown"]
    assert [c.value for c in Condition] == words


def test_alarm_states_use_the_standard_s_words() -> None:
    """IEC 62682 (read through secondary texts)."""
    assert {s.value for s in AlarmState} == {
        "normal",
        "unacknowledged",
        "acknowledged",
        "returned-unacknowledged",
        "latched-unacknowledged",
        "latched-acknowledged",
        "shelved",
        "suppressed-by-design",
        "out-of-service",
    }
    assert [p.value for p in Priority] == ["high", "medium", "low"]
