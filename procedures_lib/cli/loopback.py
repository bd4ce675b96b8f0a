"""Which names and addresses are this machine's alone."""

from __future__ import annotations

import ipaddress


def is_loopback(host: str) -> bool:
    """Tell whether a host is this machine: ``localhost``, ``127.…`` or ``::1``."""
    if host.lower() == "localhost":
        return True
    try:
        return ipaddress.ip_address(host).is_loopback
    except ValueError:
        return False
