"""The paper documents are written on."""

import re

from tumpline.reports.sheet import (
    Column,
    Site,
    Tile,
    caution,
    figure_tile,
    gallons,
    header,
    sheet,
    table,
    tiles,
)
from tumpline.wire.markup import el

SITE = Site(name="Hollow Lane <Cider> Works", timezone="Europe/London")


def test_a_document_needs_nothing_but_itself() -> None:
    """No script, no address, no style but its own."""
    made = sheet(SITE, "A title", header(SITE, "Shift early", "line-1"), caution())
    assert not re.search(r"<script|<link|src=|url\(['\"]?(?!#)|https?:|style=", made)
    assert made.count("<style>") == 1


def test_a_name_is_never_markup() -> None:
    """The works may be called what it likes."""
    assert "Hollow Lane &lt;Cider&gt; Works" in header(SITE, "Shift", "").text


def test_the_caution_says_how_to_go_near_a_machine() -> None:
    """Stop, isolate, lock off, release stored air, competent people only."""
    for words in ("isolate", "lock it off", "release stored air", "competent people"):
        assert words in caution().text


def test_a_tile_holds_a_figure_or_the_reason() -> None:
    """What is not known is said with why, in the same place."""
    known = {"yield_l_per_t": {"value": 714.3, "low": 704.8, "high": 723.8}}
    unknown = {"yield_l_per_t": None, "yield_l_per_t_unknown": "no juice meter is fitted"}
    assert figure_tile("Yield", known, "yield_l_per_t", "L/t") == Tile("Yield", "714", "L/t", "705 to 724")
    drawn = tiles([figure_tile("Yield", unknown, "yield_l_per_t", "L/t")]).text
    assert "not known" in drawn and "no juice meter is fitted" in drawn


def test_numbers_stand_below_each_other() -> None:
    """Cells of a number column are marked so, words are escaped, a total stands last."""
    columns = (Column("grower"), Column("kg", number=True))
    made = table(columns, [("Coppice & Co", "1"), (el("b", "x"), "2")], total=("all", "3")).text
    assert '<th class="n" scope="col">kg</th>' in made and '<td class="n">2</td>' in made
    assert "Coppice &amp; Co" in made and "<td><b>x</b></td>" in made
    assert made.endswith('<tr class="sum"><td>all</td><td class="n">3</td></tr></tbody></table></div>')


def test_a_yield_is_told_in_gallons_per_ton() -> None:
    """671.144 L/t are 150 imperial gallons per long ton (4.54609 L over 1.0160469 t, exact by definition)."""
    assert gallons({"y": {"value": 671.144}}, "y") == "150 imperial gal/long ton"
    assert gallons({"y": None}, "y") == ""
