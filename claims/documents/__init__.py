"""The documents of a claim, drawn from frozen content: values in, PDF bytes out."""
