"""The life of a crate, its words, its packaging and how it comes apart."""
