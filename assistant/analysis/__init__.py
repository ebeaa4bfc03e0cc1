"""From text to terms and turns of phrase."""
