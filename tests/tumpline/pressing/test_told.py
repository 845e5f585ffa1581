"""What was written wrong in a shift that is over is put right, and both versions stay."""

import msgspec
import pytest

from press_stories import params
from records import SEVEN, SUMMARY
from tumpline.pressing.book import Book
from tumpline.pressing.entries import Dip, Entry, Load, LoadOn, Note, Reason, ShiftStart, Trailer, Variety, Vat
from tumpline.pressing.records import CorrectionRecord, Summary
from tumpline.pressing.told import KEPT, Told

LOAD = Load("L-7", "Coppice Farm", 4210.0, (Variety("Top Late", 0.6), Variety("Acre Russet", 0.4)))
WEEK = 7 * 86400.0


def corrected(old: Entry, **changes: object) -> tuple[list[Summary], CorrectionRecord]:
    """What is told anew when an entry of half past seven is put right a week later."""
    told = Told()
    told.keep(SUMMARY)
    told.keep(
        msgspec.structs.replace(SUMMARY, start=SEVEN + WEEK, end=SEVEN + WEEK + 60.0, loads=(), vats=(), stops=())
    )
    before = {name: getattr(old, name) for name in changes}
    correction = CorrectionRecord("entry-1", "load", "L-7", SEVEN + WEEK, "press lead", before, changes)
    return told.correct(
        correction, SEVEN + 1800.0, old, msgspec.structs.replace(old, **changes), book=Book(), params=params()
    ), correction


def test_last_week_s_load_is_put_right_and_nothing_else_of_the_shift_moves() -> None:
    """Grower and mass are the new ones, every litre is the old one, and the summary says who changed what."""
    (anew,), correction = corrected(LOAD, grower="Long Acre", net_kg=4120.0)
    assert (anew.loads[0].grower, anew.loads[0].net) == ("Long Acre", 4120.0)
    assert anew.corrections == (*SUMMARY.corrections, correction)
    assert anew.vats[0].holds[0].grower == "Long Acre"
    unchanged = msgspec.structs.replace(anew, loads=SUMMARY.loads, vats=SUMMARY.vats, corrections=SUMMARY.corrections)
    assert unchanged == SUMMARY


def test_a_load_s_new_name_is_its_name_in_vats_and_trailers_too() -> None:
    """Where the juice went stays known."""
    (anew,), _ = corrected(LOAD, load="L-8")
    names = {share.load for part in (*anew.vats, *anew.trailers) for share in part.shares}
    assert names == {"L-8", ""}


@pytest.mark.parametrize(
    ("old", "changes"),
    [
        (LOAD, {"dry_matter_pct": 21.0}),
        (Vat("V1"), {"vat": "V2"}),
        (Dip("V1", 7000.0), {"volume_l": 7100.0}),
        (LoadOn("L-7"), {"load": "L-8"}),
    ],
)
def test_litres_that_cannot_be_moved_any_more_are_said_to_stay(old: Entry, changes: dict[str, object]) -> None:
    """A correction on which figures rest is told with the summary, and its figures are those told first."""
    (anew,), _ = corrected(old, **changes)
    assert any("stay as they were first told" in note for note in anew.notes)
    assert (anew.juice, anew.vats) == (SUMMARY.juice, SUMMARY.vats)


def test_stops_trailers_crew_and_notes_are_put_right() -> None:
    """Each where it stands in the summary."""
    (stop,) = corrected(Reason("stop-1", "blocked mill"), reason="break")[0][0].stops
    assert (stop.reason, stop.by) == ("break", "press lead")
    (trailer,) = corrected(Trailer("T2", net_kg=1200.0), net_kg=1210.0, to="Nether Farm")[0][0].trailers
    assert (trailer.weighed, trailer.taken_by) == (1210.0, "Nether Farm")
    assert corrected(ShiftStart("early", ("M. Reed",)), crew=("N. Vale",))[0][0].crew == ("N. Vale",)
    assert corrected(Note("fog until nine"), text="fog until ten")[0][0].notes == ("fog until ten",)


def test_what_no_summary_rests_on_tells_nothing_anew() -> None:
    """A load that was not pressed yet, and a summary that is too old."""
    assert corrected(msgspec.structs.replace(LOAD, load="L-9"), net_kg=1.0)[0] == []
    told = Told()
    told.keep(SUMMARY)
    told.keep(msgspec.structs.replace(SUMMARY, shift="late", end=SUMMARY.end + KEPT + 1.0))
    assert [summary.shift for summary in told.summaries] == ["late"]


def test_a_stop_gets_its_reason_after_its_shift_was_summed_up() -> None:
    """Its summary has it, as said by whoever said it; a stop that no summary has gets none."""
    told = Told()
    told.keep(SUMMARY)
    anew = told.give_reason(Reason("stop-1", "break", "tea"), "Isla")
    assert anew is not None
    assert [(stop.reason, stop.note, stop.by) for stop in anew.stops] == [("break", "tea", "Isla")]
    assert told.summaries == [anew]
    assert told.give_reason(Reason("stop-2", "break"), "Isla") is None
