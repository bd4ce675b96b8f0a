"""``procedures schema``: what a block may hold, as JSON Schema."""

from __future__ import annotations

from pathlib import Path

import click

from procedures_lib.findings import counted
from procedures_lib.fronts.cli.arguments import PathWord, Word, relative, unknown
from procedures_lib.fronts.cli.terminal import EXIT_CODES, ExitCode, write_text
from procedures_lib.fronts.formats.procedure_files import block_schema_text, write_schemas
from procedures_lib.language.reading.block_kinds import BLOCK_KINDS


@click.command(epilog=EXIT_CODES, short_help="Print the JSON Schema of a block.")
@click.argument("block", required=False, type=Word())
@click.option(
    "--output",
    metavar="DIR",
    type=PathWord(file_okay=False, path_type=Path),
    help="Write the schemas of all blocks into a folder, a file each.",
)
def schema(block: str | None, output: Path | None) -> int:
    """Print the JSON Schema (2020-12) of a BLOCK's YAML, or list the blocks.

    Of a text block it is that of its options. A built site has the same files under `schema/`.
    """
    if output is not None:
        paths = write_schemas(output)
        click.echo(f"{counted(len(paths), 'schema')} in {relative(output)}")
    elif block is None:
        click.echo("\n".join(f"{kind.name}: {kind.purpose}" for kind in BLOCK_KINDS.values()))
    elif block in BLOCK_KINDS:
        write_text(block_schema_text(block))
    else:
        raise unknown("block", block, BLOCK_KINDS)
    return ExitCode.CLEAN
