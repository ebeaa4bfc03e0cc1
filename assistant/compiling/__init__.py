"""Notes -> pack: everything that writes a pack, with the heavy libraries."""
