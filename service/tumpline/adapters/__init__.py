"""Who we talk to: one outside system a module."""
