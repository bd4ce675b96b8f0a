"""Sphinx settings of the manual. Names and notice come from `shop.toml`."""

language = "en"
needs_sphinx = "8.2"
extensions = ["myst_parser", "sphinx_design", "procedures_lib.fronts.site"]
exclude_patterns = ["**/.*", "**/_*", "**/*~"]
nitpicky = True
smartquotes = False

myst_enable_extensions = ["colon_fence", "deflist"]
myst_heading_anchors = 3

html_theme = "bench"
html_copy_source = False
html_show_sourcelink = False
html_show_search_summary = False
html_use_index = False
html_domain_indices = False
html_permalinks_icon = "#"
