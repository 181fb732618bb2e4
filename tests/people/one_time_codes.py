"""Codes as an authenticator app makes them, written after the standard, not with our library."""

import hashlib
import hmac
import struct


def time_based_code(secret: bytes, at: float, digits: int = 6) -> str:
    """Compute the code of a moment (RFC 6238, section 4; RFC 4226, section 5.3)."""
    mac = hmac.new(secret, struct.pack(">Q", int(at) // 30), hashlib.sha1).digest()
    start = mac[-1] & 0x0F
    number = struct.unpack(">I", mac[start : start + 4])[0] & 0x7FFFFFFF
    return str(number % 10**digits).zfill(digits)
