"""A simulated press line that is not ours: its own physics, its own encoder; it never imports the service."""

from tumpline_sim.options import Options
from tumpline_sim.settings import settings_toml
from tumpline_sim.shift import Message, Shift, shift

__all__ = ["Message", "Options", "Shift", "settings_toml", "shift"]
