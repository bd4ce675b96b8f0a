"""The checks: functions from (manual, page) to findings, one file a family."""

from procedures_lib.judging.checks.registry import check_manual, check_page

__all__ = ["check_manual", "check_page"]
