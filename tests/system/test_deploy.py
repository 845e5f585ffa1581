"""What `deploy/` offers works as it stands: the broker keeps strangers out, the unit and the compose file are sound."""

import re
import socket
import ssl
import subprocess
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

import paho.mqtt.client as mqtt
import pytest
from paho.mqtt.enums import CallbackAPIVersion
from paho.mqtt.subscribeoptions import SubscribeOptions

from mosquitto import mosquitto
from polling import wait_until
from programs import program
from source_tree import ROOT
from tumpline.settings import load

pytestmark = pytest.mark.system

DEPLOY = ROOT / "deploy"
USERS = ("tumpline", "sensors", "office")


@dataclass(frozen=True, slots=True)
class Works:
    """A broker running with the configuration of `deploy/`."""

    port: int
    certificates: Path


@pytest.fixture(name="works", scope="module")
def _works(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Works]:
    folder = tmp_path_factory.mktemp("works")
    program("openssl")
    certificates = folder / "certificates"
    for where in (certificates, folder / "strangers"):
        make = [str(DEPLOY / "mosquitto" / "make-certificates"), str(where), "localhost", "127.0.0.1"]
        subprocess.run(make, check=True, capture_output=True)
    (folder / "passwords").touch(mode=0o600)
    for user in USERS:
        command = [program("mosquitto_passwd"), "-b", str(folder / "passwords"), user, f"word of {user}"]
        subprocess.run(command, check=True, capture_output=True)
    (folder / "acl").write_bytes((DEPLOY / "mosquitto" / "acl").read_bytes())
    (folder / "acl").chmod(0o600)
    configuration = (DEPLOY / "mosquitto" / "mosquitto.conf").read_text()
    configuration = re.sub(r"^listener 8883$", "listener {port} 127.0.0.1", configuration, flags=re.MULTILINE)
    configuration = re.sub(r"/(etc|var/lib)/mosquitto", "{folder}", configuration)
    with mosquitto(folder, configuration) as broker:
        yield Works(broker.port, certificates)


class Client:
    """An MQTT 5 client, which is told when something is forbidden. `with` connects and disconnects."""

    def __init__(self, works: Works, user: str, *, password: str | None = None) -> None:
        self._works = works
        self.heard: list[str] = []
        self.answers: list[str] = []
        self._client = mqtt.Client(CallbackAPIVersion.VERSION2, protocol=mqtt.MQTTv5, reconnect_on_failure=False)
        self._client.tls_set(ca_certs=str(works.certificates / "ca.crt"))
        self._client.username_pw_set(user, password or f"word of {user}")
        self._client.on_connect = lambda *args: self.answers.append(str(args[3]))
        self._client.on_publish = lambda *args: self.answers.append(str(args[3]))
        self._client.on_subscribe = lambda *args: self.answers.append(str(args[3][0]))
        self._client.on_message = lambda client, data, message: self.heard.append(message.topic)

    def connect(self) -> str:
        """What the broker says to the attempt."""
        return self._answer_to(lambda: self._client.connect("localhost", self._works.port), start=True)

    def publish(self, topic: str) -> str:
        """What the broker says to a message on this topic."""
        return self._answer_to(lambda: self._client.publish(topic, b"1", qos=1))

    def subscribe(self, topic: str) -> str:
        """What the broker says to a subscription."""
        return self._answer_to(lambda: self._client.subscribe(topic, options=SubscribeOptions(qos=1)))

    def _answer_to(self, ask: Callable[[], object], *, start: bool = False) -> str:
        before = len(self.answers)
        ask()
        if start:
            self._client.loop_start()
        wait_until(lambda: len(self.answers) > before)
        return self.answers[before]

    def __enter__(self) -> "Client":
        assert self.connect() == "Success"
        return self

    def __exit__(self, *failure: object) -> None:
        self.close()

    def close(self) -> None:
        """Leave."""
        self._client.disconnect()
        self._client.loop_stop()


