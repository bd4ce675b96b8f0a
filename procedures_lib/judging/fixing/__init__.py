"""Safe rewrites of pages: the same facts, written the one way."""

from procedures_lib.judging.fixing.page_fix import fix_page

__all__ = ["fix_page"]
