"""Job cards on paper: the values of a card set in lines, laid on pages, and written as PDF."""

from procedures_lib.fronts.paper.card_pdf import SIZES, card_pdf, signs_lacking
from procedures_lib.fronts.paper.lettering import MISSING

__all__ = ["MISSING", "SIZES", "card_pdf", "signs_lacking"]
