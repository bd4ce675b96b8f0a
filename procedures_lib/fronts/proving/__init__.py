"""Every block, step, row of double entry and code example of a manual, run as a test by sybil."""

from procedures_lib.fronts.proving.prover import Prover

__all__ = ["Prover"]
