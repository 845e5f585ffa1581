"""What can keep the page from being served."""


class PageError(Exception):
    """The page cannot be served, or a file of its own cannot be read or written; the message is one sentence."""
