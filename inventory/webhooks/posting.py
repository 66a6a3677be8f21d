"""One request to a webhook: signed, short, to where its address says and nowhere else.

A webhook's address is somebody's wish, and the shop's own network is nobody's business: what an address
leads to is looked at once the connection stands, and nothing is sent to an address inside. So a name that
leads elsewhere the second time it is asked for gains nothing.
"""

from __future__ import annotations

import json
import socket
from datetime import UTC, datetime
from http import HTTPStatus
from ipaddress import IPv4Address, IPv6Address, ip_address
from typing import Any, cast
from urllib.parse import urlsplit

import requests
import standardwebhooks
from django.conf import settings
from requests.adapters import HTTPAdapter
from urllib3.connection import HTTPConnection, HTTPSConnection
from urllib3.connectionpool import HTTPConnectionPool, HTTPSConnectionPool

from inventory.models import WebhookMessage

CONNECTED_WITHIN_S, ANSWERED_WITHIN_S = 5, 15
GONE = HTTPStatus.GONE


class Refused(Exception):
    """The address is none that is written to."""


def post(message: WebhookMessage, now: datetime) -> tuple[int, str]:
    """Send it; the status of the answer, 0 without one, and what it says. Redirects are not followed."""
    url = message.webhook.url
    data = json.dumps(message.body, separators=(",", ":"), ensure_ascii=False)
    try:
        check_address(url)
        with requests.Session() as session:
            session.trust_env = False
            session.mount("http://", _Adapter())
            session.mount("https://", _Adapter())
            answer = session.post(
                url,
                data=data.encode(),
                headers=headers(message, data, now),
                timeout=(CONNECTED_WITHIN_S, ANSWERED_WITHIN_S),
                allow_redirects=False,
                stream=True,
            )
            answer.close()
    except Refused as error:
        return 0, str(error)
    except Exception as error:  # noqa: BLE001  # One webhook, whatever is wrong with it, keeps none from others.
        return 0, f"{type(error).__name__}: {error}"
    return answer.status_code, f"{answer.status_code} {answer.reason or ''}".strip()


def headers(message: WebhookMessage, data: str, now: datetime) -> dict[str, str]:
    """What the specification asks for; the id is the same for every try, the time is that of this one."""
    at = now.astimezone(UTC)
    signature = standardwebhooks.Webhook(message.webhook.secret).sign(message.name, at, data)
    return {
        "Content-Type": "application/json",
        "User-Agent": "Shimwright",
        "webhook-id": message.name,
        "webhook-timestamp": str(int(at.timestamp())),
        "webhook-signature": signature,
    }


def check_address(url: str) -> None:
    """Raises Refused unless it is http or https, with a host and without a password."""
    parts = urlsplit(url)
    if parts.scheme not in {"http", "https"} or not parts.hostname or parts.username or parts.password:
        raise Refused("A webhook is http:// or https://, a host, and no password.")


def is_outside(address: str) -> bool:
    """Is it an address of the open net, however it is written?"""
    found = ip_address(address.partition("%")[0])
    if isinstance(found, IPv6Address):
        inner = found.ipv4_mapped or found.sixtofour or _translated(found)
        if inner is not None:
            found = inner
    return found.is_global and not found.is_multicast


def _translated(address: IPv6Address) -> IPv4Address | None:
    """The IPv4 address within 64:ff9b::/96 (RFC 6052)."""
    return IPv4Address(address.packed[-4:]) if address.packed[:12] == b"\0\x64\xff\x9b" + b"\0" * 8 else None


def _outward(connected: socket.socket) -> socket.socket:
    peer = connected.getpeername()[0]
    if not settings.SHOP_WEBHOOKS_INSIDE and not is_outside(peer):
        connected.close()
        raise Refused("The address leads inside our own network: SHIMWRIGHT_WEBHOOKS_INSIDE would allow it.")
    return connected


class _Connection(HTTPConnection):
    def _new_conn(self) -> socket.socket:
        return _outward(super()._new_conn())


class _SecureConnection(HTTPSConnection):
    def _new_conn(self) -> socket.socket:
        return _outward(super()._new_conn())


class _Pool(HTTPConnectionPool):
    ConnectionCls = cast("Any", _Connection)


class _SecurePool(HTTPSConnectionPool):
    ConnectionCls = cast("Any", _SecureConnection)


class _Adapter(HTTPAdapter):
    def init_poolmanager(self, *args: Any, **kwargs: Any) -> None:
        super().init_poolmanager(*args, **kwargs)
        self.poolmanager.pool_classes_by_scheme = {"http": _Pool, "https": _SecurePool}
