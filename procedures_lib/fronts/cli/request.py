"""What a client asks of the server: of which host, for which path."""

from __future__ import annotations

import ipaddress
import re
from dataclasses import dataclass
from urllib.parse import unquote_to_bytes

_HOST = re.compile(r"(?:\[([^\[\]]*)\]|([^\[\]:@/\\]*))(?::\d{0,5})?")


def is_loopback(host: str) -> bool:
    """Tell whether a host is this machine: ``localhost``, ``127.…`` or ``::1``."""
    if host.lower() == "localhost":
        return True
    try:
        return ipaddress.ip_address(host).is_loopback
    except ValueError:
        return False


def is_here(host: str | None) -> bool:
    """Tell whether a ``Host`` header names this machine; a client may send none (HTTP/1.0)."""
    named = _HOST.fullmatch("localhost" if host is None else host)
    return named is not None and is_loopback(named[1] or named[2] or "")


def path_of(target: str) -> str | None:
    """Return the path that a request is for, decoded; None if no file of a site has such a one."""
    try:
        path = unquote_to_bytes(target.partition("?")[0]).decode("utf-8")
    except UnicodeDecodeError:
        return None
    if not path.startswith("/") or "\\" in path or not path.isprintable():
        return None
    *folders, last = path[1:].split("/")
    odd = not all(folders) or any(name.startswith(".") for name in [*folders, last])
    return None if odd else path


@dataclass(frozen=True, slots=True)
class Request:
    """What a client asks: a method, a target, and two headers, None where they are missing."""

    method: str
    target: str
    host: str | None = None
    since: str | None = None
