"""Nothing is lost and nothing counts twice, whatever ends the service or the broker."""

import json
import random
import threading
from pathlib import Path

import pytest

from polling import wait_until
from programs import Running
from works import Neighbour, Works, settings, simulated, tumpline

pytestmark = pytest.mark.system


def test_ten_kills_leave_the_summary_as_if_nothing_had_happened(
    broker: Running, neighbour: Neighbour, tmp_path: Path
) -> None:
    """A service killed ten times in a shift sums it up to the same document, in every key, as one left alone."""
    tape, config, messages = simulated(tmp_path, broker.port, hours=0.5)
    alone = json.loads(tumpline("replay", tape, "--config", config, "--json").stdout)
    chance = random.Random(5)
    with Works(config) as works:
        wait_until(lambda: works.connections == 1)
        publishing = threading.Thread(target=lambda: neighbour.publish(messages, rate=len(messages) / 10.0))
        publishing.start()
        for kill in range(1, 11):
            publishing.join(chance.uniform(0.0, 0.4))
            works.kill()
            works.start()
            wait_until(lambda kill=kill: works.connections > kill)
        publishing.join()
        wait_until(lambda: neighbour.documents("summary"))
        assert works.stop() == 0
    assert neighbour.documents("summary")[-1] == alone


def test_a_broker_that_restarts_costs_nothing(broker: Running, neighbour: Neighbour, tmp_path: Path) -> None:
    """Messages published before, while and after the broker restarts are all in the summary, once."""
    tape, config, messages = simulated(tmp_path, broker.port, hours=0.3)
    alone = json.loads(tumpline("replay", tape, "--config", config, "--json").stdout)
    third = len(messages) // 3
    with Works(config) as works:
        wait_until(lambda: works.connections == 1)
        neighbour.publish(messages[:third])
        broker.stop()
        broker.start()
        neighbour.publish(messages[third : 2 * third])
        wait_until(lambda: works.connections == 2)
        broker.stop()
        broker.start()
        neighbour.publish(messages[2 * third :])
        wait_until(lambda: neighbour.documents("summary"))
        assert works.stop() == 0
    assert neighbour.documents("summary")[-1] == alone


def test_what_was_published_while_the_service_was_away_is_taken(
    broker: Running, neighbour: Neighbour, tmp_path: Path
) -> None:
    """The broker keeps a service's messages while it is stopped."""
    tape, config, messages = simulated(tmp_path, broker.port, hours=0.3)
    alone = json.loads(tumpline("replay", tape, "--config", config, "--json").stdout)
    with Works(config) as works:
        wait_until(lambda: works.connections == 1)
        assert works.stop() == 0
        neighbour.publish(messages)
        works.start()
        wait_until(lambda: neighbour.documents("summary"))
    assert neighbour.documents("summary")[-1] == alone


def test_a_killed_service_is_said_to_be_offline(broker: Running, neighbour: Neighbour, tmp_path: Path) -> None:
    """Every line says `online` while the service runs, and the broker says `offline` for each when it is gone."""
    config = settings(tmp_path, broker.port, lines=("line-1", "line-2"))
    topics = ("tumpline/line-1/service", "tumpline/line-2/service")
    with Works(config) as works:
        wait_until(lambda: [neighbour.last(topic) for topic in topics] == [b"online"] * 2)
        works.kill()
        wait_until(lambda: [neighbour.last(topic) for topic in topics] == [b"offline"] * 2)


def test_a_stopped_service_says_that_it_goes(broker: Running, neighbour: Neighbour, tmp_path: Path) -> None:
    """Asked to end, the service says `offline` itself and ends with status 0."""
    with Works(settings(tmp_path, broker.port)) as works:
        wait_until(lambda: neighbour.last("tumpline/line-1/service") == b"online")
        assert works.stop() == 0
        wait_until(lambda: neighbour.last("tumpline/line-1/service") == b"offline")


def test_a_retained_reading_is_not_taken_for_news(broker: Running, neighbour: Neighbour, tmp_path: Path) -> None:
    """What the broker kept for whoever subscribes is of unknown age, and is left alone."""
    neighbour.retain("tumpline/line-1/signal/press/pressure", "3.5")
    with Works(settings(tmp_path, broker.port)) as works:
        wait_until(lambda: works.connections == 1)
        neighbour.publish([("tumpline/line-1/signal/press/pressure", "1.5")])
        wait_until(lambda: neighbour.documents("live"))
        assert works.stop() == 0
    assert {live["pressure_bar"] for live in neighbour.documents("live")} <= {1.5, None}
