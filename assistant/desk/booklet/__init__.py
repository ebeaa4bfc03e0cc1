"""Notes as a booklet to print."""
