"""
What open pages cost the service.

Figures are printed, not judged: they belong to the machine. `pytest -m bench -s` shows them. The page is served by a
process of its own, told a second of event time a second, as a line would; its time on the processor is read from the
system.
"""

import asyncio
import os
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import aiohttp
import pytest

from page_in_browser import chromium
from polling import until

pytestmark = [pytest.mark.bench, pytest.mark.system]

SUPPORT = Path(__file__).parents[1] / "support"
SECONDS = float(os.environ.get("TUMPLINE_BENCH_PAGE_SECONDS", "5"))
PAGES = (1, 20)

SERVER = """
import asyncio, sys
sys.path.insert(0, sys.argv[1])
from fake_line import NOW, figures, half_hour, live, signals
from live_page import served
from page_book import morning
from tumpline.runtime.board import Board

async def main():
    board = Board(["line-1"])
    half_hour(board)
    morning(board)
    async with served(board) as page:
        print(page.url, flush=True)
        second = 0
        while True:
            await asyncio.sleep(1.0)
            second += 1
            at = NOW + second
            now = signals(at=at, mill_throughput=(4.0 + second % 5 / 10) / 3.6)
            board.show("line-1", live(at=at, signals=now))
            if second % 5 == 0:
                board.figures("line-1", at, figures(at))

asyncio.run(main())
"""


@pytest.fixture(name="server")
def _server() -> Iterator[tuple[str, int]]:
    """A page's address and its process."""
    command = [sys.executable, "-c", SERVER, str(SUPPORT)]
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True) as process:
        assert process.stdout is not None
        yield process.stdout.readline().strip(), process.pid
        process.kill()


def worked(pid: int) -> float:
    """s that a process has spent on the processor."""
    user, system = Path(f"/proc/{pid}/stat").read_text().rsplit(")", 1)[1].split()[11:13]
    return (int(user) + int(system)) / os.sysconf("SC_CLK_TCK")


async def watched(url: str, pid: int, pages: int) -> tuple[float, float]:
    """Share of a core, and kB a second and page, while so many pages are open."""
    heard = [0] * pages
    async with aiohttp.ClientSession(connector=aiohttp.TCPConnector(limit=0)) as client:

        async def look(number: int) -> None:
            async with client.ws_connect(f"{url}line/line-1/socket") as socket:
                async for message in socket:
                    heard[number] += len(message.data)

        looking = [asyncio.create_task(look(number)) for number in range(pages)]
        await until(lambda: all(heard))
        before, begun, clock = worked(pid), sum(heard), asyncio.get_running_loop().time
        start = clock()
        await asyncio.sleep(SECONDS)  # this is what is measured
        took = clock() - start
        cost, told = worked(pid) - before, sum(heard) - begun
        for task in looking:
            task.cancel()
        await asyncio.gather(*looking, return_exceptions=True)
    return cost / took, told / took / pages / 1000


def test_what_twenty_open_pages_cost(server: tuple[str, int]) -> None:
    """Twenty pages cost little more than one: a message is put together once for all."""
    url, pid = server
    for pages in PAGES:
        share, rate = asyncio.run(watched(url, pid, pages))
        print(f"{pages} open pages: {100 * share:.2f} % of a core, {rate:.2f} kB a second and page")
        assert rate > 0.0


def test_when_the_first_figures_are_drawn(server: tuple[str, int]) -> None:
    """On a processor four times as slow, a stand-in for a cheap phone: what came over the wire, and when it showed."""
    url, _ = server
    with chromium() as browser:
        for slower in (1, 4):
            page = browser.new_page(viewport={"width": 360, "height": 800})
            developer = page.context.new_cdp_session(page)
            developer.send("Emulation.setCPUThrottlingRate", {"rate": slower})
            developer.send("Network.enable")
            sizes: list[float] = []
            developer.on("Network.loadingFinished", lambda event, sizes=sizes: sizes.append(event["encodedDataLength"]))
            page.goto(url, wait_until="networkidle")
            painted = page.evaluate("performance.getEntriesByName('first-contentful-paint')[0].startTime")
            print(f"processor {slower} times as slow: figures after {painted:.0f} ms, {sum(sizes) / 1000:.1f} kB")
            assert painted > 0.0
            page.close()
