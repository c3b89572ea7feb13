"""Addresses of the room Test: its forms, each of which works by itself, and the live stream."""

from __future__ import annotations

import asyncio
from collections.abc import Awaitable, Callable, Mapping
from ipaddress import ip_address
from typing import TYPE_CHECKING, Any, cast

from starlette.requests import Request
from starlette.responses import JSONResponse, RedirectResponse, Response
from starlette.routing import BaseRoute, Route, WebSocketRoute

from hollowglow.messages.errors import HollowglowError
from hollowglow.messages.refusal import FormError, Refusal
from hollowglow.net.addresses import check_interface, target
from hollowglow.net.packets.packet import PORT
from hollowglow.show.walk import SORTS
from hollowglow.web.page.frame import Said, page
from hollowglow.web.page.rooms import room_at
from hollowglow.web.rooms.test.lighting import Lighting, Wanted
from hollowglow.web.words import of_error

if TYPE_CHECKING:
    from starlette.websockets import WebSocket

    from hollowglow.web.rooms.test.listening import Listening
    from hollowglow.web.rooms.test.stream import GlowStream

AT = "/test"
_ID = "0123456789abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ-"
_LONGEST = 200
Form = Mapping[str, str]
Act = Callable[[Request, Form], Awaitable[str]]


def test_routes() -> list[BaseRoute]:
    """Return the routes.

    The application's state holds `desk`, `lighting`, `listening` and `glow`, and in `test_page` what makes the page
    that answers a form, with the arguments of `pages.page`, where that is not the workbench's own.
    """
    posts = {
        "start": start, "stop": stop, "move": move, "light": light, "answer": answer, "read": read, "blackout": blackout,
        "listen": listen, "listen/stop": listen_stop,
    }  # fmt: skip
    return [
        *(Route(f"{AT}/{name}", _posted(act), methods=["POST"]) for name, act in posts.items()),
        Route(f"{AT}/places.json", places),
        WebSocketRoute(f"{AT}/glow", glow),
    ]


def _posted(act: Act) -> Callable[[Request], Awaitable[Response]]:
    async def posted(request: Request) -> Response:
        form = {key: value for key, value in (await request.form()).items() if isinstance(value, str)}
        try:
            words = await act(request, form)
        except FormError as error:
            return await _page(request, Said(error.fields, typed=form), 422)
        except HollowglowError as error:
            return await _page(request, Said({}, of_error(error), typed=form), 422)
        return await _page(request, Said({}, "", words), 200) if words else RedirectResponse(AT, 303)

    return posted


async def _page(request: Request, said: Said, status: int) -> Response:
    await _session(request).look()
    made: Response = getattr(request.app.state, "test_page", page)(
        request, request.app.state.desk, room_at("test"), said, status, query=""
    )
    return made


def _session(request: Request) -> Lighting:
    return cast("Lighting", request.app.state.lighting)


def _listening(request: Request) -> Listening:
    return cast("Listening", request.app.state.listening)


def number(text: str, key: str, what: str, low: float, high: float) -> float:
    """Return a number that was typed, with or without a percent sign.

    Raises:
        FormError: for the field of the key, where it is none between the two.
    """
    try:
        value = float(text.replace("%", "").replace(",", ".").strip())
    except ValueError:
        value = float("nan")
    if not low <= value <= high:
        words = f'{what}: found "{text.strip()[:40]}", expected a number from {low:g} to {high:g}.'
        raise FormError({key: words})
    return value


async def _checked(key: str, check: Callable[..., object], *typed: object) -> None:
    """Raise FormError for the field of the key where a check refuses what was typed there; a name may take a while."""
    try:
        await asyncio.to_thread(check, *typed)
    except Refusal as error:
        raise FormError({key: of_error(error)}) from None


async def start(request: Request, form: Form) -> str:
    """Begin to send to the address that was typed."""
    away = form.get("away", "").strip()
    only = form.get("only", "")
    wanted = Wanted(
        to=form.get("to", ""),
        percent=number(form.get("percent") or "100", "percent", "Brightness, %", 1.0, 100.0),
        only=next((sort for sort in SORTS if sort == only), None),
        yes_public=form.get("yes-public") == "yes",
        interface=form.get("interface", "").strip() or None,
        away_s=60.0 * number(away, "away", "Minutes", 0.5, 1440.0) if away else None,
    )
    await _checked("to", target, wanted.to, wanted.yes_public)
    if wanted.interface is not None:
        await _checked("interface", check_interface, wanted.interface)
    await _session(request).start(wanted)
    return ""


async def stop(request: Request, _form: Form) -> str:
    """Make everything dark and end the stream."""
    was = _session(request).sending
    await _session(request).stop()
    return "Everything is dark; nothing is sent any more." if was else ""


async def move(request: Request, form: Form) -> str:
    """Go to another step, or make this one dark or lit."""
    await _session(request).move(form.get("verb", ""), form.get("to", ""))
    return ""


async def light(request: Request, form: Form) -> str:
    """Light one thing instead of the step."""
    percent = number(form.get("percent") or "30", "percent", "Brightness, %", 1.0, 100.0)
    await _session(request).light(form.get("what", ""), form.get("colour") or "white", percent)
    return ""


async def answer(request: Request, form: Form) -> str:
    """Keep an answer; its id makes a second posting harmless."""
    made_id = form.get("id", "")
    if not (8 <= len(made_id) <= 64 and all(c in _ID for c in made_id)):
        raise Refusal("The answer has no id of its own. Load the page again and answer once more.")
    tapped = "".join(form.get(f"seen{place}", "") for place in range(1, 5))
    seen = form.get("seen", "").strip() or (tapped if len(tapped) == 4 else "")
    said = form.get("answer", "")
    if said == "seen":
        if not seen:
            raise Refusal("Tap one colour in each of the four rows, or type four letters such as grbw.")
        said = "wrong colour"
    else:
        seen = ""
    made = await _session(request).answer(made_id, said, form.get("step", ""), seen, form.get("note", "")[:_LONGEST])
    kept = f"{made['target']}: {made['answer']}{' (' + made['seen'] + ')' if made['seen'] else ''}, kept."
    return f"{kept} {made['means']}".strip()


async def read(request: Request, form: Form) -> str:
    """Tell which prop shows its number so."""
    return await _session(request).do(lambda session: session.walk.read_code(form.get("code", "")))


async def blackout(request: Request, form: Form) -> str:
    """Send a blackout to where a run that was cut off left lights on."""
    await _session(request).blackout(form.get("yes-public") == "yes")
    return "A blackout was sent there."


async def listen(request: Request, form: Form) -> str:
    """Begin to listen to a show."""
    port = number(form.get("port") or str(PORT), "port", "UDP port", 1, 65535)
    sort = form.get("from", "")
    origin = form.get("address", "").strip() if sort == "address" else "multicast" if sort == "multicast" else ""
    if sort == "address":
        try:
            ip_address(origin)
        except ValueError:
            found = f'found "{origin[:40]}", ' if origin else ""
            raise FormError(
                {"address": f"Address of the sender: {found}expected an IP address, such as 192.168.1.20."}
            ) from None
    await _listening(request).start(origin, int(port))
    return ""


async def listen_stop(request: Request, _form: Form) -> str:
    """Listen no more."""
    await _listening(request).stop()
    return ""


async def places(request: Request) -> Response:
    """Answer with where the cells are."""
    made: dict[str, Any] = await cast("GlowStream", request.app.state.glow).places()
    return JSONResponse(made)


async def glow(socket: WebSocket) -> None:
    """Stream the colours of all cells."""
    await cast("GlowStream", socket.app.state.glow).stream(socket)
