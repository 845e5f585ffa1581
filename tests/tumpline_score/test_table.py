"""The score as tables."""

from score_shifts import fault, heard, score
from tumpline_score.table import table, text
from tumpline_score.totals import document


def test_columns_fit() -> None:
    """Words stand to the left, numbers to the right, what is unknown is a dash."""
    assert table("Loads", ("load", "yield"), [("Long Acre", 700.0), ("Withy", None)]) == (
        "Loads\n  load        yield\n  Long Acre  700.00\n  Withy           -"
    )
    assert table("Loads", ("load",), []) == "Loads\n  nothing to tell"


def test_all_tables() -> None:
    """Every part of the score is told, and with `each` what went wrong in which shift."""
    missed = score(heard(faults=[fault("blocked", 2000.0, 2300.0)], yield_l_per_t=680.0))
    told = document([missed], seed=1, conditions="faults")
    brief, full = text(told, each=False), text(told, each=True)
    for title in (
        "Figures against truth",
        "Ten-minute yield",
        "Learned way",
        "Balance of the meters",
        "Alarms (",
        "Low juice",
    ):
        assert title in brief
    assert "outside: shift yield; missed blocked at 2000 s" in full and "Shift by shift" not in brief
