"""What all screens have in common."""
