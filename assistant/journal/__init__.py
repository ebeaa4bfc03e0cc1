"""The record of what was asked, done, used and left open; the only room that writes it."""
