"""Old procedures from other files -> draft notes, with a list of what found no place in them."""
