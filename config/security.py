"""What a page may load and use. Every script and style is a file of ours; nothing is inline."""

from csp.constants import NONE, SELF

CONTENT_SECURITY_POLICY = {
    "DIRECTIVES": {
        "default-src": [NONE],
        "script-src": [SELF],
        "style-src": [SELF],
        "img-src": [SELF, "data:"],
        "font-src": [SELF],
        "connect-src": [SELF],
        "manifest-src": [SELF],
        "worker-src": [SELF],
        "form-action": [SELF],
        "base-uri": [NONE],
        "frame-ancestors": [NONE],
        "object-src": [NONE],
    }
}

PERMISSIONS_POLICY = {
    "camera": ["self"],
    "geolocation": [],
    "microphone": [],
    "payment": [],
    "usb": [],
}
