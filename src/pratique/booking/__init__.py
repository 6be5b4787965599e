"""Which arrival can come when, into which tanks: one room, many wishes, the best answer and why not a better one."""
