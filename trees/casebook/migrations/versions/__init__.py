"""One file per released schema: how a store comes to it from the one before."""
