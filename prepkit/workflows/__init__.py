"""Commands beside the calculators: what is known here, looked up and printed."""
