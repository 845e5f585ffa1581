"""A new connection brings again what was not durable, and the broker hears what it may have forgotten."""

import pytest

from fake_line import alarm
from polling import until
from runtime_fakes import LATENESS, Rig, message, outgoing
from tumpline.pressing.events import ReadingTaken
from tumpline.pressing.records import AlarmState
from tumpline.runtime.lull import SHORTEST
from tumpline.runtime.supervise import Supervisor


def test_messages_are_taken_in_as_they_come(rig: Rig) -> None:
    """What both connections bring is worked through in the order in which it came."""
    came = [message(b"1"), message(b"2", line="line-2"), message(b"3")]
    rig.receive(*came)
    assert rig.loop.inbox.take() == came


def test_a_resumed_connection_brings_again_what_was_not_durable(rig: Rig) -> None:
    """A message that the broker will send once more is not counted twice; another line's stays."""
    rig.receive(message(b"1", mid=1), message(b"2", line="line-2", mid=1))
    rig.reception.opened("line-1", resumed=True)
    rig.receive(message(b"1", mid=1, dup=True))
    assert [arrival.payload for arrival in rig.loop.inbox.take()] == [b"2", b"1"]


@pytest.mark.parametrize(("resumed", "mid"), [(False, 1), (True, 0)], ids=["forgotten", "unacknowledged"])
def test_what_will_not_come_again_is_kept(rig: Rig, resumed: bool, mid: int) -> None:
    """A broker that has forgotten us sends nothing again, and none what needs no acknowledgement: we have it."""
    rig.receive(message(b"1", mid=mid))
    rig.reception.opened("line-1", resumed=resumed)
    assert [arrival.payload for arrival in rig.loop.inbox.take()] == [b"1"]


@pytest.mark.parametrize("resumed", [True, False])
def test_a_broker_that_has_forgotten_us_counts_anew(rig: Rig, resumed: bool) -> None:
    """The same number means the same message only as long as the broker remembers us."""
    rig.journal.number([message(mid=7)])
    rig.reception.opened("line-1", resumed=resumed)
    again = rig.journal.number([message(mid=7, dup=True)])
    assert (len(again), rig.journal.redelivered) == ((0, 1) if resumed else (1, 0))


def test_a_broker_is_told_again_which_alarms_stand(rig: Rig) -> None:
    """An open alarm is at a broker that lost its memory; one that is normal is not raised from the dead."""
    rig.line.alarms = (alarm(), alarm(name="juice-low", state=AlarmState.NORMAL, active=False))
    rig.reception.opened("line-1", resumed=False)
    rig.reception.subscribed("line-1")
    assert rig.broker.retained == ["tumpline/line-1/alarm/mill-blocked"]
    assert rig.brokers["line-2"].published == []


def test_a_broker_that_remembers_is_not_told_twice(rig: Rig) -> None:
    """After a cut that the broker remembers nothing is repeated to those who listen."""
    rig.line.alarms = (alarm(),)
    rig.reception.opened("line-1", resumed=True)
    rig.reception.subscribed("line-1")
    assert rig.broker.published == []


def test_silence_counts_from_the_subscription_on(rig: Rig) -> None:
    """An hour without a connection is no hour in which the line was silent."""
    began = rig.clock.time
    rig.lulls["line-1"].heard(began, [ReadingTaken("mill/throughput", began, 1.0, began)])
    rig.clock.time += 3600.0
    rig.reception.subscribed("line-1")
    quiet = max(SHORTEST, LATENESS)
    assert rig.lulls["line-1"].passed(rig.clock.time + quiet - 0.1) is None
    assert rig.lulls["line-1"].passed(rig.clock.time + quiet) == rig.clock.time + quiet - LATENESS


@pytest.mark.asyncio
async def test_what_could_not_be_brought_is_brought_on_return(rig: Rig) -> None:
    """What happened while the broker was away reaches it when it is back, and is forgotten once it is there."""
    await rig.journal.commit([], outgoing(b"load.on"), [])
    await rig.journal.commit([], outgoing(b"load.on", line="line-2"), [])
    rig.broker.connected = False
    async with Supervisor() as tasks:
        tasks.start("postman", rig.postman.run())
        rig.postman.wake()
        await until(lambda: rig.brokers["line-2"].published)
        rig.broker.connected = True
        rig.reception.subscribed("line-1")
        await until(lambda: rig.broker.published)
    assert not rig.dispatch.gathered
    rig.reception.confirmed("line-1", 1)
    rig.reception.confirmed("line-2", 1)
    await rig.journal.commit([], rig.dispatch.take(0), [])
    assert await rig.journal.outgoing_after(0, 10) == []
