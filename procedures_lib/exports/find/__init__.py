"""The search index of a manual: what can be found, by which words, and the files that hold it."""

from procedures_lib.exports.find.files import FORMAT, index_files
from procedures_lib.exports.find.index import FoundPage, Index, make_index
from procedures_lib.exports.find.page_rows import rows_of_page
from procedures_lib.exports.find.row import KINDS, Row
from procedures_lib.exports.find.terms import terms_of

__all__ = [
    "FORMAT",
    "KINDS",
    "FoundPage",
    "Index",
    "Row",
    "index_files",
    "make_index",
    "rows_of_page",
    "terms_of",
]
