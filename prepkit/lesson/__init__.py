"""A trainer's lesson: its plan, sheets, papers and keys, for an audience and a length."""
