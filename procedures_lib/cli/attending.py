"""One client of the server: its request read, its answer sent, each within a time."""

from __future__ import annotations

import asyncio
import socket
from email.utils import formatdate
from http import HTTPStatus
from typing import TYPE_CHECKING

import click
import h11

from procedures_lib.cli.answers import HEADERS, Request, refusal

if TYPE_CHECKING:
    from procedures_lib.cli.answers import Answer, Answers

HEAD_BYTES = 16_384
"""How long the head of a request may be."""

HEAD_SECONDS = 10.0
"""How long a client may take for the head of its request."""

BODY_SECONDS = 60.0
"""How long a client may take to read its answer."""

_LINGER_SECONDS = 2.0
_CHUNK = 65_536


async def attend(answers: Answers, client: socket.socket) -> None:
    """Answer one request of a client. Whoever calls closes the socket, which doesn't block.

    A client that goes away or takes too long gets no answer, and that is all that comes of it.
    """
    connection = h11.Connection(h11.SERVER, max_incomplete_event_size=HEAD_BYTES)
    try:
        async with asyncio.timeout(HEAD_SECONDS):
            asked = await _head(connection, client)
        if asked is None:
            return
        answer = _answer(answers, asked)
        bare = isinstance(asked, h11.Request) and asked.method == b"HEAD"
        async with asyncio.timeout(BODY_SECONDS):
            await _send(connection, client, answer, bare=bare)
        async with asyncio.timeout(_LINGER_SECONDS):
            await _until_gone(client)
    except OSError:  # timeouts too
        return
    except Exception as error:
        _tell(error)


def _tell(error: Exception) -> None:
    """Print a fault of the server in one line; it goes on serving."""
    click.echo(f"procedures: a fault of the server: {type(error).__name__}: {error}", err=True)


async def _head(
    connection: h11.Connection, client: socket.socket
) -> h11.Request | h11.RemoteProtocolError | None:
    """The head of a request, or what is wrong with it; None if the client went away."""
    receive = asyncio.get_running_loop().sock_recv
    try:
        while (event := connection.next_event()) is h11.NEED_DATA:
            connection.receive_data(await receive(client, HEAD_BYTES))
    except h11.RemoteProtocolError as error:
        return error
    return event if isinstance(event, h11.Request) else None


def _answer(answers: Answers, asked: h11.Request | h11.RemoteProtocolError) -> Answer:
    if isinstance(asked, h11.RemoteProtocolError):
        return refusal(HTTPStatus(asked.error_status_hint), "This is no request that can be read")
    said = {name.decode("latin-1"): value.decode("latin-1") for name, value in asked.headers}
    method, target = asked.method.decode("ascii"), asked.target.decode("ascii")
    return answers.to(Request(method, target, said.get("host"), said.get("if-modified-since")))


async def _send(
    connection: h11.Connection, client: socket.socket, answer: Answer, *, bare: bool
) -> None:
    """Send an answer, a piece at a time, as fast as the client reads; ``bare``: the head alone."""
    send = asyncio.get_running_loop().sock_sendall
    date = ("Date", formatdate(usegmt=True))
    head = h11.Response(
        status_code=answer.status,
        reason=answer.status.phrase,
        headers=[date, *HEADERS, *answer.headers],
    )
    with answer.body as body:
        await send(client, connection.send(head) or b"")
        left = 0 if bare else answer.size
        while chunk := body.read(min(left, _CHUNK)):
            left -= len(chunk)
            await send(client, chunk)
            await asyncio.sleep(0)  # the others' turn


async def _until_gone(client: socket.socket) -> None:
    """Say that this was all, and read the rest: closed before that, the answer may be lost."""
    client.shutdown(socket.SHUT_WR)
    while await asyncio.get_running_loop().sock_recv(client, _CHUNK):
        await asyncio.sleep(0)  # the others' turn
