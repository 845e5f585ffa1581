"""Answers to a browser."""

import asyncio

from page_browser import visiting


def test_a_file_in_place_of_a_text_is_nothing() -> None:
    """Whoever sends a file where a name belongs is asked for the name."""

    async def scenario() -> None:
        async with visiting() as visit:
            boundary = (
                b'--x\r\nContent-Disposition: form-data; name="by"; filename="a"\r\n\r\nAda\r\n'
                b'--x\r\nContent-Disposition: form-data; name="alarm"\r\n\r\nmill-blocked\r\n--x--\r\n'
            )
            headers = {"Content-Type": "multipart/form-data; boundary=x"}
            url = f"{visit.url}/line/line-1/acknowledge"
            async with visit.client.post(url, data=boundary, headers=headers) as answer:
                assert "Who are you?" in await answer.text()
            assert visit.desk.taken == []

    asyncio.run(scenario())
