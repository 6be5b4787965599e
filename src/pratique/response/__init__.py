"""Signs into what they may be, and what to do first: the run sheet of a bad evening, and the shelf it needs."""
