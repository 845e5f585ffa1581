"""
One line's connection to an MQTT broker.

The only place that knows how the client library works inside, because what we need is not on its outside:

- A message is acknowledged by us, after it is durable. (The library acknowledges on arrival: what was in its queue is
  lost when we are killed.) After a reconnect the numbers of the old connection mean nothing any more.
- Messages are taken by a hook; the library's own iterator starts a task for each and costs three times as much.
  They are taken apart here, for it makes a table of all the properties there are for each message; and it is given
  bytes that were read many at once, for it asks for two single ones and then for the rest.
- Too many messages are held back by not reading the socket. The library's queue limit drops, and acknowledges what it
  drops.

Each line has a connection of its own, because a connection has one last will, and because one line's trouble with a
session is none of the others'. The session outlives us at the broker: what is published while we are away comes later.
"""

import asyncio
import random
import re
import socket
import ssl
from collections.abc import Callable, Iterable, Sequence
from functools import partial
from pathlib import Path
from typing import Any, Protocol

import aiomqtt
import structlog
from aiomqtt.exceptions import MqttConnectError
from paho.mqtt.client import Client as Paho
from paho.mqtt.client import ConnectFlags, MQTTMessage
from paho.mqtt.enums import MQTTErrorCode
from paho.mqtt.packettypes import PacketTypes
from paho.mqtt.properties import Properties
from paho.mqtt.reasoncodes import ReasonCode

from tumpline.runtime.clock import Clock
from tumpline.runtime.ports import Arrival

log = structlog.get_logger(__name__)

FIRST_PAUSE = 0.25
LONGEST_PAUSE = 30.0
ANSWER = 5.0
"""s the broker has for an answer."""
GOODBYE = 0.5
"""s it has when we go."""
SESSION = 7 * 86_400
"""s the broker keeps our session while we are away."""
_AT_ONCE = 1 << 14
"""Bytes read before others in the program get their turn: about a hundred messages."""
_BUSY = 2_000
"""Packets waiting to go out at which views of the line wait for better times."""
_NUMBER = re.compile(r"^\[(Errno |code:)-?\d+\] ")


class BrokerError(Exception):
    """The broker cannot be used; the message is one sentence for people."""


class Ears(Protocol):
    """Who hears what a connection brings. Called from within the event loop; must not wait."""

    def receive(self, arrival: Arrival) -> None:
        """A message came."""

    def opened(self, line: str, *, resumed: bool) -> None:
        """A new connection stands; `resumed` where the broker still knows the session. Before its first message."""

    def subscribed(self, line: str) -> None:
        """Messages can come, and be published."""

    def confirmed(self, line: str, number: int) -> None:
        """The broker has the message that `publish` gave this number."""


class Account:
    """How to reach the broker and who we are to it."""

    def __init__(
        self,
        *,
        host: str,
        port: int,
        keepalive: float = 15.0,
        username: str | None = None,
        password: str | None = None,
        tls: bool = False,
        ca_file: Path | None = None,
    ) -> None:
        self.host = host
        self.port = port
        self.keepalive = keepalive
        self.username = username
        self.password = password
        self.tls = tls
        self.ca_file = ca_file

    @property
    def where(self) -> str:
        """For sentences."""
        return f"{self.host}:{self.port}"

    def context(self) -> ssl.SSLContext | None:
        """For TLS; BrokerError where the file of certificates cannot be read."""
        if not self.tls:
            return None
        try:
            return ssl.create_default_context(cafile=self.ca_file)
        except (OSError, ssl.SSLError) as error:
            raise BrokerError(f"The certificates in {self.ca_file} cannot be read: {error}.") from error


