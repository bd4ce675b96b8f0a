"""The search index of a manual: what can be found, by which words, and the files that hold it."""

from procedures_lib.fronts.search.index import (
    FOLDER,
    FORMAT,
    KINDS,
    FoundPage,
    Index,
    Row,
    index_files,
    make_index,
)
from procedures_lib.fronts.search.page_hits import rows_of_page
from procedures_lib.fronts.search.terms import terms_of

__all__ = [
    "FOLDER",
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
