"""Sheets on paper: one self-contained HTML page, from the same rows as the screen. jinja2 lives here."""
