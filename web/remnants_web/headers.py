"""What every answer tells the browser about itself. No inline script or style, no framing, nothing from elsewhere."""

from flask import Flask, request
from werkzeug.wrappers import Response

from remnants_web.access import signed_in
from remnants_web.shop import settings

__all__ = ["CONTENT_POLICY", "add_headers"]

CONTENT_POLICY = "; ".join(
    (
        "default-src 'none'",
        "script-src 'self'",
        "style-src 'self'",
        "img-src 'self' blob: data:",
        "connect-src 'self'",
        "manifest-src 'self'",
        "worker-src 'self'",
        "form-action 'self'",
        "base-uri 'none'",
        "frame-ancestors 'none'",
    )
)

_ALWAYS = {
    "Content-Security-Policy": CONTENT_POLICY,
    "X-Content-Type-Options": "nosniff",
    "X-Frame-Options": "DENY",
    "Referrer-Policy": "same-origin",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Permissions-Policy": "camera=(self), geolocation=(), microphone=(), payment=(), usb=()",
}


def add_headers(app: Flask) -> None:
    """Adds them to each answer, errors too."""
    app.after_request(_added)


def _added(response: Response) -> Response:
    for name, value in _ALWAYS.items():
        response.headers.setdefault(name, value)
    if settings().https:
        response.headers["Strict-Transport-Security"] = "max-age=31536000; includeSubDomains"
    if request.endpoint != "static" and "Cache-Control" not in response.headers:
        response.headers["Cache-Control"] = "no-store"
    session = signed_in()
    if session is not None and request.endpoint != "static":
        response.headers["Remnants-Session"] = str(session.number)
    if request.path.startswith("/api/"):
        response.headers["Content-Disposition"] = 'attachment; filename="api.json"'
    response.headers.pop("Server", None)
    return response
