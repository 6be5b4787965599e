"""New entries beside the log they go into: what a tick stands for, what does not fit, what has to be said at once."""
