"""What each kind of fact records (fixtures/formats/kinds.md and values.md).

Each reader here takes a decoded CBOR item, refuses what breaks a rule, and gives the item as JSON.
"""

import datetime
import itertools
import math
import re
import unicodedata

import cbor2

from canonical import MAX_WHOLE, Refused, check_whole, encode

END_OF_TIME = 253_370_764_800_000


def need(holds, what):
    if not holds:
        raise Refused(what)


class Shape:
    """An array of named members; `None` as a member's default means that it must be there."""

    more_found = False

    def __init__(self, *members):
        self.members = [(name, reader, optional) for name, reader, optional in map(_member, members)]
        must = [index for index, (_, _, optional) in enumerate(self.members) if not optional]
        self.least = must[-1] + 1 if must else 0

    def __call__(self, item):
        need(isinstance(item, list) and len(item) >= self.least, "members are missing")
        if len(item) > len(self.members):
            Shape.more_found = True
        read = {}
        for index, (name, reader, optional) in enumerate(self.members):
            value = item[index] if index < len(item) else None
            read[name] = None if optional and value is None else reader(value)
        return read


def _member(member):
    name, reader = member
    return (name[:-1], reader, True) if name.endswith("?") else (name, reader, False)


def whole(least=0, most=MAX_WHOLE):
    def read(item):
        need(type(item) is int and least <= item <= most, f"no number from {least} to {most}")
        return item

    return read


def fixed(length):
    def read(item):
        need(isinstance(item, bytes) and len(item) == length, f"not {length} bytes")
        return item.hex()

    return read


def words(most):
    def read(item):
        need(isinstance(item, str) and 1 <= len(item.encode()) <= most, "no words, or too long")
        need(all(c in "\t\n\r" or unicodedata.category(c) != "Cc" for c in item), "control characters")
        return item

    return read


def pattern(form):
    def read(item):
        need(isinstance(item, str) and re.fullmatch(form, item, re.ASCII) is not None, f"not like {form}")
        return item

    return read


def many(reader, most=100, least=0):
    def read(item):
        need(isinstance(item, list) and least <= len(item) <= most, "no list, or too long")
        return [reader(member) for member in item]

    return read


def name(item):
    need(isinstance(item, str) and not set("\t\n\r") & set(item), "more than one line")
    return words(200)(item)


def real(item):
    need(type(item) is float and math.isfinite(item), "no number with a fraction")
    return item


def within(most):
    def read(item):
        need(-most <= real(item) <= most, "not on the earth")
        return item

    return read


def distance(item):
    need(real(item) >= 0, "a negative distance")
    return item


def boolean(item):
    need(isinstance(item, bool), "neither yes nor no")
    return item


def date(item):
    need(isinstance(item, str) and re.fullmatch(r"[1-9]\d{3}-\d\d-\d\d", item, re.ASCII), "no date")
    need(item[:4] != "9999", "a date too late")
    try:
        datetime.date.fromisoformat(item)
    except ValueError as why:
        raise Refused("no day of the calendar") from why
    return item


def amount(item):
    pattern(r"-?(0|[1-9][0-9]{0,11})(\.[0-9]{1,4})?")(item)
    need(not (item.startswith("-") and set(item) <= set("-0.")), "a negative zero")
    return item


def ids(least=0):
    def read(item):
        read = many(DIGEST, 1000, least)(item)
        need(all(a < b for a, b in itertools.pairwise(read)), "ids out of order or twice")
        return read

    return read


def moment(item):
    need(isinstance(item, list) and len(item) == 2, "no moment")
    utc, offset = whole(0, END_OF_TIME - 1)(item[0]), OFFSET(item[1])
    local = datetime.datetime(1970, 1, 1) + datetime.timedelta(milliseconds=utc, minutes=offset)
    sign, shift = "-" if offset < 0 else "+", abs(offset)
    text = f"{local:%Y-%m-%dT%H:%M:%S}.{local.microsecond // 1000:03}{sign}{shift // 60:02}:{shift % 60:02}"
    return {"local": text, "offset_min": offset, "utc_ms": utc}


