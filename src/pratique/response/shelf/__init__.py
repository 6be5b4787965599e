"""What is short, stale or missing: for the plan by date, and for a first response tonight."""
