"""A simulated press line that is not ours: its own physics, its own encoder; it never imports the service."""
