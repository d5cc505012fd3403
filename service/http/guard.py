"""Who may come in: every address says who may call it, and one that says nothing is closed."""

import re
from collections.abc import Callable
from typing import Any, TypeVar

from flask import current_app, g, request

from events.envelope import Role
from service.desk import keys
from service.desk.caller import Caller
from service.http.here import desk
from service.http.problems import Unwell, problem

View = TypeVar("View", bound=Callable[..., Any])
DEVICE_HEADER = "Ringfold-Device"
DEVICE = r"^[!-~]([ -~]{0,62}[!-~])?$"
_CHALLENGE = {"WWW-Authenticate": 'Bearer realm="ringfold"'}
_OPEN_TO = "open_to"
ANYONE: frozenset[Role] = frozenset()
"""No key is asked for."""


def open_to(view: View, roles: frozenset[Role]) -> View:
    """The view, which says of itself that only these roles may call it; none: anyone may."""
    setattr(view, _OPEN_TO, roles)
    return view


def declared(view: Callable[..., Any] | None) -> frozenset[Role] | None:
    """Who a view says may call it; ``None`` where it says nothing."""
    roles: frozenset[Role] | None = getattr(view, _OPEN_TO, None)
    return roles


def check_caller() -> None:
    """Let nobody pass whom the view has not let in; runs before every request."""
    if request.endpoint is None or request.method == "OPTIONS":
        return
    roles = declared(current_app.view_functions.get(request.endpoint))
    if roles == ANYONE and roles is not None:
        return
    g.caller = _recognised()
    if roles is None or g.caller.role not in roles:
        allowed = ", ".join(sorted(roles or ())) or "nobody"
        raise Unwell(
            problem(
                "role_not_allowed",
                f"A key with the role {g.caller.role} may not do this; it is for: {allowed}.",
                rule="every address names the roles it is open to",
                facts={"role": g.caller.role},
            )
        )


def caller() -> Caller:
    """Whoever sent the request."""
    known: Caller = g.caller
    return known


def _recognised() -> Caller:
    scheme, _, presented = request.headers.get("Authorization", "").partition(" ")
    if not scheme:
        raise Unwell(problem("key_missing"), _CHALLENGE)
    known = None
    if scheme.lower() == "bearer" and presented.isascii():
        known = keys.recognise(desk(), presented.strip(), _device())
    if known is None:
        raise Unwell(
            problem("key_unknown"),
            {"WWW-Authenticate": f'{_CHALLENGE["WWW-Authenticate"]}, error="invalid_token"'},
        )
    return known


def _device() -> str | None:
    device = request.headers.get(DEVICE_HEADER)
    if device is not None and not re.fullmatch(DEVICE, device):
        raise Unwell(
            problem(
                "header_unreadable",
                "A device is named by at most 64 plain characters.",
                field=DEVICE_HEADER,
            )
        )
    return device
