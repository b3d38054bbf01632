"""Settings of the documentation: built offline, shown offline, warnings are errors."""

from __future__ import annotations

import sys
from importlib.metadata import version as version_of
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent / "_extensions"))

project = "Benchproof"
author = "The Benchproof authors"
project_copyright = "2026, The Benchproof authors"
version = release = version_of("benchproof")

extensions = [
    "myst_parser",
    "sphinx.ext.autodoc",
    "sphinx.ext.doctest",
    "typeset_math",
    "plain_docstrings",
    "module_pages",
    "generated_tables",
]
exclude_patterns = ["_build"]
nitpicky = False

# Equations become MathML when the pages are built, so that no page needs a script or a network.
html_math_renderer = "mathml"
myst_enable_extensions = ["dollarmath", "deflist"]
myst_heading_anchors = 3

autodoc_member_order = "bysource"
autodoc_typehints = "none"
autodoc_default_options = {"members": True, "exclude-members": "model_config, from_text"}
autodoc_preserve_defaults = True
add_module_names = False
toc_object_entries = False

# Examples stand in pages and docstrings; figures in them are compared as printed.
doctest_test_doctest_blocks = ""
doctest_global_setup = "import numpy as np"

html_theme = "furo"
html_title = "Benchproof"
html_copy_source = False
html_show_sphinx = False
html_theme_options = {
    "light_css_variables": {
        "color-background-primary": "#fbfaf6",
        "color-background-secondary": "#f3f1ea",
        "color-foreground-primary": "#1d2226",
        "color-brand-primary": "#8a3b12",
        "color-brand-content": "#8a3b12",
        "color-brand-visited": "#6b2e0e",
    },
}
