"""The life of a return, its papers and how empties stack."""