def address(asks, instances=False):
    """An address of an ask, of an instance, or of either."""

    def read(item):
        need(isinstance(item, list) and len(item) == 2 and isinstance(item[1], list), "no address")
        ask, path = item
        need(all(isinstance(step, list) and len(step) == 2 for step in path) and len(path) <= 8, "no path")
        steps = [f"{PLAIN(of)}:{whole(1, 9_999)(number)}" for of, number in path]
        if ask == "" and instances:
            need(steps, "an address of nothing")
        else:
            need(asks, "an instance with an ask")
            PLAIN(ask)
        return ask + ("@" + "/".join(steps) if steps else "")

    return read


def local_time(item):
    need(isinstance(item, str) and len(item) == 19 and item[10] == "T", "no time")
    date(item[:10])
    pattern(r"([01]\d|2[0-3]):[0-5]\d:[0-5]\d")(item[11:])
    return item


def media_type(item):
    pattern(r"[a-z0-9/.+-]{3,100}")(item)
    need(item.count("/") == 1, "no media type")
    return item


def file_name(item):
    need(not set("/\\") & set(name(item)), "a folder in the name")
    return item


def fingerprint(item):
    return f"{whole(0, 2**64 - 1)(item):016x}"


def certificate_bytes(item):
    need(isinstance(item, bytes) and 1 <= len(item) <= 1024, "no certificate")
    return item.hex()


ID16, DIGEST = fixed(16), fixed(32)
UINT32, OFFSET = whole(0, 2**32 - 1), whole(-1080, 1080)
CODE = pattern(r"[a-z0-9_.-]{1,80}")
PLAIN = pattern(r"[a-z0-9_.]{1,80}")
LANGUAGE = pattern(r"[A-Za-z0-9-]{2,35}")
CURRENCY = pattern(r"[A-Z]{3}")
REASON, TEXT, DOCUMENT = words(2_000), words(20_000), words(120_000)
ASK, INSTANCE, EITHER = address(True), address(False, True), address(True, True)
POSITION = Shape(("latitude", within(90)), ("longitude", within(180)), ("error_m?", distance))
MEASURED = Shape(
    ("typed?", REASON),
    ("unit?", name),
    ("locale?", LANGUAGE),
    ("by?", ID16),
    ("at?", moment),
    ("instrument?", name),
)


def value(item, in_list=False):
    need(isinstance(item, list) and len(item) == 2 and isinstance(item[1], list), "no value")
    sort, members = whole(0, 2**64 - 1)(item[0]), item[1]
    if sort not in VALUES:
        return {"cbor": encode(item).hex(), "type": "unknown"}
    kind, shape = VALUES[sort]
    need(not (in_list and kind == "list"), "a list in a list")
    read = shape(members)
    if kind == "span":
        length = read["end"]["utc_ms"] - read["start"]["utc_ms"]
        taps = read["taps"]
        need(length >= 0 and taps == sorted(taps) and (not taps or taps[-1] <= length), "no span")
    return read | {"type": kind}


VALUES = {
    0: ("quantity", Shape(("dimension", CODE), ("si", real))),
    1: ("choice", Shape(("choice", CODE))),
    2: ("yes_no", Shape(("yes", boolean))),
    3: ("count", Shape(("count", whole()))),
    4: ("text", Shape(("text", TEXT))),
    5: ("date", Shape(("date", date))),
    6: ("span", Shape(("start", moment), ("end", moment), ("taps", many(UINT32, 1000)))),
    7: ("money", Shape(("amount", amount), ("currency", CURRENCY))),
    8: ("place", Shape(("position", POSITION))),
    9: ("person", Shape(("person", ID16))),
    10: ("list", Shape(("values", many(lambda item: value(item, in_list=True), 1000)))),
}

ORIGINAL = Shape(
    ("digest", DIGEST), ("bytes", whole(1, 2**30)), ("media_type", media_type), ("name", file_name)
)
INSTRUMENT = Shape(("name", name), ("calibrated?", date))
PHOTO_TIME = Shape(("local", local_time), ("offset_min?", OFFSET))
GRADE = Shape(("code", CODE), ("version", UINT32), ("reasons", many(REASON)), ("best_i_can?", REASON))
NEAR = whole(-10_000, 10_000)
POINT = Shape(("x", NEAR), ("y", NEAR), ("ms", UINT32), ("pressure?", whole(0, 1000)))
EDITION = Shape(("of", name), ("edition", name))