def test_signals_reach_the_service_and_its_figures_reach_the_office(works: Works) -> None:
    """Everybody can do what the line needs of them."""
    with Client(works, "tumpline") as service, Client(works, "sensors") as sensors, Client(works, "office") as office:
        assert service.subscribe("tumpline/+/signal/#") == "Granted QoS 1"
        assert service.subscribe("tumpline/+/book/#") == "Granted QoS 1"
        assert office.subscribe("tumpline/#") == "Granted QoS 1"
        assert sensors.publish("tumpline/line-1/signal/mill/throughput") == "Success"
        assert office.publish("tumpline/line-1/book/note") == "Success"
        outputs = ["live", "event", "alarm/mill-blocked", "summary/early", "service", "book/load"]
        for output in outputs:
            assert service.publish(f"tumpline/line-1/{output}") == "Success"
        told = ["signal/mill/throughput", "book/note", *outputs]
        wait_until(lambda: len(office.heard) == len(told))
        assert office.heard == [f"tumpline/line-1/{topic}" for topic in told]
        wait_until(lambda: len(service.heard) == 3)


@pytest.mark.parametrize(
    ("user", "topic"),
    [
        ("sensors", "tumpline/line-1/live"),
        ("sensors", "tumpline/line-1/book/note"),
        ("sensors", "tumpline/line-1/alarm/mill-blocked"),
        ("sensors", "mill/start"),
        ("office", "tumpline/line-1/signal/mill/throughput"),
        ("office", "tumpline/line-1/service"),
        ("tumpline", "tumpline/line-1/signal/mill/throughput"),
        ("tumpline", "mill/start"),
    ],
)
def test_nobody_may_publish_what_is_not_theirs(works: Works, user: str, topic: str) -> None:
    """A sensor cannot forge an alarm, the office cannot forge a signal, and the service cannot command anything."""
    with Client(works, user) as client:
        assert client.publish(topic) == "Not authorized"


def test_sensors_hear_nothing(works: Works) -> None:
    """A transmitter's password, once lost, does not open the book."""
    with Client(works, "sensors") as sensors, Client(works, "office") as office:
        sensors.subscribe("tumpline/#")
        assert office.publish("tumpline/line-1/book/note") == "Success"
        assert sensors.publish("tumpline/line-1/signal/flume/flow") == "Success"
        assert sensors.heard == []


@pytest.mark.parametrize(("user", "password"), [("tumpline", "a guess"), ("stranger", "word of stranger")])
def test_a_wrong_name_or_password_is_turned_away(works: Works, user: str, password: str) -> None:
    """Nobody comes in without a password of the works."""
    client = Client(works, user, password=password)
    assert client.connect() == "Not authorized"
    client.close()


def test_a_broker_of_another_authority_is_not_trusted(works: Works) -> None:
    """A client with the works' authority connects; one with another does not, and hands no password over."""
    trusting = ssl.create_default_context(cafile=works.certificates / "ca.crt")
    wary = ssl.create_default_context(cafile=works.certificates.with_name("strangers") / "ca.crt")
    with socket.create_connection(("127.0.0.1", works.port)) as raw:
        trusting.wrap_socket(raw, server_hostname="localhost").close()
    with socket.create_connection(("127.0.0.1", works.port)) as raw, pytest.raises(ssl.SSLCertVerificationError):
        wary.wrap_socket(raw, server_hostname="localhost")


def test_the_unit_is_sound_and_shut_off_from_the_machine(tmp_path: Path) -> None:
    """systemd finds no fault in the unit, and rates its exposure low (under 2 of 10)."""
    analyze = program("systemd-analyze")
    unit = tmp_path / "tumpline.service"
    unit.write_text((DEPLOY / "tumpline.service").read_text().replace("/opt/tumpline/bin/tumpline", "/bin/true"))
    for check in (["verify"], ["security", "--offline=true", "--threshold=20"]):
        result = subprocess.run([analyze, *check, unit], capture_output=True, text=True, check=False)
        assert (result.returncode, result.stderr) == (0, "")


def test_every_file_the_compose_file_names_is_there_or_made_by_hand() -> None:
    """Nothing is mounted that does not exist, but for the secrets that each works makes for itself."""
    text = (DEPLOY / "compose.yaml").read_text()
    named = set(re.findall(r"\./([\w./-]+)", text))
    by_hand = {name for name in named if name.startswith("secrets/")}
    manual = (DEPLOY / "README.md").read_text()
    assert {name for name in named - by_hand if not (DEPLOY / name).exists()} == set()
    assert {name for name in by_hand if name.removesuffix("/ca.crt") not in manual} == set()
    assert (ROOT / re.findall(r"dockerfile: (\S+)", text)[0]).exists()


def test_the_settings_of_the_compose_file_are_accepted() -> None:
    """The settings that the service is given there are settings it understands."""
    settings = load(DEPLOY / "tumpline.toml", secrets=False)
    assert [line.id for line in settings.lines] == ["line-1"]
    assert settings.broker.port == 8883
