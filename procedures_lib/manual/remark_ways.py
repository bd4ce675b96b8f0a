"""Where a shop takes remarks: a mail address, an address for issues, a file that is shared."""

from __future__ import annotations

import re
from typing import Annotated, Any
from urllib.parse import urlsplit

from procedures_lib.language.entities.entity import Model
from procedures_lib.language.entities.field_types import YesNo, plain, refuse

_MAIL = re.compile(r"[A-Za-z0-9][A-Za-z0-9._+-]{0,63}@[A-Za-z0-9-]+(?:\.[A-Za-z0-9-]+)+")
"""Of the addresses that RFC 5321 allows, those that need no quoting in a link (RFC 6068)."""

_LONGEST = 2000
_PLACES = ("{title}", "{body}")


def _mail(value: Any) -> str:
    text = str(value).strip()
    if text and (len(text) > 254 or not _MAIL.fullmatch(text)):
        refuse("unknown-word", f"`{text[:80]}` is no mail address",
               'write one address, without a name: `mail = "workshop@manual.example"`')  # fmt: skip
    return text


def _issue(value: Any) -> str:
    text = str(value).strip()
    if text and not _is_template(text):
        refuse("unknown-word", f"`{text[:80]}` is no address that an issue can be begun at",
               "write one of https with `{title}` and `{body}` once each behind its `?`: "
               "`https://issues.manual.example/new?title={title}&body={body}`")  # fmt: skip
    return text


def _is_template(text: str) -> bool:
    """Tell whether an address takes title and body in its query, and nowhere else."""
    try:
        parts = urlsplit(text)
        host, port = parts.hostname, parts.port
    except ValueError:
        return False
    bare = text.isascii() and text.isprintable() and not set(text) & set(" \"'<>\\^`|")
    once = all(text.count(place) == parts.query.count(place) == 1 for place in _PLACES)
    rest = parts.query.replace("{title}", "").replace("{body}", "")
    no_more = not set(rest + parts.netloc + parts.path) & set("{}") and port != 0
    right = parts.scheme == "https" and bool(host) and "@" not in parts.netloc
    return bare and once and no_more and right and not parts.fragment and len(text) <= _LONGEST


MailAddress = Annotated[str, *plain(_mail, {"type": "string"})]
IssueAddress = Annotated[str, *plain(_issue, {"type": "string"})]


class RemarkWays(Model):
    """The ways by which a technician may send a remark at once; none where nothing is set.

    ``issue`` is an https address with ``{title}`` and ``{body}`` in its query. With ``share`` the
    phone hands the remark on as it hands on anything, or saves it as files where it can't.
    """

    mail: MailAddress = ""
    issue: IssueAddress = ""
    share: YesNo = False
