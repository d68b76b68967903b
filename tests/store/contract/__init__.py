"""What every store must hold, whatever keeps it: the same laws over each of `stores.STORES`."""
