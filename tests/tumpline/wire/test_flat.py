"""Documents as rows: nothing that is unknown becomes a number."""

from records import SUMMARY
from tumpline.wire.documents import summary_document
from tumpline.wire.flat import flat, parts_of, shares_cell


def test_a_figure_is_three_columns_and_an_unknown_one_none() -> None:
    """What is not known has its reason and no number; an object's values have its key before theirs."""
    document = {
        "shift": "early",
        "juice_l": {"value": 3.0, "low": 2.5, "high": 3.5},
        "pomace_kg": None,
        "pomace_kg_unknown": "no pomace weigher is fitted",
        "off": None,
        "time": {"pressing_s": 60.0},
        "stops": [{"id": "stop-1"}],
    }
    assert flat(document) == {
        "shift": "early",
        "juice_l_value": 3.0,
        "juice_l_low": 2.5,
        "juice_l_high": 3.5,
        "pomace_kg_unknown": "no pomace weigher is fitted",
        "off": None,
        "time_pressing_s": 60.0,
    }


def test_no_two_figures_of_a_summary_share_a_column() -> None:
    """The reconciled fruit is not the fruit."""
    document = summary_document(SUMMARY)
    row = flat(document)
    assert row["fruit_kg_value"] == document["fruit_kg"]["value"]
    assert row["balance_reconciled_fruit_kg_value"] == document["balance"]["reconciled"]["fruit_kg"]["value"]


def test_a_list_is_a_table_of_its_own() -> None:
    """Every row says whose it is; shares are one cell, and what is unknown is a question mark."""
    document = summary_document(SUMMARY)
    (vat,) = parts_of(document, "vats", "line", "shift")
    assert (vat["shift"], vat["vat"], vat["juice_l_value"]) == ("early", "V1", 3000.0)
    assert shares_cell(document["vats"][0]["from"], "load", "juice_l") == "L-7 2900 / no load ?"
