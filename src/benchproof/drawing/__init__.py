"""One frozen model of a dimensioned drawing; what writes it out stands in `papers`."""
