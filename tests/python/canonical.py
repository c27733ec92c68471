"""Canonical CBOR, the one way of writing JSON, and strict Ed25519, as fixtures/formats tells them."""

import functools
import json
import math
import struct

from nacl.exceptions import BadSignatureError
from nacl.signing import VerifyKey

MAX_DEPTH = 16
MAX_WHOLE = 2**53 - 1


class Refused(Exception):
    """Bytes that the formats do not allow."""


# ---- CBOR (facts.md, "Canonical bytes") ----


def first_item(data, at=0, depth=0):
    """Where the canonical item that begins at `at` ends."""
    if depth > MAX_DEPTH:
        raise Refused("nested too deeply")
    if at >= len(data):
        raise Refused("the bytes end too early")
    major, info = data[at] >> 5, data[at] & 31
    if major == 7:
        return _simple(data, at, info)
    argument, at = _argument(data, at + 1, info)
    if major in (0, 1):
        return at
    if major in (2, 3):
        end = at + argument
        if end > len(data):
            raise Refused("the bytes end too early")
        if major == 3:
            try:
                data[at:end].decode("utf-8")
            except UnicodeDecodeError as why:
                raise Refused("text that is not UTF-8") from why
        return end
    if major == 4:
        last = None
        for _ in range(argument):
            last = data[at : at + 1]
            at = first_item(data, at, depth + 1)
        if last == b"\xf6":
            raise Refused("an absent member at the end that is not left out")
        return at
    if major == 5:
        before = None
        for _ in range(argument):
            key_end = first_item(data, at, depth + 1)
            key = data[at:key_end]
            if before is not None and before >= key:
                raise Refused("map keys out of order or twice")
            before = key
            at = first_item(data, key_end, depth + 1)
        return at
    raise Refused("a tag")


def _argument(data, at, info):
    if info < 24:
        return info, at
    width, least = {24: (1, 24), 25: (2, 2**8), 26: (4, 2**16), 27: (8, 2**32)}.get(info, (0, 0))
    if not width or at + width > len(data):
        raise Refused("a length that is none")
    value = int.from_bytes(data[at : at + width], "big")
    if value < least:
        raise Refused("a number not in its shortest form")
    return value, at + width


def _simple(data, at, info):
    if info in (20, 21, 22):
        return at + 1
    width = {25: 2, 26: 4, 27: 8}.get(info)
    if width is None or at + 1 + width > len(data):
        raise Refused("a simple value that is not used here")
    found = data[at + 1 : at + 1 + width]
    value = struct.unpack({2: ">e", 4: ">f", 8: ">d"}[width], found)[0]
    if not math.isfinite(value) or (value == 0 and math.copysign(1, value) < 0):
        raise Refused("a number that is not finite, or a negative zero")
    for shorter in (">e", ">f"):
        if struct.calcsize(shorter) < width and _keeps(shorter, value):
            raise Refused("a number not in its shortest form")
    return at + 1 + width


def _keeps(form, value):
    try:
        return struct.unpack(form, struct.pack(form, value))[0] == value
    except OverflowError:
        return False


def check_whole(data):
    """Refuses bytes that are not exactly one canonical item."""
    if first_item(data) != len(data):
        raise Refused("bytes follow the item")


