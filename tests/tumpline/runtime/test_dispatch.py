"""Effects reach the store, the broker, the screen and the outside store, each in its own way."""

import json

import msgspec
import pytest

import records
from fake_line import alarm
from runtime_fakes import Rig
from tumpline.pressing.effects import (
    Effect,
    KeepFigures,
    KeepReading,
    Quality,
    ShowLive,
    TellAlarm,
    TellEvent,
    TellSummary,
)
from tumpline.pressing.entries import LoadOn
from tumpline.pressing.events import EntryMade, EntryRefused
from tumpline.pressing.records import AlarmState
from tumpline.runtime.board import Board
from tumpline.runtime.dispatch import Dispatch
from tumpline.runtime.ports import Row
from tumpline.wire.topics import Topics
from wire_line import ARRIVED

ROW = Row(7, ARRIVED, "tumpline/line-1/book/load-on", b'{"by": "Ada", "load": "14"}', "line-1")
LIVE = "tumpline/line-1/live"
EFFECTS: list[Effect] = [
    KeepReading("juice/brix", ARRIVED, 12.5, Quality.GOOD),
    KeepFigures(ARRIVED, {"throughput_t_per_h": 4.1}),
    TellEvent("load.on", ARRIVED, {"load": "14"}),
    TellAlarm(alarm()),
    TellSummary(records.SUMMARY),
]


def test_what_is_told_is_stored_with_what_it_is_told_in(rig: Rig) -> None:
    """The store and the broker say the same of an event, an alarm and a shift; states stay, events do not."""
    rig.dispatch.perform(ROW, "line-1", EFFECTS, keep=True)
    outputs = rig.dispatch.take(7)
    (event,), (raised,), (summary,) = outputs.events, outputs.alarms, outputs.summaries
    assert [(message.topic, message.payload, message.retain) for message in outputs.outgoing] == [
        ("tumpline/line-1/event", event.document, False),
        ("tumpline/line-1/alarm/mill-blocked", raised.document, True),
        (f"tumpline/line-1/summary/{records.SUMMARY.shift}", summary.document, True),
    ]
    assert json.loads(event.document)["data"]["load"] == "14"
    assert (outputs.through, outputs.readings[0].value, outputs.figures[0].at) == (7, 12.5, ARRIVED)


def test_everything_is_taken_once(rig: Rig) -> None:
    """What has been given to the store is not given to it again."""
    assert not rig.dispatch.gathered
    rig.dispatch.perform(ROW, "line-1", EFFECTS, keep=True)
    assert rig.dispatch.gathered and rig.dispatch.pressing
    rig.dispatch.take(7)
    assert not rig.dispatch.gathered
    rig.dispatch.confirmed(3)
    assert rig.dispatch.gathered and not rig.dispatch.pressing
    assert rig.dispatch.take(7).confirmed == [3]


@pytest.mark.parametrize(("points", "count"), [(True, 4), (False, 0)])
def test_the_outside_store_gets_points_where_there_is_one(points: bool, count: int) -> None:
    """A reading, figures, an event and an alarm are a point each; without such a store nothing piles up."""
    dispatch = Dispatch(topics=Topics("tumpline"), screen=Board(["line-1"]), points=points)
    dispatch.perform(ROW, "line-1", EFFECTS, keep=True)
    assert len(dispatch.take(7).points) == count


def test_the_screen_is_up_to_date_even_where_nothing_is_kept(rig: Rig) -> None:
    """After a restart a screen shows the trend, the alarms and the last shift, and nobody is told twice."""
    rig.dispatch.perform(ROW, "line-1", EFFECTS, keep=False)
    board = rig.board.line("line-1")
    assert [point.at for point in board.trend.last(60.0)] == [ARRIVED]
    assert (board.alarms, board.summary) == ((alarm(),), records.SUMMARY)
    assert not rig.dispatch.gathered


def test_only_the_newest_view_goes_out(rig: Rig) -> None:
    """However many seconds went by in a batch, one view is shown, retained, for each line that has one."""
    rig.dispatch.perform(ROW, "line-1", [ShowLive(ARRIVED + second) for second in range(5)], keep=True)
    for _ in range(2):
        rig.dispatch.show(rig.lines, rig.brokers)
    (view,) = rig.broker.payloads(LIVE)
    assert json.loads(view)["at"] == "2026-10-14T07:00:04.000000Z"
    assert rig.broker.retained == [LIVE]
    assert rig.board.line("line-1").live == rig.line.live(ARRIVED + 4.0)
    assert rig.brokers["line-2"].published == []
    assert not rig.dispatch.gathered, "a view may be lost"


def test_views_do_not_queue_before_a_slow_broker(rig: Rig) -> None:
    """A connection that cannot keep up gets fewer views, and then the newest; the other line's goes out meanwhile."""
    rig.broker.busy = True
    for second in range(3):
        for line in rig.lines:
            rig.dispatch.perform(ROW, line, [ShowLive(ARRIVED + second)], keep=True)
        rig.dispatch.show(rig.lines, rig.brokers)
    assert (len(rig.broker.published), len(rig.brokers["line-2"].published)) == (0, 3)
    rig.broker.busy = False
    rig.dispatch.show(rig.lines, rig.brokers)
    assert [json.loads(view)["at"] for view in rig.broker.payloads(LIVE)] == ["2026-10-14T07:00:02.000000Z"]


def test_book_entries_are_kept_as_they_were_written(rig: Rig) -> None:
    """Whoever asks who wrote what finds the very bytes, those that could not be read with the reason."""
    made = EntryMade("load-on-1", ARRIVED, ARRIVED, "Ada", LoadOn("14"))
    rig.dispatch.keep_events(ROW, "line-1", [made, EntryRefused("vat", ARRIVED, "vat: no vat is named.")])
    outputs = rig.dispatch.take(7)
    (entry,), (refused,) = outputs.entries, outputs.refused
    assert (entry.id, entry.kind, entry.by, entry.payload) == ("load-on-1", "load-on", "Ada", ROW.payload)
    assert (refused.subject, refused.reason, refused.payload) == ("book/vat", "vat: no vat is named.", ROW.payload)


def test_a_broker_is_reminded_of_what_stands(rig: Rig) -> None:
    """An alarm that somebody has seen still stands; one that has returned to normal does not."""
    rig.line.alarms = (
        alarm(state=AlarmState.ACKNOWLEDGED, by="Ada"),
        alarm(name="juice-low", state=AlarmState.NORMAL, active=False),
    )
    rig.dispatch.remind("line-1", ARRIVED, rig.lines, rig.broker)
    assert rig.broker.retained == ["tumpline/line-1/alarm/mill-blocked"]


def test_a_broker_is_reminded_of_the_last_shift(rig: Rig) -> None:
    """The last summary stands at the broker, whatever became of what it had kept, and whatever was put right since."""
    earlier = msgspec.structs.replace(records.SUMMARY, shift="night", end=records.SUMMARY.start)
    rig.dispatch.perform(ROW, "line-1", [TellSummary(records.SUMMARY), TellSummary(earlier)], keep=True)
    rig.dispatch.remind("line-1", ARRIVED, rig.lines, rig.broker)
    told, _ = rig.dispatch.take(7).outgoing
    assert rig.broker.published == [(told.topic, told.payload)]
    assert rig.broker.retained == [told.topic]
