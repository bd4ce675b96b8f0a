"""One page of every kind that the demo site has, and the rules for every one of them."""

from __future__ import annotations

KINDS = {
    "first page": "index",
    "list of procedures": "procedures/index",
    "list of cars": "vehicles/index",
    "list of kits": "kits/index",
    "list of jobs": "jobs/index",
    "list of common steps": "common/index",
    "list of results": "results/index",
    "first page of using": "using/index",
    "vehicle": "vehicles/tarrow-finch",
    "kit": "kits/tf-220",
    "procedure": "procedures/fit-tf-220",
    "tune": "procedures/load-tf-100",
    "job": "jobs/finch-clutch-and-cooler",
    "common": "common/isolate-battery",
    "result": "results/finch-tf-220",
    "check": "checks/left-loose",
    "list of checks": "checks/index",
    "writing": "writing/steps",
    "tabs": "writing/quantities",
    "first page of writing": "writing/index",
    "reference": "reference/threads",
    "first page of reference": "reference/index",
    "search": "search",
    "changes": "changes",
}
"""The docname of one page of each kind."""