class MqttLink:
    """A connection that comes back by itself. Run `run()` as one task; fits `runtime.ports.Broker`."""

    def __init__(
        self,
        *,
        line: str,
        account: Account,
        client_id: str,
        topics: Sequence[str],
        ears: Ears,
        clock: Clock,
        status: str | None = None,
        session: int = SESSION,
    ) -> None:
        """
        Build one for a line.

        `status` is the topic that says whether we are there, kept right by a last will. `session` is how long the
        broker keeps what comes while we are away; 0 for a passing visitor.
        """
        self._line = line
        self._account = account
        self._client_id = client_id
        self._topics = topics
        self._ears = ears
        self._clock = clock
        self._status = status
        self._session = session
        self._version = aiomqtt.ProtocolVersion.V5
        self._client: aiomqtt.Client | None = None
        self._socket: socket.socket | ssl.SSLSocket | None = None
        self._ahead, self._place = b"", 0
        """What was read from the socket, and how much of it the library has had."""
        self._held = False
        self._connection = 0
        self._up = False
        self.first = asyncio.Event()
        """Set once a connection has stood."""
        self.trouble = f"The broker at {account.where} has not answered."
        """Why there is no connection, in one sentence."""

    @property
    def connected(self) -> bool:
        """True while messages can come: connected and subscribed."""
        return self._up

    @property
    def busy(self) -> bool:
        """True while much is still on its way out."""
        return self._client is not None and len(self._client._client._out_packet) > _BUSY

    async def run(self) -> None:
        """
        Connect, subscribe, and again whenever the connection is lost, with growing pauses.

        BrokerError only for what no retry mends.
        """
        pause = FIRST_PAUSE
        while True:
            try:
                client = await self._connect()
                if (task := asyncio.current_task()) is not None and task.cancelling():
                    raise asyncio.CancelledError  # a wait whose answer comes at that very moment forgets it
                pause = FIRST_PAUSE
                await self._until_lost(client)
            except (aiomqtt.MqttError, OSError, UnicodeError) as error:  # UnicodeError: a name that is no host name
                self._abandon()
                self._say(error, quietly=self._falls_back(error))
            await asyncio.sleep(pause * random.uniform(0.5, 1.0))
            pause = min(LONGEST_PAUSE, 2 * pause)

    async def close(self) -> None:
        """Say that we go, and go. Call it after `run` has ended."""
        client, was_up, self._up = self._client, self._up, False
        try:
            if client is not None and was_up:
                if self._status is not None:
                    await client.publish(self._status, b"offline", 1, retain=True, timeout=GOODBYE)
                client.timeout = GOODBYE
                await client.__aexit__(None, None, None)
        except aiomqtt.MqttError as error:
            log.debug("mqtt.close-failed", line=self._line, why=str(error))
        finally:
            self._abandon()

    def publish(self, topic: str, payload: bytes, *, qos: int, retain: bool) -> int | None:
        """Hand over a message; its number, or None while there is no connection."""
        if not self._up or self._client is None:
            return None
        return self._client._client.publish(topic, payload, qos, retain).mid

    def acknowledge(self, arrivals: Iterable[Arrival]) -> None:
        """Tell the broker that these are durable, in this order; those of an earlier connection are left out."""
        if self._client is None or self._socket is None:
            return
        line, connection, acknowledge = self._line, self._connection, self._client._client.ack
        for arrival in arrivals:
            if arrival.mid and arrival.connection == connection and arrival.line == line:
                acknowledge(arrival.mid, 1)

    def hold(self) -> None:
        """Read no more from the connection, until `flow`."""
        self._held = True
        if self._socket is not None:
            asyncio.get_running_loop().remove_reader(self._socket.fileno())

    def flow(self) -> None:
        """Read on."""
        self._held = False
        if self._socket is not None:
            loop = asyncio.get_running_loop()
            loop.add_reader(self._socket.fileno(), self._read)
            loop.call_soon(self._read)  # what was read or decrypted already does not show on the socket

    async def _connect(self) -> aiomqtt.Client:
        client = self._client = self._client or self._build()
        client._connected = asyncio.get_running_loop().create_future()  # the library keeps the old answer after a loss
        await client.__aenter__()
        granted = await client.subscribe([(topic, 1) for topic in self._topics])
        for topic, code in zip(self._topics, granted, strict=False):
            if isinstance(code, ReasonCode) and code.is_failure:
                raise aiomqtt.MqttError(f"it refuses the subscription to {topic} ({code})")
        self._up = True
        self.trouble = ""
        self.first.set()
        log.info("mqtt.connected", line=self._line, broker=self._account.where)
        if self._status is not None:
            self.publish(self._status, b"online", qos=1, retain=True)
        self._ears.subscribed(self._line)
        return client

    async def _until_lost(self, client: aiomqtt.Client) -> None:
        await asyncio.wait([client._disconnected])
        self._up = False
        error = client._disconnected.exception()
        raise aiomqtt.MqttError(str(error) if error else "it closed the connection")

    def _abandon(self) -> None:
        """Leave nothing of a connection that failed half-way or is over."""
        client, self._up = self._client, False
        if client is not None:
            client._client._sock_close()
            if client._lock.locked():
                client._lock.release()

    def _build(self) -> aiomqtt.Client:
        """One client for all connections: what it has not brought yet survives in it."""
        v5 = self._version == aiomqtt.ProtocolVersion.V5
        properties = Properties(PacketTypes.CONNECT)  # type: ignore[no-untyped-call]  # the library gives it no types
        properties.SessionExpiryInterval = self._session
        how: dict[str, Any] = (
            {"clean_start": not self._session, "properties": properties} if v5 else {"clean_session": not self._session}
        )
        will = self._status and aiomqtt.Will(self._status, b"offline", qos=1, retain=True)
        client = aiomqtt.Client(
            self._account.host,
            self._account.port,
            identifier=self._client_id,
            username=self._account.username,
            password=self._account.password,
            tls_context=self._account.context(),
            protocol=self._version,
            will=will or None,
            timeout=ANSWER,
            keepalive=max(1, round(self._account.keepalive)),
            socket_options=[(socket.IPPROTO_TCP, socket.TCP_NODELAY, 1)],
            **how,
        )
        self._hook(client, client._client)
        return client

    def _hook(self, client: aiomqtt.Client, paho: Paho) -> None:
        """Put our ears where the library has its own."""
        paho.manual_ack_set(True)
        loop = asyncio.get_running_loop()

        def answered(_: Paho, data: Any, flags: ConnectFlags, code: ReasonCode, properties: Properties | None) -> None:
            if not code.is_failure:
                self._connection += 1
                self._ears.opened(self._line, resumed=flags.session_present)
            client._on_connect(paho, data, flags, code, properties)

        def lost(_: Paho, data: Any, flags: Any, code: ReasonCode, properties: Properties | None) -> None:
            if not client._connected.done():
                client._connected.set_exception(aiomqtt.MqttError("it closed the connection without an answer"))
            client._on_disconnect(paho, data, flags, code, properties)

        def confirmed(_: Paho, data: Any, mid: int, code: ReasonCode, properties: Properties) -> None:
            if code.is_failure:
                log.error("mqtt.publish-refused", line=self._line, why=str(code))
            self._ears.confirmed(self._line, mid)
            client._on_publish(paho, data, mid, code, properties)

        def opened(_: Paho, data: Any, sock: Any) -> None:  # in another thread, see aiomqtt
            client._on_socket_open(paho, data, sock)
            loop.call_soon_threadsafe(self._listen, sock)

        def closed(_: Paho, data: Any, sock: Any) -> None:
            self._socket, self._up = None, False
            client._on_socket_close(paho, data, sock)

        v5, otherwise = self._version == aiomqtt.ProtocolVersion.V5, paho._handle_publish
        paho._sock_recv = partial(self._recv, paho._sock_recv)  # type: ignore[method-assign]  # see the docstring above
        paho._handle_publish = partial(self._publish, paho, otherwise, v5)  # type: ignore[method-assign]  # the same
        paho._handle_on_message = self._message  # type: ignore[method-assign]  # on_message costs a search for each
        paho.disable_logger()  # it would put words together for every packet
        paho.on_connect = answered
        paho.on_disconnect = lost
        paho.on_publish = confirmed
        paho.on_socket_open = opened
        paho.on_socket_close = closed

    def _publish(self, paho: Paho, otherwise: Callable[[], MQTTErrorCode], v5: bool) -> MQTTErrorCode:
        """A message packet (MQTT 5, 3.3; 3.1.1 has no properties); one with properties is left to the library."""
        header, packet = paho._in_packet["command"], paho._in_packet["packet"]
        qos, end = header >> 1 & 3, 2 + int.from_bytes(packet[:2], "big")
        start = end + 2 if qos else end
        mid = int.from_bytes(packet[end:start], "big")
        if qos > 1 or end == 2 or len(packet) < start + v5 or (v5 and packet[start]):
            return otherwise()
        self._hear(packet[2:end], bytes(packet[start + v5 :]), mid, bool(header & 8), bool(header & 1))
        return MQTTErrorCode.MQTT_ERR_SUCCESS

    def _message(self, message: MQTTMessage) -> None:
        self._hear(message._topic, bytes(message.payload), message.mid, message.dup, message.retain)

    def _hear(self, topic: bytes | bytearray, payload: bytes, mid: int, dup: bool, retain: bool) -> None:
        try:
            name = topic.decode()
        except UnicodeDecodeError:  # no topic of ours; it only has to be got rid of
            name = ""
        self._ears.receive(Arrival(self._clock.now(), name, payload, self._line, mid, dup, retain, self._connection))

    def _listen(self, sock: socket.socket | ssl.SSLSocket) -> None:
        self._socket, self._ahead, self._place = sock, b"", 0
        self.flow()

    def _recv(self, receive: Callable[[int], bytes], size: int) -> bytes:
        if self._place == len(self._ahead):
            self._ahead, self._place = receive(_AT_ONCE), 0
        start, self._place = self._place, min(len(self._ahead), self._place + size)
        return self._ahead[start : self._place]

    def _read(self) -> None:
        """Read what is there, many messages at a time; the library's own reader takes one a turn of the loop."""
        client = self._client
        if client is None:
            return
        try:
            while self._socket is not None and not self._held:
                client._client.loop_read()
                if self._place == len(self._ahead):
                    break
        except Exception as error:  # as in the library: whatever went wrong in reading, this connection is over
            if not client._disconnected.done():
                client._disconnected.set_exception(error)
            return
        if isinstance(self._socket, ssl.SSLSocket) and self._socket.pending():
            asyncio.get_running_loop().call_soon(self._read)

    def _say(self, error: Exception, *, quietly: bool) -> None:
        why = _NUMBER.sub("", str(error)).removesuffix(".") or type(error).__name__
        what = "refuses us" if isinstance(error, MqttConnectError) else "cannot be reached"
        sentence = f"The broker at {self._account.where} {what}: {why}."
        if sentence != self.trouble and not quietly:
            log.warning("mqtt.disconnected", line=self._line, why=sentence)
        self.trouble = sentence

    def _falls_back(self, error: Exception) -> bool:
        """
        Brokers that only know MQTT 3.1.1 refuse 5, or just hang up: try the one after the other.

        True where 3.1.1 comes next and there is no trouble yet. Once we were connected the version stands.
        """
        refused = isinstance(error, MqttConnectError) and "protocol" in str(error).lower()
        unanswered = "without an answer" in str(error) or "timed out" in str(error)
        if self.first.is_set() or not (refused or unanswered):
            return False
        was_newest = self._version == aiomqtt.ProtocolVersion.V5
        self._version = aiomqtt.ProtocolVersion.V311 if was_newest else aiomqtt.ProtocolVersion.V5
        self._client = None
        return was_newest
