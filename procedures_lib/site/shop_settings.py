"""The settings of Sphinx that follow from the shop: what it is called, and its notice.

``conf.py`` of a manual need not read ``shop.toml``: a fault in that file is a finding with its
line, and no reason for Sphinx not to start. What ``conf.py`` sets itself stands above the shop's.
"""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

from procedures_lib.manual.shop import SHOP_PAGE, read_shop

if TYPE_CHECKING:
    from sphinx.application import Sphinx
    from sphinx.config import Config

    from procedures_lib.manual.shop import Shop


def add_shop_settings(app: Sphinx) -> None:
    """Have the settings made before any page is read, so that a change of them rewrites pages."""
    app.connect("config-inited", _take_over)


def _take_over(app: Sphinx, config: Config) -> None:
    path = Path(app.confdir) / SHOP_PAGE
    if not path.exists():
        return
    shop, _ = read_shop(path)  # what is wrong in it is told when the manual is read
    for name, value in _settings(shop).items():
        if _is_left_open(config, name):
            setattr(config, name, value)
    if "notice" not in config.html_theme_options:
        config.html_context = {"theme_notice": shop.notice, **config.html_context}


def _settings(shop: Shop) -> dict[str, str]:
    return {
        "project": shop.name,
        "html_title": f"{shop.name} · {shop.manual}",
        "html_short_title": shop.manual,
    }


def _is_left_open(config: Config, name: str) -> bool:
    """Tell whether a setting has the value that Sphinx gives when nobody sets it."""
    default: Any = config.values[name].default
    value: Any = getattr(config, name)
    return bool(value == (default(config) if callable(default) else default))
