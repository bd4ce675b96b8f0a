"""The site's frame: nothing inline, nothing from another host, colours that can be read."""

import re
from html.parser import HTMLParser
from pathlib import Path

import pytest
from sphinx.application import Sphinx
from sphinx.util.docutils import docutils_namespace

from procedures_lib.fronts.site.theme import THEME, setup

PAGES = {
    "index.md": "# Manual\n\n```{toctree}\nprocedures/index\n```\n",
    "procedures/index.md": "# Procedures\n\n```{toctree}\nfit\n```\n",
    "procedures/fit.md": "# Fit a kit\n\n## Hazards\n\nText.\n\n## Steps\n\nMore.\n",
}


class Tags(HTMLParser):
    """Collects every start tag with its attributes."""

    def __init__(self) -> None:
        super().__init__()
        self.tags: list[tuple[str, dict[str, str]]] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, {name: value or "" for name, value in attrs}))


@pytest.fixture(scope="module")
def site(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Build a manual of three pages with the theme alone; return the folder of the site."""
    source, out = tmp_path_factory.mktemp("source"), tmp_path_factory.mktemp("site")
    for name, text in PAGES.items():
        (source / name).parent.mkdir(exist_ok=True)
        (source / name).write_text(text, "utf-8")
    settings = {"extensions": ["myst_parser", setup.__module__], "html_theme": "bench"}
    with docutils_namespace():
        app = Sphinx(source, None, out, out / ".doctrees", "html", settings, status=None)
        app.build()
    assert app.statuscode == 0
    return out


def read_tags(site: Path, page: str) -> list[tuple[str, dict[str, str]]]:
    parser = Tags()
    parser.feed((site / page).read_text("utf-8"))
    return parser.tags


@pytest.mark.parametrize("page", ["index.html", "procedures/fit.html", "search.html"])
def test_a_policy_of_self_only_blocks_nothing(site: Path, page: str) -> None:
    # W3C Content Security Policy Level 3: without 'unsafe-inline', `default-src 'self'` blocks
    # style elements and attributes, scripts without a source, and handlers in attributes.
    for tag, attributes in read_tags(site, page):
        assert tag != "style"
        assert "style" not in attributes
        assert tag != "script" or attributes.get("src")
        assert not [name for name in attributes if name.startswith("on")]
        for name in ("src", "href"):
            assert not re.match(r"(?:[a-z]+:)?//|data:", attributes.get(name, ""))


def test_the_skip_link_leads_to_the_content(site: Path) -> None:
    tags = read_tags(site, "procedures/fit.html")
    first_link = next(attributes["href"] for tag, attributes in tags if tag == "a")
    assert first_link == "#content"
    assert "content" in [attributes.get("id") for tag, attributes in tags if tag == "main"]


def test_a_page_links_to_its_parents_and_not_to_its_sisters(site: Path) -> None:
    links = [a["href"] for tag, a in read_tags(site, "procedures/index.html") if tag == "a"]
    assert "../index.html" in links
    page = (site / "procedures" / "fit.html").read_text("utf-8")
    assert re.search(r'class="crumbs".*?<a href="index.html">Procedures</a>', page, re.DOTALL)


def luminance(colour: str) -> float:
    """Return the relative luminance of `#rrggbb` or `#rgb`, 0 to 1 (WCAG 2.2, definition)."""
    digits = colour[1:] if len(colour) == 7 else "".join(2 * digit for digit in colour[1:])
    shares = [int(digits[i : i + 2], 16) / 255 for i in (0, 2, 4)]
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in shares]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one: str, other: str) -> float:
    """Return the contrast ratio of two colours, 1 to 21 (WCAG 2.2, definition)."""
    dark, light = sorted([luminance(one), luminance(other)])
    return (light + 0.05) / (dark + 0.05)


def colours(style: str) -> dict[str, str]:
    return dict(re.findall(r"--([a-z-]+): (#[0-9a-f]{3,6});", style))


def test_contrast_agrees_with_known_ratios() -> None:
    assert contrast("#000", "#ffffff") == pytest.approx(21)  # WCAG 2.2: the largest ratio
    # #777777 on white falls just short of 4.5: 4.47 (W3C, Understanding SC 1.4.3; from memory)
    assert contrast("#777777", "#fff") == pytest.approx(4.47, abs=0.01)


@pytest.mark.parametrize("mode", ["light", "dark"])
def test_text_can_be_read_in_both_modes(mode: str) -> None:
    text = (THEME / "static" / "bench.css").read_text("utf-8")
    light, _, rest = text.partition("@media screen and (prefers-color-scheme: dark)")
    palette = colours(light if mode == "light" else rest)
    for ink in ("ink", "soft", "link"):
        for paper in ("paper", "sunken", "mark"):
            assert contrast(palette[ink], palette[paper]) >= 4.5, (ink, paper)  # SC 1.4.3
    assert contrast(palette["edge"], palette["paper"]) >= 3  # SC 1.4.11, edges of controls


def test_signal_words_can_be_read() -> None:
    text = (THEME / "static" / "blocks.css").read_text("utf-8")
    panels = dict(re.findall(r"\.signal-([a-z]+) \{ (--signal[^}]+)\}", text))
    assert list(panels) == ["danger", "warning", "caution", "notice"]
    for style in panels.values():
        panel = colours(style)
        assert contrast(panel["signal"], panel["on-signal"]) >= 4.5  # SC 1.4.3
