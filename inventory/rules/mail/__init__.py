"""Mail that leaves the company: its life, and when a try is made again."""
