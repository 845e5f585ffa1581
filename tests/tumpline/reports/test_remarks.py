"""What else there is to say of a shift."""

import msgspec

from records import ALARM, SUMMARY
from tumpline.reports.remarks import basis, corrected, doubt, remarks
from tumpline.reports.words import Clock
from tumpline.wire.documents import summary_document

CLOCK = Clock("Europe/London")
DOCUMENT = summary_document(SUMMARY)


def test_the_doubt_is_a_table_of_sources_anyone_can_read() -> None:
    """Source, size, share, and whether it is the same for the whole shift."""
    budget = [
        {"source": "accuracy of mill/throughput", "u_l_per_t": 5.9, "share_pct": 98.0, "common": True},
        {"source": "scatter of juice/flow", "u_l_per_t": 0.9, "share_pct": 2.0, "common": False},
    ]
    made = doubt({**DOCUMENT, "yield_budget": budget})
    assert made is not None
    for expected in (
        "accuracy of mill/throughput",
        "5.9",
        "98 %",
        "the same throughout",
        "random",
        "714 (705 to 724) L/t",
    ):
        assert expected in made.text


def test_a_summary_without_a_budget_has_no_table() -> None:
    """Older summaries are printed as they are."""
    assert doubt({**DOCUMENT, "yield_budget": None}) is None


def test_alarms_silence_and_notes_are_told() -> None:
    """Alarms are counted by name; a meter silent for over a minute is named with how long."""
    signal = msgspec.structs.replace(SUMMARY.signals[0], missing=282.0)
    summary = msgspec.structs.replace(SUMMARY, alarms=(ALARM, ALARM), signals=(signal,))
    made = remarks(summary_document(summary), CLOCK).text
    for expected in (
        "mill-blocked 2×",
        "mill/throughput 4 min 42 s",
        "Vat V1: Its acidity of 4.5 g/L lies below",
        "Effectiveness 90",
    ):
        assert expected in made


def test_notes_stand_where_there_is_room() -> None:
    """What people wrote is on the page; beyond two remarks the rest is in the document."""
    assert "Note: fog until nine" in remarks({**DOCUMENT, "corrections": [], "vats": []}, CLOCK).text


def test_it_is_said_how_the_figures_were_got() -> None:
    """Residence time with its interval, the juice at 20 °C, and samples; nothing of it where nothing is told."""
    told = {
        "residence": {"mean_s": {"value": 79.5, "low": 77.1, "high": 81.9}, "why": "learned from 120 minutes"},
        "juice_temperature_c": {"value": 11.4, "low": 11.1, "high": 11.7},
        "juice_at_20_c_l": {"value": 3010.0, "low": 2990.0, "high": 3030.0},
        "yield_at_20_c_l_per_t": {"value": 716.6, "low": 707.0, "high": 726.0},
        "dry_matter_anchors": [{"variety": "Top Late", "samples": 2}],
    }
    said = basis(told)
    assert "Fruit was juice 80 (77 to 82) s after the mill, learned from 120 minutes." in said
    assert "metered at 11.4 °C; at 20 °C it is 3\u202f010 L, 717 L/t" in said
    assert "2 oven samples" in said
    assert basis({}) == ""


def test_a_correction_says_who_changed_what() -> None:
    """Both versions and the name stand in one sentence."""
    correction = {"at": "2026-11-03T10:00:00Z", "by": "press lead", "was": {"net_kg": 4120}, "is": {"net_kg": 4210}}
    assert corrected(correction, CLOCK) == "Corrected by press lead on 3 November 2026: net_kg 4210, was 4120."
    mixed = {"varieties": [{"name": "Top Late", "share": 0.6}, {"name": "Acre Russet", "share": 0.4}]}
    said = corrected({**correction, "was": {}, "is": mixed}, CLOCK)
    assert said.endswith(": varieties Top Late 60\u202f%, Acre Russet 40\u202f%, was not given.")
    assert "net_kg 4210" in remarks({**DOCUMENT, "corrections": [correction]}, CLOCK).text
