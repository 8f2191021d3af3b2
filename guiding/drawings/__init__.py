"""One drawing each, rendered to SVG and into PDF: pure, no tables."""
