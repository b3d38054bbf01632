"""Pure functions of arrays, in SI units: no state, no input or output."""
