"""Figures on labelled questions and open collections."""
