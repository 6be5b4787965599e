"""Pictures for paper, as SVG: readable in grey, escaped, without script; told apart by shape, not colour."""
