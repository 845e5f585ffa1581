"""What was typed becomes an entry's fields, or says what is wrong."""

from zoneinfo import ZoneInfo

import pytest

from tumpline.adapters.web.forms import FORMS
from tumpline.adapters.web.typed import Typed, bodies, read, twice
from tumpline.adapters.web.words import Words

LONDON = ZoneInfo("Europe/London")


def typed(form: str, language: str = "en", **fields: str | list[str]) -> Typed:
    """A form with these texts in it."""
    kept = {key: [text] if isinstance(text, str) else text for key, text in fields.items()}
    return read(FORMS[form], kept, words=Words(language), zone=LONDON)


def load(**fields: str | list[str]) -> Typed:
    """A load's form, filled in but for what is given."""
    common: dict[str, str | list[str]] = {"load": "15", "grower": "Long Acre", "net_kg": "4120"}
    return typed("load", **(common | {"variety": ["top late"], "share": [""]} | fields))


@pytest.mark.parametrize(
    ("text", "language", "value"),
    [
        ("4120", "en", 4120.0),
        ("4 120", "en", 4120.0),
        ("4\N{NARROW NO-BREAK SPACE}120", "en", 4120.0),
        ("12.5", "en", 12.5),
        ("12,5", "en", 12.5),
        ("12,5", "de", 12.5),
        ("4,120", "de", 4.12),
        ("4.120", "en", 4.12),
        ("-3", "en", -3.0),
    ],
)
def test_numbers_are_read_as_people_write_them(text: str, language: str, value: float) -> None:
    """With a point or a comma, thousands apart or not."""
    assert typed("dip", language, vat="1", volume_l=text).values["volume_l"] == value


@pytest.mark.parametrize(("text", "language"), [("4,120", "en"), ("4.120", "de")])
def test_a_number_that_could_be_two_numbers_is_asked_about(text: str, language: str) -> None:
    """A thousand times too much juice is never guessed."""
    wrong = typed("dip", language, vat="1", volume_l=text).wrong["volume_l"]
    assert text in wrong and "4120" in wrong


@pytest.mark.parametrize("text", ["4120 kg", "1e5", "NaN", "4.1.2", "--3", "٤"])
def test_what_is_no_number_is_said_so(text: str) -> None:
    """What was typed is quoted."""
    made = typed("dip", vat="1", volume_l=text)
    assert made.values["volume_l"] is None or made.wrong
    assert text in made.wrong.get("volume_l", text)


def test_gross_less_tare_is_net() -> None:
    """The weighbridge's two figures do; they are no part of the entry."""
    made = load(gross_kg="7420", tare_kg="3300", net_kg="")
    assert (made.wrong, made.given["net_kg"]) == ({}, 4120.0)
    assert not {"gross_kg", "tare_kg"} & set(made.given)


@pytest.mark.parametrize(
    ("gross", "tare", "net", "field"),
    [
        ("7420", "", "", "tare_kg"),
        ("", "3300", "", "gross_kg"),
        ("3300", "7420", "", "tare_kg"),
        ("7420", "3300", "4000", "net_kg"),
        ("", "", "", "net_kg"),
    ],
)
def test_masses_that_do_not_fit_are_said_beside_the_field(gross: str, tare: str, net: str, field: str) -> None:
    """One of two is not enough, an empty trailer is lighter than a full one, and a net mass agrees with both."""
    assert list(load(gross_kg=gross, tare_kg=tare, net_kg=net).wrong) == [field]


def test_one_share_may_be_left_out() -> None:
    """It is the rest; alone it is everything."""
    made = load(variety=["bittersweet", "sharp", ""], share=["70", "", ""])
    assert made.given["varieties"] == ({"name": "bittersweet", "share": 0.7}, {"name": "sharp", "share": 0.3})
    assert load().given["varieties"] == ({"name": "top late", "share": 1.0},)


@pytest.mark.parametrize(
    ("names", "shares", "words"),
    [
        (["a", "b"], ["50", "40"], "add up to 90.0 %"),
        (["a", "b", "c"], ["50", "", ""], "More than one share"),
        (["a", "b"], ["120", ""], "no rest"),
        (["", "b"], ["50", "50"], "no variety beside it"),
        (["a"], ["half"], "half is no number"),
        ([], [], "needed"),
    ],
)
def test_shares_that_do_not_add_up_are_said_so(names: list[str], shares: list[str], words: str) -> None:
    """The sentence says what is accepted."""
    assert words in load(variety=names, share=shares).wrong["varieties"]


def test_everything_that_is_missing_is_said_at_once() -> None:
    """Nobody has to send a form four times."""
    assert set(typed("load").wrong) == {"load", "grower", "net_kg", "varieties"}


def test_times_are_those_of_the_wall_clock() -> None:
    """In summer London is an hour ahead of UTC; a date that is none is said so."""
    assert typed("note", text="x", at="2026-10-14T10:24").given["at"] == "2026-10-14T09:24:00.000000Z"
    assert typed("note", text="x", at="2026-11-25T10:24:30").given["at"] == "2026-11-25T10:24:30.000000Z"
    assert "is no time" in typed("note", text="x", at="yesterday").wrong["at"]


def test_the_hour_that_comes_twice_is_asked_about() -> None:
    """25 October 2026, 01:30: in summer time 00:30 UTC, in winter time 01:30 UTC; neither is guessed."""
    at = "2026-10-25T01:30"
    assert "twice" in typed("note", text="x", at=at).wrong["at"]
    both = [typed("note", text="x", at=at, at_fold=fold).given["at"] for fold in ("0", "1")]
    assert both == ["2026-10-25T00:30:00.000000Z", "2026-10-25T01:30:00.000000Z"]
    assert (twice(at, LONDON), twice("2026-10-25T02:30", LONDON)) == (["01:30 BST", "01:30 GMT"], ())


def test_the_hour_that_was_left_out_is_no_time() -> None:
    """28 March 2027, 01:30 never was in London."""
    assert "left out" in typed("note", text="x", at="2027-03-28T01:30").wrong["at"]
    assert twice("2027-03-28T01:30", LONDON) == ()


def test_a_samples_figures_become_an_entry_each() -> None:
    """A sheet from the laboratory is typed once; without any figure it is no sample."""
    made = typed("sample", what="juice", vat="3", brix="12,5", ph="3.6")
    assert bodies(FORMS["sample"], made) == [
        {"what": "juice", "vat": "3", "brix": 12.5},
        {"what": "juice", "vat": "3", "ph": 3.6},
    ]
    assert list(typed("sample", what="juice").wrong) == ["dry_matter_pct"]


def test_something_else_wins_over_what_was_chosen() -> None:
    """Whoever types another vat means that."""
    made = typed("vat", vat="3", **{"vat-other": "Old oak"})
    assert made.given["vat"] == "Old oak"


def test_a_crew_is_typed_with_commas() -> None:
    """Names on one line."""
    assert typed("shift-start", shift="late", crew="Ada, Wystan ,").given["crew"] == ("Ada", "Wystan")
