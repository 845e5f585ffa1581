"""How sure the figures are."""

import re

import msgspec
import pytest

from fake_line import NOW, RESIDENCE, balance, live
from page_style import style
from records import SUMMARY
from tumpline.adapters.web.sure_page import SECTIONS, parts
from tumpline.pressing.learnt import Residence
from tumpline.pressing.quantities import Estimate, limits, normal
from tumpline.pressing.records import Live, Unknown
from tumpline.runtime.board import LineBoard

YIELD = Estimate(
    700e-6,
    (
        normal("residence time", 3e-6),
        limits("accuracy of juice/flow", 8e-6 * 3**0.5),
        limits("accuracy of mill/throughput", 4e-6 * 3**0.5),
    ),
)
"""Standard uncertainties of 8, 4 and 3 L/t: 64, 16 and 9 of 89 parts of the variance."""


def shown(view: Live | None, *, language: str = "en", imperial: bool = False) -> dict[str, str]:
    """The sections in words."""
    board = LineBoard("line-1")
    if view is not None:
        board.show(view)
    made = parts(board, style(language, imperial=imperial))
    assert tuple(made) == SECTIONS
    return {key: " ".join(re.sub("<[^>]+>", " ", part.text).split()) for key, part in made.items()}


def test_most_of_a_doubt_is_named_in_words() -> None:
    """
    The largest source with its share of the variance, then every one with what it alone would make of the ±
    (JCGM 100:2008, 5.1): 1.645 u of limits, 1.96 u of scatter.
    """
    told = shown(live(recent_yield=YIELD))["doubt"]
    assert "Last 10 minutes: 700 L/t, between 682 and 718" in told
    assert "Most of the ± comes from the limits of the juice meter: 72 %." in told
    for row in (
        "The limits of the juice meter ±13 L/t alone, 72 %",
        "The limits of the fruit weigher ±7 L/t alone, 18 %",
        "The time from mill to juice ±6 L/t alone, 10 %",
    ):
        assert row in told


def test_what_is_common_to_all_loads_is_drawn_apart_from_chance() -> None:
    """A meter's limits are a solid bar, chance is a striped one, and the legend says which is which."""
    board = LineBoard("line-1")
    board.show(live(recent_yield=YIELD))
    made = parts(board, style())["doubt"].text
    bars = re.findall(r'x2="([\d.]+)%"[^>]*></line></svg>', made)
    kinds = re.findall(r'class="piece (\w+)"', made)
    assert list(zip(kinds, bars, strict=True))[:3] == [("common", "71.9"), ("common", "18.0"), ("chance", "10.1")]
    assert "the same error for every load" in made


def test_a_figure_that_is_not_known_says_why() -> None:
    """A doubt about nothing is not drawn."""
    told = shown(live(recent_yield=Unknown("the press is running empty")), language="de")["doubt"]
    assert "Letzte 10 Minuten Die Presse läuft leer." in told


def test_meters_that_agree_say_so_and_what_would_settle_more() -> None:
    """What came in less what went out, whether that may be nothing, and what would tell one meter from another."""
    told = shown(live(balance=balance()))["balance"]
    assert "What came in less what went out is 13 kg, between −206 and 232: that may be nothing at all." in told
    assert "if one went wrong, they could not tell which. What would tell: a dip of the vat before and after" in told
    assert re.search(r"In: fruit 14.\d{3} kg", told)
    assert "Out: pomace" in told


def test_the_difference_is_drawn_against_none() -> None:
    """Its interval lies on both sides of the tick in the middle, or on one, as the words say."""
    board = LineBoard("line-1")
    found = {}
    for name, made in {
        "agree": balance(),
        "disagree": balance(juice=11_100.0),
        "unknown": balance(pomace=False),
    }.items():
        board.show(live(balance=made))
        drawn = parts(board, style())["balance"].text
        span = re.search(r'x1="([\d.]+)%" x2="([\d.]+)%"[^>]*class="span"', drawn)
        found[name] = span and [float(end) for end in span.groups()]
    assert found["agree"] is not None
    assert found["disagree"] is not None
    assert found["agree"][0] < 50.0 < found["agree"][1]
    assert found["disagree"][1] < 50.0
    assert found["unknown"] is None


def test_meters_that_disagree_say_so() -> None:
    """600 kg of juice too much is more than the meters allow; which of them is wrong is not guessed."""
    told = shown(live(balance=balance(juice=11_100.0)))["balance"]
    assert "that is more than the meters allow" in told
    assert "is wrong, or something was lost; these meters cannot tell which." in told
    assert "Out: juice – The meters disagree and cannot tell which is wrong." in told


@pytest.mark.parametrize(
    ("signal", "german"), [("juice/flow", "der Saftmesser"), ("vat/3/volume", "der Füllstand von Tank 3")]
)
def test_a_suspect_is_named(signal: str, german: str) -> None:
    """Where the others can tell, the meter that fits least stands first."""
    suspected = msgspec.structs.replace(balance(), suspect=signal, isolable=True)
    told = shown(live(balance=suspected), language="de")["balance"]
    assert f"Am wenigsten passt {german} zu den anderen." in told


def test_a_source_that_hardly_counts_is_not_listed() -> None:
    """What is under a hundredth of the doubt makes no row of nought per cent."""
    small = YIELD.plus(normal("scatter of juice/flow", 0.1e-6))
    told = shown(live(recent_yield=small))["doubt"]
    assert "The scatter of the juice meter" not in told
    assert " 0 %" not in told


def test_what_is_not_weighed_is_not_zero() -> None:
    """Without a pomace weigher the difference is not known, with the reason; pomace is what juice leaves over."""
    told = shown(live(balance=balance(pomace=False)))["balance"]
    assert "What came in less what went out is not known: nothing weighs the pomace." in told
    assert re.search(r"Out: pomace 3.913 kg", told)


def test_before_a_shift_has_fruit_the_last_one_is_shown() -> None:
    """And is named as that."""
    board = LineBoard("line-1")
    board.show(live(balance=None))
    board.summary = msgspec.structs.replace(SUMMARY, shift="late", end=NOW - 60.0)
    told = parts(board, style())["balance"].text
    assert "Shift late, which ended 10:23" in told


@pytest.mark.parametrize(
    ("residence", "said"),
    [
        (RESIDENCE, "Fruit is juice after 52 s, between 48 and 56."),
        (RESIDENCE, "Learned from 74 minutes of fruit and juice."),
        (
            msgspec.structs.replace(
                RESIDENCE,
                learned=False,
                why="from the settings: there was no start, stop or dip yet to learn it from",
            ),
            "From the settings: there was no start, stop or dip yet to learn it from.",
        ),
    ],
)
def test_the_way_from_mill_to_juice_is_shown_with_how_sure_it_is(residence: Residence, said: str) -> None:
    """Its interval, and what it rests on; where it is only the settings' guess, why."""
    assert said in shown(live(residence=residence))["way"]


def test_an_imperial_site_reads_pounds_and_gallons() -> None:
    """700 L/t are 156 imperial gallons to the long ton, 13 kg are 29 lb."""
    told = shown(live(recent_yield=YIELD, balance=balance()), imperial=True)
    assert "156 gal/ton" in told["doubt"]
    assert "is 29 lb" in told["balance"]
    assert not re.search(r"\d (kg|L/t)\b", " ".join(told.values()))


def test_before_anything_is_heard_nothing_is_claimed() -> None:
    """Each section says that there is nothing yet."""
    assert all("yet" in told for told in shown(None).values())
