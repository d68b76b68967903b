"""Files of every kind that is read, damaged by chance: read, or refused in our own words, and never anything else."""
