"""The arithmetic of the visit: order of checks, stock, availability, intervals; no input or output."""
