"""GS1 keys, identifiers, Digital Links and what a label says."""
