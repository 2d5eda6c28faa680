"""What students are shown of their own: their level, what they missed, ten minutes at home."""
