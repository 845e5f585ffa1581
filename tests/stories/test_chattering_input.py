"""An input that chatters ten thousand times in a minute: one alarm at the most, and a line that goes on as before."""

from collections.abc import Iterator

from press_stories import CURRENT, RATED, WATER, YIELD, Story, Told, play
from tumpline.pressing.effects import TellAlarm
from tumpline.pressing.events import Event, ReadingTaken

TIMES = 10_000


def a_minute(start: float, *, chatters: bool) -> Iterator[Event]:
    """The mill's throughput ten thousand times, jumping between all and nothing where it chatters; the rest as ever."""
    for i in range(TIMES):
        at = start + 60.0 * i / TIMES
        if i % (TIMES // 60) == 0:
            wave = 1.0 + 1e-6 * (i % 7)
            for name, value in (("flume/flow", WATER), ("press/pressure", 1.4e5), ("juice/flow", YIELD * RATED)):
                yield ReadingTaken(name, at, value * wave, at + 0.2)
            yield ReadingTaken("mill/current", at, CURRENT * wave, at + 0.2)
        fruit = 0.0 if chatters and i % 2 else RATED * (1.0 + 1e-6 * (i % 3))
        yield ReadingTaken("mill/throughput", at, fruit, at + 0.2)


def shift(*, chatters: bool) -> Told:
    """A quarter of an hour of pressing, that minute, and five minutes more."""
    story = Story().start().run(900)
    story.events += a_minute(story.now, chatters=chatters)
    story.now += 60.0
    return play(story.run(300).events, finish=False)


def test_ten_thousand_jumps_are_told_as_one_alarm_at_the_most() -> None:
    """Nobody is called ten thousand times, no flood begins, and the line presses on with its figures."""
    told = shift(chatters=True)
    assert len([name for name in told.raised if name in ("mill-blocked", "fruit-starved")]) <= 1
    assert len([e for e in told.effects if isinstance(e, TellAlarm)]) <= 12
    assert told.events("flood.began") == []
    assert told.conditions[-1] == "pressing"


def test_ten_thousand_jumps_leave_no_more_behind_than_steady_readings() -> None:
    """What the line remembers five minutes later is as large as if nothing had happened."""
    chattered, steady = shift(chatters=True).line.snapshot(), shift(chatters=False).line.snapshot()
    assert len(chattered) < 1.05 * len(steady)
