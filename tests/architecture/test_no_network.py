"""No test reaches the network, and an event loop still runs."""

from __future__ import annotations

import asyncio
import socket

import pytest


def test_a_socket_is_refused() -> None:
    with pytest.raises(AssertionError, match="network"):
        socket.socket()
    with pytest.raises(AssertionError, match="network"):
        socket.create_connection(("localhost", 9))


def test_an_event_loop_still_wakes_itself_up() -> None:
    async def done() -> int:
        return await asyncio.to_thread(lambda: 3)

    assert asyncio.run(done()) == 3
