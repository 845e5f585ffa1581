"""What is on the line."""

import msgspec

from fake_line import MINUTE, blocked, live, load, unknown
from page_style import style
from tumpline.adapters.web.book import draw
from tumpline.pressing.quantities import Estimate
from tumpline.pressing.records import Unknown

STYLE = style()


def test_load_vat_and_trailer_are_named_with_their_levels() -> None:
    """The row says what there is, how much, and how long it will do."""
    made = draw(live(vat_full_in=85 * MINUTE), STYLE).text
    for words in (
        "14, Coppice Farm",
        "3.2 of 9.8 t milled, 6.6 t left",
        "full in about 1 h 25 at this rate",
        "about 1.9 of 6.0 t",
        "between 1.7 and 2.1 t",
    ):
        assert words in made


def test_a_vat_nearly_full_says_so_in_words_too() -> None:
    """Over 90 % the bar changes, and so do the words."""
    assert "nearly full" in draw(blocked(), STYLE).text
    assert "nearly full" not in draw(live(), STYLE).text


def test_what_nobody_has_named_is_not_made_up() -> None:
    """Without entries the rows say so."""
    assert draw(unknown(), STYLE).text.count("none named") == 3
    assert "Nothing heard yet." in draw(None, STYLE).text


def test_unknown_amounts_carry_their_reason() -> None:
    """A load whose milled mass is not known shows no bar and no zero."""
    made = draw(live(load=load(milled=Unknown("the mill has no meter"))), STYLE).text
    assert "milled so far not known: the mill has no meter" in made


def test_a_load_that_goes_on_from_the_shift_before_counts_what_that_milled() -> None:
    """What is milled and what is left come to what was weighed in, whoever milled it."""
    of_now = load(net=4000.0, milled=Estimate(0.0))
    made = draw(live(load=of_now, load_left=3200.0), STYLE).text
    assert "0.8 of 4.0" in made
    assert "3.2" in made


def test_a_vat_without_its_size_shows_no_level() -> None:
    """No capacity, no bar."""
    vat = live().vat
    assert vat is not None
    made = draw(live(vat=msgspec.structs.replace(vat, capacity=None), trailer=None, load=None), STYLE).text
    assert "level not known" in made
    assert "<svg" not in made


def test_a_growers_name_cannot_be_markup() -> None:
    """A script stored as a grower's name is shown, not run."""
    made = draw(live(load=load(grower="<script>alert(1)</script>")), STYLE).text
    assert "<script>" not in made
    assert "&lt;script&gt;" in made
