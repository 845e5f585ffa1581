"""Figures carry their interval, or a dash and the reason."""

import re

import msgspec

from fake_line import NOW, about, live, signals, unknown
from page_style import style
from tumpline.adapters.web.figures import Card, cards, draw
from tumpline.adapters.web.words import THIN_SPACE, Plan
from tumpline.pressing.records import Live, Unknown
from tumpline.runtime.board import LineBoard


def shown(view: Live | None, *, imperial: bool = False) -> dict[str, Card]:
    """The cards of a line with that view."""
    board = LineBoard("line-1")
    if view is not None:
        board.show(view)
    return {card.key: card for card in cards(board, style(imperial=imperial))}


def test_figures_are_in_the_units_of_the_trade() -> None:
    """SI inside, and on the page t/h, L/min, bar, L/t, % and t."""
    read = {key: (card.value, card.unit) for key, card in shown(live()).items()}
    assert read == {
        "yield": ("712", "L/t"),
        "fruit": ("4.1", "t/h"),
        "juice": ("48", "L/min"),
        "pressure": ("1.35", "bar"),
        "dryness": ("≈24.6", "%"),
        "shift": ("14.2", "t"),
    }


def test_intervals_are_said_in_words() -> None:
    """Computed figures say between what they lie; dryness says that it is an estimate."""
    notes = {key: card.notes for key, card in shown(live()).items()}
    assert notes["yield"] == ("between 698 and 726, 10 min", "as planned: 700")
    assert notes["dryness"] == ("between 22.0 and 27.2", "dry matter, an estimate")
    assert "706 L/t, between 698 and 714" in notes["shift"]


def test_an_unknown_figure_is_a_dash_with_its_reason() -> None:
    """Nothing that is not known reads as a number."""
    made = shown(unknown())
    assert made["yield"].value is made["juice"].value is made["dryness"].value is made["shift"].value is None
    assert made["yield"].notes == ("The line is filling.",)
    assert made["juice"].notes == ("The meter was last heard 10:20:07.",)
    assert "0" not in draw(made["yield"]).text
    assert "–" in draw(made["yield"]).text


def test_a_meter_that_is_not_there_is_not_zero() -> None:
    """A signal that is not set up, or has said nothing yet, says so."""
    assert shown(live(signals=()))["fruit"].notes == ("No meter for this is set up.",)
    assert shown(live(signals=signals(press_pressure=None)))["pressure"].notes == ("The meter has not been heard yet.",)


def test_before_the_first_view_nothing_is_known() -> None:
    """Every figure is a dash."""
    assert {card.value for card in shown(None).values()} == {None}


def test_a_true_zero_is_shown() -> None:
    """A meter that reads nothing is shown as 0, which is not the same as unknown."""
    assert shown(live(signals=signals(mill_throughput=0.0)))["fruit"].value == "0.0"


def test_imperial_sites_see_both() -> None:
    """150 imperial gallons to the long ton are 671.144 L/t (gallon 4.54609 L, ton 1016.0469088 kg: exact)."""
    card = shown(live(recent_yield=about(671.144e-6, 1e-6)), imperial=True)["yield"]
    assert (card.title, card.value, card.unit) == ("Juice per ton", "150", "gal/ton")
    assert card.notes[-1] == "6 below plan of 156; 671 L/t"


def test_every_figure_stands_against_its_plan_in_words() -> None:
    """
    4 t/h, 700 L/t and 1.4 bar are planned, so 46.7 L/min too, and 13.3 t in 200 minutes. A reading within 3 % is as
    planned; a computed figure is, where its interval holds the plan.
    """
    view = live(
        signals=signals(mill_throughput=4.2 / 3.6, juice_flow=40.0 / 60_000, press_pressure=130_000.0),
        recent_yield=about(720e-6, 8e-6),
    )
    notes = {key: card.notes[-1] for key, card in shown(view).items()}
    assert notes | {"dryness": ""} == {
        "yield": "20 above plan of 700",
        "fruit": "0.2 above plan of 4.0",
        "juice": "7 below plan of 47",
        "pressure": "0.10 below plan of 1.40",
        "dryness": "",
        "shift": "0.9 above plan of 13.3 by now",
    }
    usual = {key: card.notes[-1] for key, card in shown(live(fruit=about(13_400.0, 100.0))).items()}
    assert (usual["yield"], usual["fruit"], usual["shift"]) == (
        "as planned: 700",
        "as planned: 4.0",
        "as planned by now: 13.3",
    )


def test_where_nothing_is_planned_nothing_is_said_of_it() -> None:
    """A line whose press pressure is not set in the settings shows the reading alone."""
    bare = style()
    plan = Plan(throughput=4.0 / 3.6, extraction=700e-6)
    board = LineBoard("line-1")
    board.show(live(shift_start=None))
    cards_ = {card.key: card for card in cards(board, msgspec.structs.replace(bare, plans={"line-1": plan}))}
    assert (cards_["pressure"].notes, cards_["pressure"].ruler) == ((), None)
    assert not any("plan" in note for note in cards_["shift"].notes)


def test_imperial_figures_are_imperial_throughout() -> None:
    """
    Long tons, imperial gallons, pounds a square inch: 4.1 t/h are 4.04 ton/h, 48.3 L/min 10.6 gal/min, 1.35 bar
    19.6 psi, 14.2 t 13.98 ton (ton 1016.0469088 kg, gallon 4.54609 L, psi 6894.757 Pa: exact, or by definition).
    """
    read = {key: f"{card.value} {card.unit}" for key, card in shown(live(), imperial=True).items()}
    assert read == {
        "yield": "159 gal/ton",
        "fruit": "4.0 ton/h",
        "juice": "10.6 gal/min",
        "pressure": "19.6 psi",
        "dryness": "≈24.6 %",
        "shift": "14.0 ton",
    }
    said = " ".join(note for card in shown(live(), imperial=True).values() for note in card.notes)
    assert "2 205 gal of juice" in said.replace(THIN_SPACE, " ")
    assert not re.search(r"\d (L(?!/t)|t|bar)\b", said)


def test_a_yield_unknown_does_not_hide_the_shift() -> None:
    """Fruit and juice stay when the yield of the shift is not known yet."""
    card = shown(live(shift_yield=Unknown("too little fruit yet")))["shift"]
    assert (card.value, card.notes[1]) == ("14.2", "L/t not known: too little fruit yet")


def test_text_in_a_card_is_escaped() -> None:
    """A shift's name cannot be markup."""
    assert "<b>" not in draw(shown(live(shift="<b>", at=NOW))["shift"]).text
