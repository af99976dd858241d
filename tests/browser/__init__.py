"""A real Chromium on a served site, at a phone's and at a desk's size."""
