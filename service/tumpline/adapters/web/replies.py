"""Small helpers of whatever answers a browser."""

from aiohttp import hdrs, web


def page(text: str, *, status: int = 200) -> web.Response:
    """A whole document as an answer."""
    response = web.Response(text=text, content_type="text/html", status=status)
    response.enable_compression()
    return response


def see_other(path: str) -> web.Response:
    """Leads on to another page."""
    return web.Response(status=303, headers={hdrs.LOCATION: path})


async def field(request: web.Request, name: str) -> str | None:
    """What a form says under that name; None where it says nothing, or sends a file."""
    value = (await request.post()).get(name)
    return value if isinstance(value, str) else None
