"""Words on a command line: an empty or blank one is refused, and never taken as left out."""

from __future__ import annotations

import os
from typing import TYPE_CHECKING, Any

import click

if TYPE_CHECKING:
    _Type = click.ParamType[str]
else:
    _Type = click.ParamType


class Word(_Type):
    """A text that names something: a revision, an id, a folder of pages."""

    name = "text"

    def convert(self, value: Any, param: Any, ctx: Any) -> Any:
        """Return the text as it is; a usage error, with exit code 2, when it is blank."""
        _refuse_blank(value, param, ctx)
        return value


class PathWord(click.Path):
    """A path that names a file or a folder: ``""`` does not name the current folder."""

    def convert(self, value: Any, param: Any, ctx: Any) -> Any:
        """Return the path; a usage error, with exit code 2, when it is blank."""
        _refuse_blank(value, param, ctx)
        return super().convert(value, param, ctx)


def _refuse_blank(value: Any, param: Any, ctx: Any) -> None:
    if os.fspath(value).strip():
        return
    cure = "write what is meant"
    if param is not None and not param.required:
        cure += ", or leave it out altogether"
    raise click.BadParameter(f"it is empty: {cure}.", ctx=ctx, param=param)
