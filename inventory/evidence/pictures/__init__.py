"""Evidence: decoding pictures and labels."""
