"""Pages that need no other file and run nothing; what makes them is loaded where one is made."""
