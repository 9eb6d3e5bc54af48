"""What several calculators share: mixtures and parts in, facts and values out; prints nothing."""
