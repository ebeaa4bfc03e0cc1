"""What the program costs, measured beside peers in the same run."""