KINDS = {
    "job_opened": Shape(
        ("label", name),
        ("address", many(REASON)),
        ("zone", pattern(r"[A-Za-z0-9/_+-]{1,200}")),
        ("position?", POSITION),
    ),
    "rules_pinned": Shape(
        ("programme", CODE), ("programme_digest", DIGEST), ("guide_digest", DIGEST), ("reason?", REASON)
    ),
    "job_linked": Shape(("other", ID16), ("reason", REASON)),
    "job_moved": Shape(("to", CODE), ("reason", REASON), ("left_safe", many(REASON))),
    "visit": Shape(
        ("visit", ID16),
        ("sort", CODE),
        ("moment", CODE),
        ("people", many(ID16)),
        ("weather?", REASON),
        ("instruments", many(INSTRUMENT)),
        ("left_safe", many(REASON)),
        ("at?", moment),
    ),
    "answered": Shape(("address", ASK), ("value", value), ("measured", MEASURED), ("visit?", ID16)),
    "instance": Shape(("address", INSTANCE), ("there", boolean), ("name?", name)),
    "photo_taken": Shape(
        ("address", ASK),
        ("original", ORIGINAL),
        ("preview?", ORIGINAL),
        ("width", whole(1, 100_000)),
        ("height", whole(1, 100_000)),
        ("taken?", PHOTO_TIME),
        ("position?", POSITION),
        ("phone_position?", POSITION),
        ("orientation", whole(1, 8)),
        ("grade?", GRADE),
        ("fingerprint?", fingerprint),
        ("tags", many(REASON)),
        ("visit?", ID16),
    ),
    "paper_added": Shape(
        ("address", ASK),
        ("original", ORIGINAL),
        ("pages?", whole(1, 2**32 - 1)),
        ("preview?", ORIGINAL),
        ("visit?", ID16),
    ),
    "signed": Shape(
        ("address", ASK),
        ("act", CODE),
        ("role", CODE),
        ("name", name),
        ("words", TEXT),
        ("language", LANGUAGE),
        ("consent_version", UINT32),
        ("strokes", many(many(POINT, 8000, 1), 1000)),
        ("covers", ids()),
        ("summary_digest", DIGEST),
        ("position?", POSITION),
        ("copy_given?", boolean),
        ("visit?", ID16),
    ),
    "figures_kept": Shape(
        ("reckoning", CODE),
        ("address", ASK),
        ("input", DOCUMENT),
        ("result", DOCUMENT),
        ("editions", many(EDITION)),
        ("from", ids()),
    ),
    "struck_out": Shape(("facts", ids(1)), ("reason", REASON)),
    "agreed": Shape(("address", ASK), ("value", value), ("reason", REASON), ("measured", MEASURED)),
    "noted": Shape(("about?", ASK), ("text", TEXT)),
    "assigned": Shape(
        ("person", ID16), ("name", name), ("role", CODE), ("licence?", name), ("licence_until?", date)
    ),
    "stop_lifted": Shape(
        ("stop", CODE), ("by", name), ("evidence", ids()), ("reason", REASON), ("address?", EITHER)
    ),
    "erased": Shape(("fact", DIGEST), ("reason", REASON), ("original?", DIGEST)),
    "claim_moved": Shape(
        ("to", CODE),
        ("on", date),
        ("pack?", DIGEST),
        ("version", whole(1, 2**32 - 1)),
        ("text?", TEXT),
        ("amount?", amount),
        ("currency?", CURRENCY),
    ),
    "library_kept": Shape(("sort", CODE), ("id", name), ("content", DOCUMENT), ("gone", boolean)),
    "device_certified": Shape(("certificate", certificate_bytes)),
    "device_revoked": Shape(("device", ID16), ("reason", REASON)),
}

CRITICAL = {
    "rules_pinned",
    "job_moved",
    "struck_out",
    "agreed",
    "stop_lifted",
    "erased",
    "device_certified",
    "device_revoked",
}
BUSINESS_ONLY = {"library_kept", "device_certified", "device_revoked"}


def body(kind, data):
    """The body as JSON, and whether it has members that are not known here."""
    check_whole(data)
    if kind not in KINDS:
        return {"cbor": data.hex()}, False
    Shape.more_found = False
    read = KINDS[kind](cbor2.loads(data))
    if kind == "signed":
        need(sum(map(len, read["strokes"])) <= 8000, "too many points")
    if kind == "claim_moved":
        need((read["amount"] is None) == (read["currency"] is None), "an amount without its currency")
    return read, Shape.more_found
