"""What is known of the ways by which something passes from water to water."""

from __future__ import annotations

from pratique.knowledge.model import Known, Statement


class Tracing(Known):
    """Figures and facts that belong to no single agent."""

    facts: tuple[Statement, ...] = ()
