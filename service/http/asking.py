"""The envelope of a command, as headers carry it."""

import re

from flask import request

from service.desk.caller import Ask
from service.http.guard import caller
from service.http.problems import Unwell, problem

KEY_HEADER = "Idempotency-Key"
KEY = r'^("[!#-~]{1,128}"|[!#-~]{1,128})$'
VERSION = r'^(\*|"\d{1,9}(-[0-9a-f]+)?(-gzip)?")$'
_VERSION = re.compile(r'"(\d{1,9})(-[0-9a-f]+)?"', re.ASCII)


def command_ask() -> Ask:
    """The envelope of the command that this request is; or a problem that names the header."""
    sent = request.headers.get(KEY_HEADER)
    if sent is None:
        raise Unwell(problem("idempotency_key_missing", field=KEY_HEADER))
    if not re.fullmatch(KEY, sent):
        raise Unwell(
            problem(
                "header_unreadable",
                "A command's id has at most 128 visible ASCII characters, in quotation marks "
                "or without.",
                field=KEY_HEADER,
            )
        )
    return Ask(caller=caller(), id=sent.strip('"'), expected_version=expected_version())


def expected_version() -> int | None:
    """The version that ``If-Match`` insists on, if it does."""
    sent = request.headers.get("If-Match")
    if sent is None or sent.strip() == "*":
        return None
    found = _VERSION.fullmatch(sent.strip())
    if found is None:
        weak = sent.lstrip().startswith("W/")
        raise Unwell(
            problem(
                "header_unreadable",
                "A weak tag never matches: send the tag without its W/."
                if weak
                else 'If-Match names one version as the ETag does, such as "17".',
                field="If-Match",
            )
        )
    return int(found[1])
