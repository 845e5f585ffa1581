"""The page: one screen for the press floor, drawn here and kept true over one WebSocket."""
