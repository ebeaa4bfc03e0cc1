"""One rule a module; each module holds ``RULE``."""
