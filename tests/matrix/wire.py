"""A wire between the coach and the homeserver that a test can cut, slow down or make lie."""

import asyncio
from collections.abc import AsyncIterator, Awaitable, Callable
from contextlib import asynccontextmanager

from aiohttp import ClientSession, ClientTimeout, web

Fault = Callable[[web.Request], Awaitable[web.Response | None]]
KEPT = ("Authorization", "Content-Type")


class Wire:
    """Passes requests on; `fault` may answer one instead, and the answers to a path may be lost.

    `asked` lists every request by method and path.
    """

    def __init__(self, target: str) -> None:
        self.url = ""
        self.fault: Fault | None = None
        self.lose_answers_to: str | None = None
        self.asked: list[str] = []
        self._target = target
        self._session = ClientSession(timeout=ClientTimeout(total=60))

    async def handle(self, request: web.Request) -> web.Response:
        self.asked.append(f"{request.method} {request.path}")
        body = await request.read()
        if self.fault is not None and (answer := await self.fault(request)) is not None:
            return answer
        headers = {name: request.headers[name] for name in KEPT if name in request.headers}
        url = self._target + request.raw_path
        async with self._session.request(request.method, url, data=body, headers=headers) as passed:
            if self.lose_answers_to is not None and self.lose_answers_to in request.path:
                return web.Response(status=502, text="<html>Bad gateway</html>", content_type="text/html")
            return web.Response(status=passed.status, body=await passed.read(), content_type="application/json")

    async def close(self) -> None:
        await self._session.close()


@asynccontextmanager
async def wire(target: str) -> AsyncIterator[Wire]:
    """A wire to the homeserver at `target`."""
    line = Wire(target)
    app = web.Application(client_max_size=10_000_000)
    app.router.add_route("*", "/{path:.*}", line.handle)
    runner = web.AppRunner(app, access_log=None, shutdown_timeout=0.1, handler_cancellation=True)
    await runner.setup()
    site = web.TCPSite(runner, "127.0.0.1", 0)
    await site.start()
    line.url = f"http://127.0.0.1:{runner.addresses[0][1]}"
    try:
        yield line
    finally:
        await runner.cleanup()
        await line.close()


def broken(*parts: str, times: int | None = None, status: int = 502) -> Fault:
    """A fault for paths with all these parts: a proxy's page and no Matrix error, so often or always."""
    left = [times]

    async def fault(request: web.Request) -> web.Response | None:
        if not all(part in request.path for part in parts) or left[0] == 0:
            return None
        if left[0] is not None:
            left[0] -= 1
        return web.Response(status=status, text="<html>Bad gateway</html>", content_type="text/html")

    return fault


def hanging(*parts: str) -> Fault:
    """A fault for paths that contain all the parts: no answer at all."""

    async def fault(request: web.Request) -> web.Response | None:
        if all(part in request.path for part in parts):
            await asyncio.sleep(3600)
        return None

    return fault