def encode(item):
    """An item as it was written, after it was read from canonical bytes."""
    if isinstance(item, (list, tuple)):
        return _head(4, len(item)) + b"".join(map(encode, item))
    if isinstance(item, dict):
        pairs = (encode(key) + encode(value) for key, value in item.items())
        return _head(5, len(item)) + b"".join(pairs)
    if isinstance(item, bytes):
        return _head(2, len(item)) + item
    if isinstance(item, str):
        return _head(3, len(item.encode())) + item.encode()
    if isinstance(item, float):
        form = next(form for form in (">e", ">f", ">d") if _keeps(form, item))
        return bytes([0xF8 + ">e>f>d".index(form) // 2 + 1]) + struct.pack(form, item)
    if isinstance(item, int) and not isinstance(item, bool):
        return _head(0, item) if item >= 0 else _head(1, -1 - item)
    return {False: b"\xf4", True: b"\xf5", None: b"\xf6"}[item]


def _head(major, argument):
    if argument < 24:
        return bytes([major << 5 | argument])
    width, info = next((2**n, 24 + n) for n in range(4) if argument < 2 ** (8 * 2**n))
    return bytes([major << 5 | info]) + argument.to_bytes(width, "big")


# ---- JSON (pack.md, section 3) ----


def number_text(number):
    """A finite float as ECMAScript writes it."""
    if number == 0:
        return "0"
    sign = "-" if number < 0 else ""
    form = f"{abs(number)!r}" if "e" in repr(abs(number)) else f"{abs(number)!r}e0"
    mantissa, exponent = form.split("e")
    whole, _, rest = mantissa.partition(".")
    rest = "" if rest == "0" else rest
    digits = (whole + rest).lstrip("0")
    point = len(whole) + int(exponent) - (len(whole + rest) - len(digits))
    digits = digits.rstrip("0")
    count = len(digits)
    if count <= point <= 21:
        return sign + digits + "0" * (point - count)
    if 0 < point <= 21:
        return f"{sign}{digits[:point]}.{digits[point:]}"
    if -6 < point <= 0:
        return f"{sign}0.{'0' * -point}{digits}"
    dot = "." if count > 1 else ""
    return f"{sign}{digits[0]}{dot}{digits[1:]}e{point - 1:+d}"


def json_text(value):
    """A value in the one way of writing."""
    return _written(value, "\n") + "\n"


def _written(value, line):
    inner = line + " "
    if isinstance(value, dict) and value:
        members = (f"{_quoted(name)}: {_written(value[name], inner)}" for name in sorted(value))
        return "{" + inner + f",{inner}".join(members) + line + "}"
    if isinstance(value, list) and value:
        return "[" + inner + f",{inner}".join(_written(item, inner) for item in value) + line + "]"
    if isinstance(value, float):
        return number_text(value)
    if isinstance(value, int) and not isinstance(value, bool) and abs(value) > MAX_WHOLE:
        raise Refused("a number above 2^53 - 1")
    return _quoted(value) if isinstance(value, str) else json.dumps(value)


def _quoted(text):
    return json.dumps(text, ensure_ascii=False)


def json_value(data):
    """Any JSON."""

    def no_constant(name):
        raise ValueError(name)

    try:
        return json.loads(data.decode("utf-8"), parse_constant=no_constant)
    except (ValueError, RecursionError) as why:
        raise Refused(f"no JSON: {why}") from why


def json_in_one_way(data):
    """JSON that must be written in the one way."""
    value = json_value(data)
    try:
        same = json_text(value).encode("utf-8") == data
    except (UnicodeEncodeError, OverflowError, RecursionError) as why:
        raise Refused("text that cannot be written") from why
    if not same:
        raise Refused("JSON that is not written in the one way")
    return value


# ---- Ed25519 (facts.md, "The signature") ----

_P = 2**255 - 19
_D = -121665 * pow(121666, -1, _P) % _P


@functools.cache
def usable_key(key):
    """Whether 32 bytes are a point of the curve that is not of small order."""
    number = int.from_bytes(key, "little")
    y, odd = (number & (2**255 - 1)) % _P, number >> 255
    square = (y * y - 1) * pow(_D * y * y + 1, -1, _P) % _P
    x = pow(square, (_P + 3) // 8, _P)
    if (x * x - square) % _P:
        x = x * pow(2, (_P - 1) // 4, _P) % _P
    if (x * x - square) % _P:
        return False
    x = _P - x if x & 1 != odd else x
    for _ in range(3):
        cross = _D * x * x * y * y % _P
        x, y = (
            2 * x * y * pow(1 + cross, -1, _P) % _P,
            (y * y + x * x) * pow(1 - cross, -1, _P) % _P,
        )
    return (x, y) != (0, 1)


def signed_by(key, message, signature):
    """Whether the signature is this key's over the message."""
    if len(key) != 32 or len(signature) != 64 or not usable_key(key):
        return False
    try:
        VerifyKey(key).verify(message, signature)
    except BadSignatureError:
        return False
    return True
