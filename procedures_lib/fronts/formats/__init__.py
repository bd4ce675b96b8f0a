"""What programs read: JSON, CSV and plain text of the same views that the pages show."""

from procedures_lib.fronts.formats.procedure_json import procedure_json, table_json
from procedures_lib.fronts.formats.table_text import csv_text, plain_text

__all__ = ["csv_text", "plain_text", "procedure_json", "table_json"]
