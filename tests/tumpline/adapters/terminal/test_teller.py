from typing import Any

from msgspec.structs import replace

from glances import NOW, PLACE, sight
from records import ALARM, LIVE, STOP
from tumpline.adapters.terminal.sight import Sight
from tumpline.adapters.terminal.teller import Teller
from tumpline.pressing.records import AlarmState, Condition, Unknown

FIGURES = (
    "09:00:00 line-1 Figures: fruit in 4.05 t/h; juice out not known; pressure not known; juice per tonne 700 L/t "
    "(690 to 710); pomace dryness about 24.5 % (22.0 to 27.0)."
)


def test_at_first_everything_is_told() -> None:
    """Whoever begins to listen hears the condition, what stands, the book and the figures."""
    told = Teller(PLACE).tell(sight(recent_yield=LIVE.shift_yield), now=NOW)
    assert told == [
        "09:00:00 line-1 Pressing. Fruit is milled and juice comes.",
        f"09:00:00 line-1 Now: Mill blocked, seen by M. Reed. {ALARM.cause} {ALARM.caution}",
        "09:00:00 line-1 Load: L-7, Coppice Farm.",
        "09:00:00 line-1 Vat: V1.",
        "09:00:00 line-1 Trailer: T2.",
        FIGURES,
    ]


def test_what_has_been_told_is_not_told_again() -> None:
    """The same a second later is no news."""
    teller = Teller(PLACE)
    teller.tell(sight(), now=NOW)
    assert teller.tell(sight(at=NOW + 1.0), now=NOW + 1.0) == []


def test_figures_come_once_a_minute_of_the_lines_time() -> None:
    """Figures change all the time; they are told when a minute has gone."""
    teller = Teller(PLACE)
    teller.tell(sight(), now=NOW)
    told = [len(teller.tell(sight(at=NOW + second, heard=NOW + second), now=NOW + second)) for second in range(1, 121)]
    assert [second for second, lines in enumerate(told, 1) if lines] == [60, 120]


def test_a_change_is_one_line() -> None:
    """A stop, and the reason people give it, are a line each."""
    teller = Teller(PLACE)
    teller.tell(sight(), now=NOW)
    stop = replace(STOP, end=None, reason=None)
    standing: dict[str, Any] = {"condition": Condition.STOPPED, "why": "no fruit goes in"}
    assert teller.tell(sight(**standing), now=NOW) == ["09:00:00 line-1 Stopped. No fruit goes in."]
    assert teller.tell(sight(**standing, stop=stop), now=NOW) == [
        "09:00:00 line-1 Stopped. No fruit goes in. No reason given yet."
    ]
    assert teller.tell(sight(**standing, stop=replace(stop, reason="cloth")), now=NOW) == [
        "09:00:00 line-1 Stopped. No fruit goes in. Cloth."
    ]


def test_an_alarm_is_told_as_it_comes_and_goes() -> None:
    """Raised with its caution, over, and gone."""
    teller = Teller(PLACE)
    teller.tell(sight(alarms=()), now=NOW)
    raised = replace(ALARM, state=AlarmState.UNACKNOWLEDGED)
    over = replace(ALARM, state=AlarmState.RETURNED_UNACKNOWLEDGED, active=False)
    (first,) = teller.tell(sight(alarms=(raised,)), now=NOW)
    (second,) = teller.tell(sight(alarms=(over,)), now=NOW)
    assert "not acknowledged" in first and first.endswith("by the site's own procedure.")
    assert "over, not acknowledged" in second
    assert teller.tell(sight(alarms=()), now=NOW) == ["09:00:00 line-1 Over: Mill blocked."]


def test_a_consequence_names_its_cause() -> None:
    """An alarm that follows from another says from which."""
    juice = replace(ALARM, name="juice-low", because_of="mill-blocked")
    told = Teller(PLACE).tell(sight(alarms=(juice,)), now=NOW)
    assert any("Juice low, seen by M. Reed, after mill blocked." in line for line in told)


def test_no_data_is_told_once_and_its_end_too() -> None:
    """While there is no data nothing else is said, and afterwards the condition is said anew."""
    teller = Teller(PLACE)
    teller.tell(sight(), now=NOW)
    assert teller.tell(sight(), now=NOW + 20.0) == ["09:00:00 line-1 No data. The line is silent."]
    assert teller.tell(sight(condition=Condition.STOPPED), now=NOW + 21.0) == []
    assert teller.tell(sight(heard=NOW + 30.0), now=NOW + 30.0) == [
        "09:00:00 line-1 Pressing. Fruit is milled and juice comes."
    ]


def test_a_line_never_heard_has_no_time() -> None:
    """Before the first word there is no time to tell."""
    assert Teller(PLACE).tell(Sight(line="line-1"), now=NOW) == [
        "--:--:-- line-1 No data. Nothing heard from this line yet."
    ]


def test_unknown_says_why() -> None:
    """A yield that is not known is told with its reason."""
    told = Teller(PLACE).tell(sight(recent_yield=Unknown("the line is filling")), now=NOW)
    assert "juice per tonne not known (the line is filling)" in told[-1]


def test_a_sentence_stays_on_its_line() -> None:
    """Text from outside cannot begin a line of its own."""
    load = LIVE.load
    assert load is not None
    told = Teller(PLACE).tell(
        sight(load=replace(load, grower="Long Acre.\n09:00:01 line-1 Over: Mill blocked")), now=NOW
    )
    assert all("\n" not in line for line in told)


def test_imperial_works_hear_gallons_too() -> None:
    """The yield is told in both where the settings say so."""
    told = Teller(PLACE._replace(imperial=True)).tell(sight(recent_yield=LIVE.shift_yield), now=NOW)
    assert "156 gal/ton" in told[-1]
