import pytest
from msgspec.structs import replace

from glances import NOW, PLACE, sight
from records import ALARM, LIVE, VAT
from tumpline.adapters.terminal.screen import Look, Row, draw, fit
from tumpline.adapters.terminal.sight import Sight
from tumpline.pressing.records import AlarmState, Condition, Priority, Unknown


def drawn(what: Sight, *, width: int = 80, height: int = 24, now: float = NOW) -> list[Row]:
    """The screen."""
    return draw(what, PLACE, now=now, width=width, height=height)


def texts(rows: list[Row]) -> str:
    """The screen as one text."""
    return "\n".join(row.text.rstrip() for row in rows)


def test_the_whole_screen() -> None:
    """At 80 by 24: whose line, what it does and how long, its figures, its book, what needs people, the notice."""
    alarm = replace(ALARM, priority=Priority.HIGH, raised=NOW - 200.0)
    shown = texts(drawn(sight(alarms=(alarm,), recent_yield=LIVE.shift_yield)))
    assert shown.split("\n") == [
        " Hollow Lane Cider Works   line-1                                      09:00:00",
        "",
        " >>  PRESSING  24 min",
        "     Fruit is milled and juice comes.",
        "",
        "",
        " Fruit in           4.05 t/h",
        " Juice out          not known       no reading since 08:58:20",
        " Press pressure     not known       this signal is not fitted",
        " Juice per tonne    700 L/t         690 to 710, last 10 min",
        " Pomace dryness     about 24.5 %    22.0 to 27.0 dry matter, an estimate",
        " Shift early        4.2 t           3 000 L of juice, 700 L/t (690 to 710)",
        " Load L-7           4.20 t          of 4.21 t from Coppice Farm, 0.01 t to come",
        " Vat V1             7 250 L         of 10 000 L, full in 1 h 05",
        " Trailer T2         1.20 t          of 8.00 t",
        "",
        " - Now: Mill blocked, 3 min, seen by M. Reed. Fruit and water still come but",
        "     the throughput has collapsed.",
        "     Stop, isolate and lock off by the site's own procedure.",
        "",
        "",
        "",
        "",
        " Monitoring only, not a safety function. A quiet screen proves nothing.",
    ]


def test_the_band_is_a_band_without_colour() -> None:
    """The band stands out over the whole width, and in words."""
    band = [row for row in drawn(sight()) if row.look is Look.BAND]
    assert [len(row.text) for row in band] == [80] * 4


def test_no_data_is_no_data() -> None:
    """The whole band says so, every figure is struck and called old, and nothing is said to be well."""
    rows = drawn(sight(heard=NOW, alarms=()), now=NOW + 100.0)
    shown = texts(rows)
    assert "!!  NO DATA  1 min" in shown
    assert "The line is silent. Last heard 09:00:00; the figures are old." in shown
    assert "PRESSING" not in shown
    figures = [row for row in rows if "t/h" in row.text or " L " in row.text]
    assert figures and all(row.look is Look.STRUCK and row.text.endswith("old") for row in figures)
    assert "What needs you is not known." in shown
    assert "Nothing needs you" not in shown


def test_before_the_first_word_there_are_no_figures() -> None:
    """A line nobody has heard yet has a band and nothing else."""
    shown = texts(drawn(Sight(line="line-1")))
    assert "Nothing heard from this line yet." in shown
    assert "t/h" not in shown


def test_unknown_is_never_zero() -> None:
    """What is not known says so, and why, without a number."""
    why = Unknown("nobody has milled anything in this shift, and nobody has said what the fruit is")
    rows = drawn(sight(fruit=why, pomace_dry_matter=why, load=None, vat=replace(VAT, contents=None)))
    shown = texts(rows)
    assert shown.count("not known       nobody has milled anything in this") == 2
    assert " Vat V1             not known" in shown
    assert "0.0" not in shown


def test_a_long_reason_is_told_to_its_end() -> None:
    """A reason that does not fit goes on below itself."""
    why = Unknown("the fruit's dry matter is not known, and no sample of this shift's pomace has been measured")
    shown = " ".join(texts(drawn(sight(pomace_dry_matter=why))).split())
    assert why.why in shown


def test_what_is_most_urgent_is_not_pushed_off() -> None:
    """With many alarms on a small screen, the book gives way first, and the rest is counted."""
    alarms = tuple(replace(ALARM, name=f"alarm-{n}", state=AlarmState.UNACKNOWLEDGED) for n in range(9))
    rows = drawn(sight(alarms=alarms), height=20)
    shown = texts(rows)
    assert len(rows) == 20
    assert "! Now: Alarm 0" in shown
    assert "Fruit in" in shown and "Trailer" not in shown
    assert " more rows" in shown
    assert rows[-1].text.startswith(" Monitoring only")


def test_a_consequence_stands_under_its_cause() -> None:
    """What follows from an alarm does not ask for itself."""
    juice = replace(ALARM, name="juice-low", because_of="mill-blocked", caution=None)
    assert "   then Juice low" in texts(drawn(sight(alarms=(juice, ALARM))))


def test_a_caution_is_said_once_under_the_first_alarm() -> None:
    """Alarms that share a caution share its rows, under the most urgent of them."""
    second = replace(ALARM, name="hard-object", raised=NOW)
    shown = texts(drawn(sight(alarms=(ALARM, second))))
    assert shown.count("isolate and lock off") == 1
    assert shown.index("Mill blocked") < shown.index("isolate and lock off") < shown.index("Hard object")


@pytest.mark.parametrize(("width", "height"), [(80, 24), (40, 12), (20, 6), (5, 3), (1, 1), (200, 60)])
@pytest.mark.parametrize("condition", list(Condition))
def test_every_size_is_filled_and_not_overrun(width: int, height: int, condition: Condition) -> None:
    """There are as many rows as the terminal has, and none is wider."""
    rows = drawn(sight(condition=condition), width=width, height=height)
    assert len(rows) == height
    assert max(len(row.text) for row in rows) <= width


def test_names_from_outside_cannot_draw() -> None:
    """A grower's name with orders for the terminal is only text."""
    load = LIVE.load
    assert load is not None
    rows = drawn(sight(load=replace(load, grower="Long\x1b[2J\nAcre")))
    assert all(row.text.isprintable() for row in rows)


def test_wide_characters_take_two_columns() -> None:
    """A row of wide characters is cut where the terminal ends."""
    assert fit("林檎の里", 5) == "林~"
    assert fit("林檎", 4) == "林檎"
    assert fit("Pe\u0301rry", 5) == "Pe\u0301rry"


def test_other_lines_have_a_row_each() -> None:
    """What the lines beside it do, and whether somebody is needed there, stands at the foot."""
    asking = replace(ALARM, state=AlarmState.UNACKNOWLEDGED)
    second, third = sight(alarms=(asking,)), sight(heard=NOW - 60.0)
    second.line, third.line = "line-2", "line-3"
    rows = draw(sight(), PLACE, (second, third), now=NOW, width=80, height=24)
    assert len(rows) == 24
    assert [row.text for row in rows[-3:-1]] == [
        " line-2: pressing, an alarm not acknowledged  (n: next line)",
        " line-3: no data. The line is silent.  (n: next line)",
    ]
    assert [row.look for row in rows[-3:-1]] == [Look.STRONG, Look.PLAIN]


def test_imperial_works_see_gallons_too() -> None:
    """Both L/t and gal/ton are shown where the settings say so."""
    rows = draw(sight(), PLACE._replace(imperial=True), now=NOW, width=100, height=24)
    assert "700 L/t (690 to 710 (156 gal/ton))" in texts(rows)
