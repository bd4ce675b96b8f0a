"""Tables outside the site: plain text, CSV and JSON of the same values that the pages show."""

from procedures_lib.exports.csv_text import csv_text
from procedures_lib.exports.json_value import table_json
from procedures_lib.exports.named import TABLES, make_table
from procedures_lib.exports.plain_text import plain_text

__all__ = ["TABLES", "csv_text", "make_table", "plain_text", "table_json"]
