"""Tables outside the site: plain text, CSV and JSON of the same values that the pages show."""

from procedures_lib.fronts.formats.table_text import TABLES, csv_text, make_table, plain_text
from procedures_lib.fronts.formats.values import table_json

__all__ = ["TABLES", "csv_text", "make_table", "plain_text", "table_json"]
