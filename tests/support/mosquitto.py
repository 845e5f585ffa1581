"""A real mosquitto on a free loopback port."""

import os
from pathlib import Path

from programs import Running, free_port, program

OPEN_TO_ALL = """
listener {port} 127.0.0.1
allow_anonymous true
persistence true
persistence_location {folder}/
max_queued_messages 0
set_tcp_nodelay true
"""


def mosquitto(folder: Path, configuration: str = OPEN_TO_ALL) -> Running:
    """A broker that keeps its things in `folder`; `{port}` and `{folder}` in the configuration are filled in."""
    port = free_port()
    text = configuration.replace("{port}", str(port)).replace("{folder}", str(folder))
    if os.geteuid() == 0:
        text += "\nuser root\n"  # else it becomes a user who may not read the folder
    path = folder / "mosquitto.conf"
    path.write_text(text)
    return Running([program("mosquitto"), "-c", path], port=port, log=folder / "mosquitto.log")
