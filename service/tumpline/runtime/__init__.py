"""How it runs: one event at a time, in order, and nothing lost."""
