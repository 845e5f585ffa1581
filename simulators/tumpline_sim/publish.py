"""Publishing a simulated shift over MQTT, at the pace of the wall clock or a multiple of it."""

from __future__ import annotations

import socket
from collections.abc import Callable, Iterable
from threading import Condition, Event
from time import (
    monotonic,  # noqa: TID251 - publishing follows the wall clock; everything else takes time as an argument
    sleep,
)
from typing import Any

from paho.mqtt.client import Client, ConnectFlags
from paho.mqtt.enums import CallbackAPIVersion
from paho.mqtt.properties import Properties
from paho.mqtt.reasoncodes import ReasonCode

from tumpline_sim.shift import Message

_AHEAD_S = 0.01  # messages due within this are sent together
_UNCONFIRMED = 5000
_PATIENCE_S = 30.0
_CONNECT_S = 10.0


class BrokerUnreachableError(Exception):
    """The broker cannot be reached or no longer answers; the message says which and where."""


class Publisher:
    """A connection to a broker that counts what has been confirmed. Close it when done."""

    def __init__(self, *, host: str, port: int) -> None:
        self._where = f"{host}:{port}"
        self._confirmed = Condition()
        self._open = 0
        self._connected = Event()
        self._refusal: str | None = None
        self._client = Client(CallbackAPIVersion.VERSION2)
        self._client.max_inflight_messages_set(1000)
        self._client.on_socket_open = _send_at_once
        self._client.on_connect = self._on_connect
        self._client.on_publish = self._on_publish
        try:
            self._client.connect(host, port, keepalive=30)
        except OSError as fault:
            raise BrokerUnreachableError(f"no broker answers at {self._where} ({fault.strerror or fault})") from fault
        self._client.loop_start()
        if not self._connected.wait(_CONNECT_S) or self._refusal:
            self.close()
            raise BrokerUnreachableError(
                f"the broker at {self._where} does not let us in ({self._refusal or 'no answer'})"
            )

    def publish(self, message: Message) -> None:
        """Send one message, at least once; waits while too many are unconfirmed."""
        with self._confirmed:
            self._open += 1
        self._client.publish(message.topic, message.payload, qos=1)
        self._wait_below(_UNCONFIRMED)

    def settle(self) -> None:
        """Wait until every message has been confirmed."""
        self._wait_below(1)

    def close(self) -> None:
        """Say goodbye and stop."""
        self._client.disconnect()
        self._client.loop_stop()

    def _wait_below(self, limit: int) -> None:
        with self._confirmed:
            while self._open >= limit:
                before = self._open
                self._confirmed.wait(_PATIENCE_S)
                if self._open == before:
                    raise BrokerUnreachableError(
                        f"the broker at {self._where} has stopped answering; {before} messages are not confirmed"
                    )

    def _on_connect(
        self, _client: Client, _data: Any, _flags: ConnectFlags, reason: ReasonCode, _properties: Properties | None
    ) -> None:
        if reason.is_failure:
            self._refusal = str(reason)
        self._connected.set()

    def _on_publish(
        self, _client: Client, _data: Any, _mid: int, _reason: ReasonCode, _properties: Properties | None
    ) -> None:
        with self._confirmed:
            self._open -= 1
            self._confirmed.notify()


def _send_at_once(_client: Client, _data: Any, sock: Any) -> None:
    sock.setsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY, 1)


def publish(
    messages: Iterable[Message],
    publisher: Publisher,
    *,
    start: float,
    speed: float,
    progress: Callable[[Message, int], None],
) -> int:
    """Publish `messages` when they arrive: event time runs from `start` (epoch s) at `speed` times the wall clock.

    Returns how many there were, all confirmed. Raises `BrokerUnreachableError` when the broker goes away for good.
    """
    began = monotonic()
    sent = 0
    for message in messages:
        wait = (message.arrived - start) / speed - (monotonic() - began)
        if wait > _AHEAD_S:
            progress(message, sent)
            sleep(wait)
        publisher.publish(message)
        sent += 1
    publisher.settle()
    return sent
