"""The screens of a visit and of the work through a note."""
